// The line: each try that came to rest hangs on it as a small cloth, to go back to or to lay beside.
import { by, el } from "../dom.js";
import { WORDS } from "../words.js";
import { smallCloth } from "./small_cloth.js";

/** @typedef {import("../cloth/bench.js").Bench} Bench */
/** @typedef {import("../messages").Tried} Tried */
/** @typedef {import("../messages").TellTries} TellTries */

/** Most small pictures that are kept. */
const MOST = 24;

export class Tries {
    /** @param {Bench} bench @param {{lay: (id: number | null, told: Tried | null) => void}} beside */
    constructor(bench, beside) {
        this.bench = bench;
        this.beside = beside;
        this.root = by("tries");
        /** @type {Map<number, HTMLCanvasElement>} */
        this.pictures = new Map();
        this.second = /** @type {number | null} */ (null);
        bench.table.on("tries", (tries) => this.take(tries));
        bench.table.on("welcome", () => this.pictures.clear());
    }

    /** @param {TellTries} tries */
    take(tries) {
        // what lay beside when the server or the page went away lies there again
        if (tries.second !== this.second) this.shown(tries.second, tries);
        const kept = tries.each.slice(-MOST);
        for (const id of this.pictures.keys()) if (!kept.some((one) => one.id === id)) this.pictures.delete(id);
        this.root.replaceChildren(...kept.map((one) => this.peg(one, tries)));
        const now = this.root.querySelector("[aria-current]")?.closest("li");
        const line = this.root.parentElement;
        if (now && line) line.scrollLeft = now.offsetLeft - line.clientWidth / 2;
        if (this.second !== null && !tries.each.some((one) => one.id === this.second)) this.lay(null);
    }

    /** A small picture of the stitches of one repeat. @param {Tried} one */
    picture(one) {
        const kept = this.pictures.get(one.id);
        if (kept || !one.chart) return kept;
        const canvas = smallCloth(one.chart, one.colours, this.bench.table.scene?.gauge ?? [1, 1]);
        this.pictures.set(one.id, canvas);
        return canvas;
    }

    /** @param {Tried} one @param {TellTries} tries */
    peg(one, tries) {
        const now = one.id === tries.now;
        const said = WORDS.tried({ loss: one.loss_percent, pucker: WORDS.small(one.pucker_mm, this.bench.table.scene?.units ?? "cm"), over: one.over, change: one.change, now });
        const take = el(
            "button",
            { type: "button", class: "try-cloth", "aria-current": now ? "true" : null, "aria-label": said, title: said, onclick: () => this.bench.table.ask({ kind: "take", id: one.id }) },
            this.picture(one) ?? el("span", { class: "blank" }),
            el("span", { class: "loss", text: WORDS.tried_short(one.loss_percent) }),
        );
        const laid = this.second === one.id;
        const lay = el("button", {
            type: "button",
            class: "lay",
            text: laid ? "\u00d7" : "\u2225",
            title: laid ? WORDS.try_away : WORDS.try_beside,
            "aria-label": `${laid ? WORDS.try_away : WORDS.try_beside}: ${said}`,
            onclick: () => this.lay(laid ? null : one.id),
        });
        return el("li", { class: laid ? "laid" : "" }, take, ...(now && !laid ? [] : [lay]));
    }

    /** Lay a try beside what is on the table. @param {number | null} id */
    lay(id) {
        this.bench.table.ask({ kind: "second", id });
    }

    /** @param {number | null} id @param {TellTries} tries */
    shown(id, tries) {
        this.second = id;
        this.beside.lay(id, tries.each.find((one) => one.id === id) ?? null);
    }
}
