// What to do about it: each piece of advice is a button that tries it; then before and after, and a way back.
import { by, el } from "../dom.js";
import { WORDS } from "../words.js";

/** @typedef {import("../cloth/bench.js").Bench} Bench */
/** @typedef {import("../messages").TellAdvice} TellAdvice */
/** @typedef {import("../messages").Suggestion} Suggestion */

export class ToDo {
    /** @param {Bench} bench @param {{lay: (id: number | null) => void}} tries */
    constructor(bench, tries) {
        this.bench = bench;
        this.tries = tries;
        this.root = by("todo");
        this.done = el("div", { class: "tried", role: "status" });
        this.list = el("ul", { class: "advice" });
        this.soon = el("p", { class: "small", text: WORDS.to_do_soon });
        this.root.append(this.done, this.soon, this.list);
        /** @type {{words: string, before: number} | null} */
        this.trying = null;
        const { table } = bench;
        table.on("todo", (advice) => this.take(advice));
        table.on("tries", () => this.compare());
        this.revision = -1;
        table.on("scene", (scene) => {
            this.stale();
            if (this.trying && scene.undo === 0) this.trying = null;
            this.compare();
        });
    }

    /** @param {TellAdvice} advice */
    take(advice) {
        const { scene } = this.bench.table;
        if (!scene) return;
        this.revision = advice.revision;
        this.list.classList.remove("stale");
        this.soon.hidden = true;
        if (!advice.each.length) {
            this.list.replaceChildren(el("li", { text: WORDS.nothing_to_do }));
            return;
        }
        this.list.replaceChildren(...advice.each.map((one) => this.item(one)));
    }

    /** What was advised for another state can't be tried on this one. */
    stale() {
        if (this.bench.table.scene?.revision === this.revision) return;
        this.list.classList.add("stale");
        this.soon.hidden = false;
        for (const button of this.list.querySelectorAll("button")) button.disabled = true;
        this.bench.unlight();
    }

    /** @param {Suggestion} one */
    item(one) {
        const words = WORDS.suggestion(one);
        const more = WORDS.would(one, this.bench.table.scene?.units ?? "cm");
        const go = () => {
            this.try_(words);
            this.bench.table.ask({ kind: "advice", id: one.id });
        };
        const button = el("button", { type: "button", class: "try", onclick: go }, el("span", { class: "said", text: words }), ...(more ? [el("span", { class: "more", text: more })] : []));
        this.bench.pointed(button, one.places);
        return el("li", {}, button);
    }

    /** Before something is tried: what it is, and what lies there now. @param {string} words */
    try_(words) {
        this.trying = { words, before: this.bench.table.tries?.now ?? -1 };
    }

    /** What was tried, with before and after. */
    compare() {
        const { trying } = this;
        const { tries, scene } = this.bench.table;
        if (!trying || !tries || !scene) {
            this.done.replaceChildren();
            return;
        }
        const before = tries.each.find((one) => one.id === trying.before);
        const now = tries.each.find((one) => one.id === tries.now);
        if (!before || !now || before.id === now.id) {
            this.done.replaceChildren();
            return;
        }
        const row = (/** @type {string} */ name, /** @type {string} */ a, /** @type {string} */ b) => el("tr", {}, el("th", { scope: "row", text: name }), el("td", { text: a }), el("td", { text: b }));
        this.done.replaceChildren(
            el("p", { text: WORDS.you_tried(trying.words) }),
            el(
                "table",
                {},
                el("thead", {}, el("tr", {}, el("td"), el("th", { scope: "col", text: WORDS.before }), el("th", { scope: "col", text: WORDS.now }))),
                el(
                    "tbody",
                    {},
                    row(WORDS.width, WORDS.share(before.loss_percent), WORDS.share(now.loss_percent)),
                    row(WORDS.pucker_short, WORDS.small(before.pucker_mm, scene.units), WORDS.small(now.pucker_mm, scene.units)),
                    row(WORDS.over_short, String(before.over), String(now.over)),
                ),
            ),
            el(
                "p",
                { class: "ways" },
                el("button", { type: "button", text: WORDS.take_back, onclick: () => this.back() }),
                el("button", { type: "button", text: WORDS.beside, onclick: () => this.tries.lay(before.id) }),
            ),
        );
    }

    back() {
        this.trying = null;
        this.tries.lay(null);
        this.bench.table.ask({ kind: "undo" });
        this.compare();
    }
}
