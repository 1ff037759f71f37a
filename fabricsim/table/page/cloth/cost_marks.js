// On the squares: under each row of squares what the floats behind them cost, as bars in the colours of the scale.
import { pullColour } from "../colour.js";
import { draw } from "../dom.js";

/** @typedef {import("./bench.js").Bench} Bench */

/** Steps of colour. */
const STEPS = 5;

export class CostMarks {
    /** @param {Bench} bench @param {SVGElement} svg */
    constructor(bench, svg) {
        this.bench = bench;
        this.bars = Array.from({ length: STEPS }, (_, k) => draw("path", { class: "cost-bar", stroke: `rgb(${pullColour((k + 1) / STEPS).join(" ")})` }));
        svg.append(...this.bars);
        bench.stage.watchers.push(() => this.draw());
    }

    draw() {
        const { bench } = this;
        const { stage, places, costs, chart } = bench;
        const paths = this.bars.map(() => "");
        if (bench.colouring === "cost" && stage.flat > 0.5) {
            const spots = places.now();
            const low = 0.34 * stage.cell[1] * stage.camera.scale;
            for (const bar of this.bars) bar.setAttribute("stroke-width", String(Math.max(1.2, 0.3 * stage.cell[1] * stage.camera.scale)));
            const half = 0.42 * stage.cell[0] * stage.camera.scale;
            for (const one of costs.each) {
                const step = Math.min(STEPS - 1, Math.floor((STEPS * one.share) / costs.most));
                for (let k = 0; k < one.gap; k++) {
                    for (const n of places.ofSquare(one.row, chart.wrapped(one.column + k))) {
                        if (spots[4 * n + 3] < 1) continue;
                        paths[step] += `M${(spots[4 * n] - half).toFixed(1)} ${(spots[4 * n + 1] + low).toFixed(1)}h${(2 * half).toFixed(1)}`;
                    }
                }
            }
        }
        paths.forEach((d, k) => this.bars[k].setAttribute("d", d));
    }
}
