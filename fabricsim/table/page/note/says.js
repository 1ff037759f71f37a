// What the cloth says, in the knitter's words: each line leads to the place that it speaks of.
import { by, el, round } from "../dom.js";
import { pullColour, SLACK } from "../colour.js";
import { WORDS } from "../words.js";

/** @typedef {import("../cloth/bench.js").Bench} Bench */
/** @typedef {import("../messages").TellSaid} TellSaid */
/** @typedef {import("../messages").TellWorking} TellWorking */

export class Says {
    /** @param {Bench} bench */
    constructor(bench) {
        this.bench = bench;
        this.root = by("says");
        this.state = by("settling");
        this.counts = el("div", { class: "counts" });
        this.forecast = el("div", { class: "forecast" });
        this.whole = el("details", { class: "whole" }, el("summary", { text: WORDS.all_words }), el("ul"));
        this.stop = el("button", { type: "button", class: "stop-it", text: WORDS.leave_it, "aria-describedby": "settling", onclick: () => bench.table.ask({ kind: "leave" }) });
        this.stop.hidden = true;
        this.state.after(this.stop);
        this.root.append(this.forecast, this.counts, this.whole);
        const { table } = bench;
        table.on("said", (said) => this.take(said));
        table.on("counts", () => this.count());
        table.on("working", (working) => this.work(working));
        table.on("note", (note) => {
            if (note.what === "no rest") this.state.textContent = WORDS.no_rest;
        });
        bench.watchers.push(() => this.legend());
    }

    /** @param {TellWorking} working */
    work(working) {
        const settled = this.bench.table.said?.revision === this.bench.table.scene?.revision;
        this.stop.hidden = !["likely", "advice", "loosen"].includes(working.on);
        const words = { look: settled ? WORDS.looking : WORDS.settling, rest: settled ? WORDS.looking : WORDS.settling, likely: WORDS.reckoning(working.share), advice: WORDS.advising, loosen: WORDS.loosening(working.share), idle: settled ? WORDS.at_rest : "" };
        const now = words[working.on];
        if (this.state.textContent !== now) this.state.textContent = now;
        by("note").classList.toggle("stale", !settled);
    }

    /** A line that leads to a place. @param {string} words @param {string | null} more @param {(() => void) | null} go @param {string} [mark] */
    line(words, more, go, mark = "") {
        const inside = [el("span", { class: "said", text: words }), ...(more ? [el("span", { class: "more", text: more })] : [])];
        return el("p", { class: `line ${mark}` }, go ? el("button", { type: "button", class: "to-place", onclick: go }, ...inside) : el("span", {}, ...inside));
    }

    /** @param {TellSaid} said */
    take(said) {
        if (said.which !== "first") return;
        const { scene } = this.bench.table;
        if (!scene) return;
        by("note").classList.remove("stale");
        const { units } = scene;
        const long = (/** @type {number} */ cm) => WORDS.length(10 * cm, units);
        const likely = said.likely_width_cm;
        const worst = said.rows.length ? said.rows.reduce((a, b) => (b.loss_percent > a.loss_percent ? b : a)) : null;
        const hardest = said.hardest[0];
        const width = [
            WORDS.narrower(said.loss_percent),
            [
                likely ? WORDS.likely_width(long(Math.min(...likely)), long(Math.max(...likely))) : said.sure === "rest" && said.floats ? WORDS.likely_later : "",
                worst && worst.loss_percent > said.loss_percent + 0.1 ? WORDS.narrowest(worst.row + 1, worst.loss_percent) : "",
            ]
                .filter(Boolean)
                .join("; "),
        ];
        const puckers = said.likely_pucker_mm;
        const head = el("p", { class: "width" }, el("span", { text: WORDS.width_head(long(said.plain_cm), long(said.width_cm)) }));
        this.forecast.replaceChildren(
            head,
            this.line(width[0], width[1], worst ? () => this.toRow(worst.row) : null),
            this.line(WORDS.pucker(WORDS.small(said.pucker_mm, units), said.pucker_word), puckers ? WORDS.pucker_likely(WORDS.small(puckers[0], units), WORDS.small(puckers[1], units)) : null, () => this.toPeak()),
            this.line(WORDS.taut(said.taut, said.floats), said.taut ? WORDS.hardest(said.greatest_cN) : null, hardest ? () => this.bench.show({ row: hardest.row, column: hardest.column, floats: true, side: "back" }) : null),
        );
        this.whole.querySelector("ul")?.replaceChildren(...[...said.words, ...said.advice].map((line) => el("li", { text: line })));
        this.count();
    }

