// A slider from too short to loose, with a float drawn at its true proportion: it sags, or it is short.
import { by, draw, el } from "../dom.js";
import { WORDS } from "../words.js";
import { Stroke } from "./stroke.js";

/** @typedef {import("../talk/table.js").Table} Table */

const LEAST = -0.15;
const MOST = 0.25;
/** Stitches that the drawn float passes. */
const GAP = 5;
/** Side of a stitch in the drawing. */
const WIDE = 26;
const MIDDLE = 24;

/** How far a string hangs between two ends, its length `1 + slack` of the way between (a flat parabola).
 * @param {number} way @param {number} slack */
export function sag(way, slack) {
    // the length of a parabola of sag d over a way w is found by halving, as its formula has no inverse
    let [low, high] = [0, 2 * way];
    for (let k = 0; k < 40; k++) {
        const d = (low + high) / 2;
        const s = Math.sqrt(1 + (16 * d * d) / (way * way));
        const long = (way / 2) * s + ((way * way) / (8 * d || 1e-12)) * Math.log((4 * d) / way + s);
        if (long > way * (1 + slack)) high = d;
        else low = d;
    }
    return low;
}

export class Slack {
    /** @param {Table} table */
    constructor(table) {
        this.table = table;
        this.stroke = new Stroke(table);
        this.svg = draw("svg", { viewBox: `0 0 ${(GAP + 3) * WIDE} 66`, class: "float", role: "img", "aria-label": WORDS.floats_hang });
        this.range = el("input", { type: "range", min: LEAST * 100, max: MOST * 100, step: 0.5, id: "slack_range", "aria-label": WORDS.slack });
        this.words = el("p", { class: "told", id: "slack_words" });
        this.range.setAttribute("aria-describedby", "slack_words");
        by("slack").append(el("h2", { text: WORDS.floats_hang }), this.svg, this.range, this.words);
        this.range.addEventListener("input", () => this.change());
        table.on("scene", (scene) => {
            if (this.stroke.answered(scene.slack)) this.range.value = String(round100(scene.slack));
            this.draw(Number(this.range.value) / 100);
        });
    }

    change() {
        const slack = Number(this.range.value) / 100;
        this.stroke.send(slack, { "floats.slack": slack, "floats.slack_by_yarn": null });
        this.draw(slack);
    }

    /** @param {number} slack */
    draw(slack) {
        const { scene } = this.table;
        if (!scene) return;
        const [behind, before] = [scene.yarns[Math.min(1, scene.yarns.length - 1)].colour, scene.yarns[0].colour];
        // a short float brings its ends nearer: the stitches between them are squeezed by as much
        const way = (GAP + 1) * WIDE * Math.min(1, 1 + slack);
        const left = ((GAP + 3) * WIDE - way) / 2;
        const each = way / (GAP + 1);
        const parts = [];
        for (let k = 0; k <= GAP + 1; k++) {
            const x = left + k * each;
            const end = k === 0 || k === GAP + 1;
            parts.push(draw("path", { class: "v", d: `M${x - 7.5} 6C${x - 7.5} 13 ${x - 3.5} 18 ${x - 1.5} ${MIDDLE}M${x + 7.5} 6C${x + 7.5} 13 ${x + 3.5} 18 ${x + 1.5} ${MIDDLE}`, stroke: end ? behind : before }));
        }
        const deep = slack > 0 ? sag(way, slack) : 0;
        parts.push(draw("path", { class: "strand", d: `M${left} ${MIDDLE + 2}Q${left + way / 2} ${MIDDLE + 2 + 2 * Math.min(deep, 19)} ${left + way} ${MIDDLE + 2}`, stroke: behind }));
        if (slack < 0) {
            const full = ((GAP + 3) * WIDE - (GAP + 1) * WIDE) / 2;
            parts.push(draw("path", { class: "short", d: `M${full} 42H${left}m-5 -3l5 3l-5 3M${full + (GAP + 1) * WIDE} 42H${left + way}m5 -3l-5 3l5 3` }));
        }
        this.svg.replaceChildren(...parts);
        const mm = ((GAP + 1) * 100 * Math.abs(slack)) / scene.gauge[0];
        const long = WORDS.small(mm, scene.units);
        const said = `${WORDS.slackSaid(slack)}: ${WORDS.missing(slack, GAP, long)}`;
        this.words.textContent = said;
        this.range.setAttribute("aria-valuetext", said);
    }
}

/** @param {number} share */
function round100(share) {
    return Math.round(share * 1000) / 10;
}
