// What one may ask to be looked for: what costs the width, the fewest changes, other places of the motif. It goes on
// while the cloth is worked on, can be stopped, and keeps what was found.
import { by, el } from "../dom.js";
import { WORDS } from "../words.js";
import { Costs } from "./costs.js";
import { Ways } from "./ways.js";

/** @typedef {import("../cloth/bench.js").Bench} Bench */
/** @typedef {import("../messages").TellSeeking} TellSeeking */
/** @typedef {TellSeeking["what"]} What */

const WHAT = /** @type {What[]} */ (["costs", "changes", "places"]);
const USUAL_LOSS = 3;

export class Seek {
    /** @param {Bench} bench @param {(words: string) => void} trying told before something is tried */
    constructor(bench, trying) {
        this.bench = bench;
        const w = WORDS.seeking;
        const { table } = bench;
        this.most = el("input", { type: "number", id: "may_lose", min: 0, max: 50, step: 0.5, value: USUAL_LOSS });
        this.flat = el("input", { type: "checkbox", id: "lie_flat" });
        this.buttons = WHAT.map((what) => el("button", { type: "button", text: w.what[what], title: w.what_title[what], "data-seek": what, onclick: () => this.ask(what) }));
        this.bar = el("progress", { max: 1 });
        this.said = el("p", { class: "small", role: "status" });
        this.stop = el("button", { type: "button", text: w.stop, onclick: () => table.ask({ kind: "leave" }) });
        this.state = el("div", { class: "seeking" }, this.bar, this.stop);
        this.state.hidden = true;
        const found = el("div", { class: "found" });
        by("seek").append(
            el("p", { class: "ways" }, ...this.buttons),
            el("p", { class: "aims small" }, el("label", {}, w.may_lose[0], this.most, w.may_lose[1]), el("label", {}, this.flat, w.flat)),
            this.said,
            this.state,
            found,
        );
        this.costs = new Costs(bench, found, trying);
        this.ways = new Ways(bench, found, trying);
        /** Whether the focus goes to what is found: it was asked for from here. */
        this.asked = false;
        table.on("seeking", (seeking) => this.work(seeking));
        table.on("line", (line) => {
            if (line !== "open") this.state.hidden = true;
        });
    }

    /** @param {What} what */
    ask(what) {
        const most = Math.min(50, Math.max(0, Number(this.most.value) || 0));
        this.most.value = String(most);
        this.bench.table.ask({ kind: "seek", what, may_lose: most, flat: this.flat.checked });
    }

    /** @param {TellSeeking} seeking */
    work(seeking) {
        const { what, share, words, ended } = seeking;
        const w = WORDS.seeking;
        this.state.hidden = ended !== null;
        for (const button of this.buttons) button.toggleAttribute("aria-current", ended === null && button.dataset.seek === what);
        const said = ended === null ? w.working(what, share, words) : ended === "failed" ? w.failed(words) : w.ended[ended];
        if (this.said.textContent !== said) this.said.textContent = said;
        this.bar.setAttribute("aria-label", said);
        if (share === null) this.bar.removeAttribute("value");
        else this.bar.value = share;
        this.costs.show(what === "costs");
        this.ways.show(what !== "costs" ? what : null);
    }
}