    count() {
        const { counts, scene } = this.bench.table;
        if (!counts || !scene) return;
        const worst = [...counts.repeat].filter((one) => one.over).sort((a, b) => b.gap - a.gap)[0];
        this.counts.replaceChildren(
            this.line(
                WORDS.over(counts.over, counts.count),
                counts.count ? WORDS.longest(counts.longest_gap, WORDS.length(10 * counts.longest_cm, scene.units)) : null,
                worst ? () => this.toFloat(worst) : null,
                counts.over ? "bad" : "good",
            ),
        );
    }

    /** @param {import("../messages").ToldFloat} float */
    toFloat(float) {
        const { bench } = this;
        const middle = bench.chart.wrapped(float.column + Math.floor((float.gap - 1) / 2));
        const n = this.nearest(bench.places.ofSquare(float.row, middle));
        const cell = bench.stage.shape?.cell;
        if (n >= 0 && cell) bench.show({ row: cell[4 * n], column: cell[4 * n + 1], floats: true, side: "back" });
    }

    /** Of stitches alike, the one nearest to the middle of the page. @param {number[]} stitches */
    nearest(stitches) {
        const { camera } = this.bench.stage;
        let best = -1;
        let least = Infinity;
        for (const n of stitches) {
            const [x, y] = camera.seen(...this.bench.stage.place(n));
            const far = Math.hypot(x - camera.width / 2, y - camera.height / 2);
            if (far < least) [best, least] = [n, far];
        }
        return best;
    }

    /** @param {number} row of the piece */
    toRow(row) {
        const { places } = this.bench;
        this.bench.show({ row: Math.min(Math.max(row, places.rows[0]), places.rows[1]), column: Math.round((places.columns[0] + places.columns[1]) / 2) });
    }

    /** To the stitch that stands off farthest. */
    toPeak() {
        const { table } = this.bench;
        const shape = table.shape;
        if (!shape?.height) return;
        let best = 0;
        for (let n = 0; n < shape.height.length; n++) {
            if (shape.face[4 * n + 3] && (!shape.face[4 * best + 3] || Math.abs(shape.height[n]) > Math.abs(shape.height[best]))) best = n;
        }
        this.bench.show({ row: shape.cell[4 * best], column: shape.cell[4 * best + 1] });
        this.bench.goTo({ pitch: 0.95, flat: 0 });
    }

    /** The scale of the colours of pull. */
    legend() {
        const scale = by("scale");
        const by_ = this.bench.colouring;
        scale.hidden = by_ === "none";
        if (by_ === "none") return;
        const most = this.bench.hardest;
        const cost = by_ === "cost";
        const [half, whole] = cost ? [WORDS.share(50 * most), WORDS.share(100 * most)] : [round(most / 2, 2), WORDS.cN_of(most)];
        const key = `${by_} ${whole}`;
        if (scale.dataset.most === key) return;
        scale.dataset.most = key;
        const rgb = (/** @type {[number, number, number]} */ c) => `rgb(${c.join(" ")})`;
        const bar = el("div", { class: "bar" });
        bar.style.background = `linear-gradient(90deg, ${[0.001, 0.2, 0.4, 0.6, 0.8, 1].map((share) => rgb(pullColour(share))).join(", ")})`;
        const none = el("span", { class: "none" });
        none.style.background = rgb(SLACK);
        scale.replaceChildren(
            el("span", { class: "name", text: cost ? WORDS.seeking.cost_scale : WORDS.pull_scale }),
            el("span", { class: "slacks" }, none, cost ? WORDS.seeking.costs_nothing : WORDS.slack_float),
            el("div", { class: "graded" }, bar, el("div", { class: "numbers" }, el("span", { text: "0" }), el("span", { text: half }), el("span", { text: whole }))),
        );
    }
}
