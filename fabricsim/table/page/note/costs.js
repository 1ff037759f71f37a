// What costs the width: in sentences, as colours on the cloth and its squares, and as single stitches to be tried.
import { el } from "../dom.js";
import { WORDS } from "../words.js";

/** @typedef {import("../cloth/bench.js").Bench} Bench */
/** @typedef {import("../messages").TellCosts} TellCosts */
/** @typedef {import("../messages").FreedSquare} FreedSquare */

export class Costs {
    /** @param {Bench} bench @param {HTMLElement} into @param {(words: string) => void} trying */
    constructor(bench, into, trying) {
        this.bench = bench;
        this.trying = trying;
        this.root = el("div", { class: "costs" });
        this.root.hidden = true;
        into.append(this.root);
        /** @type {TellCosts | null} */
        this.told = null;
        this.colour = el("button", { type: "button", class: "colour-by-cost", text: WORDS.seeking.colour, "aria-pressed": "false", onclick: () => this.toggle() });
        this.before = el("p", { class: "small", text: WORDS.seeking.cloth_before });
        this.before.hidden = true;
        bench.table.on("costs", (costs) => this.take(costs));
        bench.table.on("scene", () => this.stale());
        bench.watchers.push(() => this.colour.setAttribute("aria-pressed", String(bench.colouring === "cost")));
    }

    /** @param {boolean} on */
    show(on) {
        this.root.hidden = !on || this.told === null;
    }

    toggle() {
        const { bench } = this;
        bench.colour(bench.colouring === "cost" ? "none" : "cost");
    }

    /** @param {TellCosts} costs */
    take(costs) {
        const { bench } = this;
        this.told = costs;
        const w = WORDS.seeking;
        bench.costs.take(costs.floats, bench.chart.width);
        const squares = costs.squares.map((one) => el("li", {}, this.square(one)));
        this.root.replaceChildren(
            this.before,
            el("p", { text: w.costs_head(costs.loss_percent) }),
            ...costs.words.map((line) => el("p", { text: line })),
            ...(costs.floats.length ? [this.colour] : []),
            ...(squares.length ? [el("p", { class: "small", text: w.squares }), el("ul", { class: "advice" }, ...squares)] : []),
        );
        this.root.hidden = false;
        bench.colour(costs.floats.length ? "cost" : "none");
        this.stale();
    }

    /** @param {FreedSquare} one */
    square(one) {
        const { bench } = this;
        const w = WORDS.seeking;
        const yarn = bench.table.scene?.yarns[one.yarn]?.name ?? "";
        const words = w.square({ row: one.row + 1, stitch: bench.chart.width - one.column, yarn });
        const go = () => {
            this.trying(words);
            bench.paint([[one.row, one.column, one.yarn]], bench.table.newStroke());
        };
        const button = el("button", { type: "button", class: "try", onclick: go }, el("span", { class: "said", text: words }), el("span", { class: "more", text: w.frees(one.percent) }));
        bench.pointed(button, [[one.row, one.column]]);
        return button;
    }

    /** What was found is of the cloth as it lay then. */
    stale() {
        const { scene } = this.bench.table;
        const old = this.told !== null && scene !== null && scene.state !== this.told.state;
        this.before.hidden = !old;
        if (old && this.bench.colouring === "cost") this.bench.colour("none");
        this.colour.disabled = old;
    }
}
