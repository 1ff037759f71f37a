// What lies on the table: the last of every kind of message, and who wants to know of it.
import { Shapes } from "./shapes.js";
import { Wire } from "./wire.js";

/** @typedef {import("../messages").AnyTold} AnyTold */
/** @typedef {import("../messages").AnyAsked} AnyAsked */
/** @typedef {import("../messages").AnyHead} AnyHead */
/** @typedef {import("./shapes.js").Fabric} Fabric */
/** @typedef {import("../gl/frames.js").Numbers} Numbers */

/** What listeners are called with.
 * @typedef {object} Heard
 * @property {import("../messages").TellWelcome} welcome
 * @property {import("../messages").TellScene} scene
 * @property {import("../messages").TellCounts} counts
 * @property {import("../messages").TellSaid} said
 * @property {import("../messages").TellWorking} working
 * @property {import("../messages").TellAdvice} todo
 * @property {import("../messages").TellTries} tries
 * @property {import("../messages").TellSeeking} seeking
 * @property {import("../messages").TellCosts} costs
 * @property {import("../messages").TellWays} ways
 * @property {import("../messages").TellProgress} progress
 * @property {import("../messages").TellDone} done
 * @property {import("../messages").TellTrouble} trouble
 * @property {import("../messages").TellNote} note
 * @property {import("../messages").TellOffers} offers
 * @property {import("../messages").TellText} text
 * @property {AnyAsked} asked
 * @property {Fabric} shape
 * @property {Fabric} second
 * @property {"open" | "lost" | "refused"} line
 */

export class Table {
    constructor() {
        /** @type {import("../messages").TellScene | null} */
        this.scene = null;
        /** @type {import("../messages").TellCounts | null} */
        this.counts = null;
        /** @type {import("../messages").TellSaid | null} */
        this.said = null;
        /** @type {import("../messages").TellSaid | null} what is said of the cloth beside */
        this.saidBeside = null;
        /** @type {import("../messages").TellTries | null} */
        this.tries = null;
        /** @type {import("../messages").TellWelcome | null} */
        this.welcome = null;
        /** @type {Fabric | null} */
        this.shape = null;
        /** @type {Fabric | null} */
        this.second = null;
        /** @type {Map<string, ((value: any) => void)[]>} */
        this.listeners = new Map();
        this.shapes = new Shapes();
        this.stroke = 0;
        /** @type {import("./wire.js").Case | null} */
        this.case = null;
        /** Steps of a loop that are asked for. */
        this.steps = 12;
        this.wire = new Wire({
            told: (message) => this.told(message),
            framed: (head, arrays) => this.framed(head, arrays),
            state: (state) => {
                if (state !== "open") this.shapes.forget();
                this.say("line", state);
            },
        });
    }

    /** @template {keyof Heard} K @param {K} what @param {(value: Heard[K]) => void} then */
    on(what, then) {
        this.listeners.set(what, [...(this.listeners.get(what) ?? []), then]);
    }

    /** @template {keyof Heard} K @param {K} what @param {Heard[K]} value */
    say(what, value) {
        for (const then of this.listeners.get(what) ?? []) then(value);
    }

    /** @param {AnyTold} message */
    told(message) {
        switch (message.kind) {
            case "welcome":
                this.welcome = message;
                return this.say("welcome", message);
            case "scene":
                this.scene = message;
                return this.say("scene", message);
            case "counts":
                this.counts = message;
                return this.say("counts", message);
            case "said":
                if (message.which === "first") this.said = message;
                else this.saidBeside = message;
                return this.say("said", message);
            case "tries":
                this.tries = message;
                return this.say("tries", message);
            case "to do":
                return this.say("todo", message);
            case "seeking":
                return this.say("seeking", message);
            case "costs":
                return this.say("costs", message);
            case "ways":
                return this.say("ways", message);
            case "working":
                return this.say("working", message);
            case "progress":
                return this.say("progress", message);
            case "done":
                return this.say("done", message);
            case "trouble":
                return this.say("trouble", message);
            case "offers":
                return this.say("offers", message);
            case "text":
                return this.say("text", message);
            case "note":
                return this.say("note", message);
        }
    }

    /** @param {AnyHead} head @param {Record<string, Numbers>} arrays */
    framed(head, arrays) {
        const fabric = this.shapes.whole(head, arrays);
        if (!fabric) return;
        if (head.which === "second") {
            this.second = fabric;
            this.say("second", fabric);
        } else {
            this.shape = fabric;
            this.say("shape", fabric);
        }
    }

    /** A number for changes that are undone as one. */
    newStroke() {
        this.stroke = (this.stroke + 1) % 1_000_000;
        return Date.now() * 1000 + (this.stroke % 1000);
    }

    /** @param {AnyAsked} message */
    ask(message) {
        this.say("asked", message);
        return this.wire.ask(message);
    }

    /** Show the piece in a case, or as its scene says. @param {import("./wire.js").Case | null} which @param {number} [steps] */
    look(which, steps) {
        this.case = which;
        this.steps = steps ?? this.steps;
        return this.ask({ kind: "look", case: which, steps: this.steps });
    }

    /** @param {Record<string, any>} values keys of the scene @param {number} [stroke] */
    set(values, stroke) {
        return this.ask({ kind: "set", values, stroke: stroke ?? this.newStroke() });
    }
}
