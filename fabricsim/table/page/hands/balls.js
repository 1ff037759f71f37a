// The balls in the basket: which yarn is in hand.
import { by, draw, el } from "../dom.js";
import { inkOn } from "../colour.js";
import { WORDS } from "../words.js";

/** @typedef {import("../cloth/bench.js").Bench} Bench */

/** The sign of a yarn on the squares, so that nobody needs its colour. @type {string[]} */
export const SIGNS = ["", "\u25cf", "\u25cb", "\u00d7", "\u2015", "\u2215", "\u25a0", "\u2025", "\u2025"];
const WINDS = ["M5 12c7-5 16-4 22 3", "M4 18c7-6 16-5 22 3", "M7 24c5-5 12-5 16 0", "M11 5c6 1 12 5 15 10"];

export class Balls {
    /** @param {Bench} bench */
    constructor(bench) {
        this.bench = bench;
        this.root = by("basket");
        this.key = "";
        bench.table.on("scene", () => this.refresh());
        bench.watchers.push(() => this.refresh());
        this.root.addEventListener("keydown", (event) => {
            const step = { ArrowRight: 1, ArrowDown: 1, ArrowLeft: -1, ArrowUp: -1 }[event.key];
            const many = bench.table.scene?.yarns.length ?? 1;
            if (!step) return;
            event.preventDefault();
            this.take((bench.yarn + step + many) % many);
            /** @type {HTMLElement} */ (this.root.children[bench.yarn]).focus();
        });
    }

    /** @param {number} yarn */
    take(yarn) {
        const { bench } = this;
        const found = bench.table.scene?.yarns[yarn];
        if (!found) return;
        bench.yarn = yarn;
        bench.tell();
        by("stitch").textContent = WORDS.taken_up(found.name);
    }

    refresh() {
        const { scene } = this.bench.table;
        if (!scene) return;
        const key = JSON.stringify(scene.yarns.map((yarn) => [yarn.name, yarn.colour]));
        if (key !== this.key) {
            this.key = key;
            this.root.replaceChildren(...scene.yarns.map((yarn, k) => this.ball(yarn.name, yarn.colour, k)));
        }
        [...this.root.children].forEach((ball, k) => {
            ball.setAttribute("aria-checked", String(k === this.bench.yarn));
            ball.setAttribute("tabindex", k === this.bench.yarn ? "0" : "-1");
        });
    }

    /** @param {string} name @param {string} colour @param {number} k */
    ball(name, colour, k) {
        const ink = inkOn(colour);
        const svg = draw("svg", { viewBox: "0 0 32 32", "aria-hidden": "true" });
        svg.append(draw("circle", { cx: 16, cy: 16, r: 14, fill: colour, class: "wool" }));
        for (const d of WINDS) svg.append(draw("path", { d, fill: "none", stroke: ink, "stroke-opacity": 0.42, "stroke-width": 1.1 }));
        const sign = draw("text", { x: 16, y: 21.5, "text-anchor": "middle", fill: ink, "font-size": 15 }, SIGNS[k] ?? "");
        svg.append(sign);
        return el(
            "button",
            { type: "button", role: "radio", class: "ball", title: name, onclick: () => this.take(k) },
            svg,
            el("span", { class: "key", text: String(k + 1) }),
            el("span", { class: "name", text: name }),
        );
    }
}
