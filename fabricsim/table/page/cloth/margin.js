// What stands beside the cloth: numbers of rows, their loss of width, pins at long floats. It follows the cloth frame by
// frame.
import { by, draw, el } from "../dom.js";
import { WORDS } from "../words.js";

/** @typedef {import("./bench.js").Bench} Bench */
/** @typedef {import("../messages").ToldFloat} ToldFloat */

/** Room between two numbers or pins, CSS pixels. */
const LINE = 17;
const PIN = 27;
/** Loss of width whose bar is as long as may be, per cent. */
const LONGEST_BAR = 12;

export class Margin {
    /** @param {Bench} bench @param {(fault: ToldFloat, from: HTMLElement) => void} ask */
    constructor(bench, ask) {
        this.bench = bench;
        this.ask = ask;
        this.svg = /** @type {SVGSVGElement} */ (/** @type {unknown} */ (by("drawn")));
        this.pins = by("pins");
        this.bars = draw("path", { class: "bars" });
        this.threads = draw("path", { class: "threads" });
        this.labels = draw("g", { class: "numbers" });
        this.svg.append(this.bars, this.threads, this.labels);
        /** @type {ToldFloat[]} */
        this.faults = [];
        bench.stage.watchers.push(() => this.draw());
        bench.table.on("counts", (counts) => this.take(counts.repeat));
        bench.table.on("said", () => this.bench.stage.ask(false));
    }

    /** @param {readonly ToldFloat[]} floats */
    take(floats) {
        this.faults = floats.filter((one) => one.over).sort((a, b) => b.row - a.row || a.column - b.column);
        this.pins.replaceChildren(...this.faults.map((fault) => this.pin(fault)));
        this.more = el("li", { class: "more", hidden: true });
        this.pins.append(this.more);
        this.bench.stage.ask(false);
    }

    /** @param {ToldFloat} fault */
    pin(fault) {
        const { scene } = this.bench.table;
        const said = WORDS.pin({
            row: fault.row + 1,
            yarn: scene?.yarns[fault.yarn]?.name ?? "",
            gap: fault.gap,
            long: WORDS.length(10 * fault.cm, scene?.units ?? "cm"),
        });
        const button = el("button", { type: "button", text: String(fault.gap), "aria-label": said, title: said });
        button.addEventListener("click", () => this.ask(fault, button));
        return el("li", {}, button);
    }

    draw() {
        const { bench } = this;
        const { stage, places } = bench;
        const shape = stage.shape;
        if (!shape) return;
        const spots = places.now();
        const ends = this.endsOf(shape.cell, spots);
        this.drawRows(ends);
        this.drawPins(spots);
    }

    /** The leftmost stitch to be seen of every row of the piece. @param {Int32Array} cell @param {Float32Array} spots */
    endsOf(cell, spots) {
        /** @type {Map<number, {x: number, y: number, chart: number}>} */
        const ends = new Map();
        for (let n = 0; n < spots.length / 4; n++) {
            if (spots[4 * n + 3] < 1) continue;
            const row = cell[4 * n];
            const found = ends.get(row);
            if (!found || spots[4 * n] < found.x) ends.set(row, { x: spots[4 * n], y: spots[4 * n + 1], chart: cell[4 * n + 2] });
        }
        return ends;
    }

    /** @param {Map<number, {x: number, y: number, chart: number}>} ends */
    drawRows(ends) {
        const { stage, table } = this.bench;
        const half = 0.62 * stage.cell[0] * stage.camera.scale;
        const apart = Math.max(1, stage.cell[1] * stage.camera.scale);
        const every = [1, 2, 5, 10, 20, 50].find((step) => step * apart >= LINE) ?? 100;
        const losses = this.losses();
        const worst = losses.size ? Math.max(...losses.values()) : 0;
        /** @type {SVGElement[]} */
        const labels = [];
        let bars = "";
        let told = false;
        const left = Math.min(...[...ends.values()].map((end) => end.x)) - half;
        const wide = stage.camera.width >= 600;
        for (const [row, end] of ends) {
            if (end.y < 0 || end.y > stage.camera.height) continue;
            const number = end.chart >= 0 ? end.chart + 1 : 0;
            const x = Math.max(22, left - 8);
            if (number && number % every === 0) labels.push(draw("text", { x, y: end.y + 4 }, String(number)));
            const loss = losses.get(row);
            if (loss === undefined || loss < 0.05 || !wide) continue;
            const long = (30 * Math.min(loss, LONGEST_BAR)) / LONGEST_BAR;
            bars += `M${x - 24} ${end.y}h${-long}`;
            if (loss === worst && !told) {
                told = true;
                labels.push(draw("text", { x: Math.max(42, x - 30 - long), y: end.y + 4, class: "worst" }, WORDS.share(loss)));
            }
        }
        this.bars.setAttribute("d", bars);
        this.bars.setAttribute("stroke-width", String(Math.max(1.5, Math.min(7, apart * 0.5))));
        if (stage.flat > 0.9 && table.scene) labels.push(...this.columnNumbers());
        this.labels.replaceChildren(...labels);
    }

    /** Loss of every row, per cent, if rows differ. */
    losses() {
        const said = this.bench.table.said?.rows ?? [];
        const found = new Map(said.map((one) => [one.row, one.loss_percent]));
        const values = [...found.values()];
        return values.length > 1 && Math.max(...values) - Math.min(...values) > 0.05 && this.bench.stage.shape?.cell ? found : new Map();
    }

    /** Stitches of the chart, counted from the right, under the squares. */
    columnNumbers() {
        const { stage, places, chart } = this.bench;
        const shape = stage.shape;
        const labels = [];
        if (!shape) return [];
        const apart = stage.cell[0] * stage.camera.scale;
        const every = [1, 2, 5, 10, 20, 50].find((step) => step * apart >= 22) ?? 100;
        for (let column = places.columns[0]; column <= places.columns[1]; column++) {
            const n = places.at(places.rows[0], column);
            if (n < 0) continue;
            const number = chart.width - (shape.cell[4 * n + 3] >= 0 ? shape.cell[4 * n + 3] : chart.wrapped(column));
            if (number % every) continue;
            const [x, y] = stage.camera.seen(...stage.place(n));
            labels.push(draw("text", { x, y: y + 0.5 * stage.cell[1] * stage.camera.scale + 15, class: "below" }, String(number)));
        }
        return labels;
    }

    /** @param {Float32Array} spots */
    drawPins(spots) {
        const { stage, places, chart } = this.bench;
        const { width, height } = stage.camera;
        const x = width - (width < 600 ? 34 : 46);
        const wanted = this.faults.map((fault) => {
            const middle = chart.wrapped(fault.column + Math.floor(fault.gap / 2));
            let best = -1;
            for (const n of places.ofSquare(fault.row, middle)) {
                if (spots[4 * n + 3] < 1 || spots[4 * n + 1] < 6 || spots[4 * n + 1] > height - 6 || spots[4 * n] > x) continue;
                if (best < 0 || spots[4 * n] > spots[4 * best]) best = n;
            }
            return best;
        });
        const order = wanted.map((n, k) => ({ n, k })).filter(({ n }) => n >= 0);
        order.sort((a, b) => spots[4 * a.n + 1] - spots[4 * b.n + 1]);
        const most = Math.max(1, Math.floor((height - 30) / PIN) - 1);
        const shown = order.slice(0, most);
        const tops = spread(shown.map(({ n }) => spots[4 * n + 1]), PIN, 16, height - 20);
        let d = "";
        const items = /** @type {HTMLElement[]} */ ([...this.pins.children]);
        items.forEach((item) => (item.hidden = true));
        shown.forEach(({ n, k }, place) => {
            const item = items[k];
            if (!item) return;
            item.hidden = false;
            item.style.transform = `translate(${x}px, ${tops[place] - 12}px)`;
            const [px, py] = [spots[4 * n], spots[4 * n + 1]];
            d += `M${x} ${tops[place].toFixed(1)}L${(px + Math.min(40, (x - px) * 0.5)).toFixed(1)} ${py.toFixed(1)}L${px.toFixed(1)} ${py.toFixed(1)}m-3 0a3 3 0 1 0 6 0a3 3 0 1 0 -6 0`;
        });
        this.threads.setAttribute("d", d);
        const rest = order.length - shown.length;
        if (this.more && rest > 0) {
            this.more.hidden = false;
            this.more.textContent = WORDS.pins_more(rest);
            this.more.title = WORDS.pins_more_said(rest);
            this.more.style.transform = `translate(${x}px, ${height - 26}px)`;
        }
    }
}

/** Move places apart until each has its room, in their order. @param {number[]} wanted sorted @param {number} apart
 * @param {number} least @param {number} most @returns {number[]} */
export function spread(wanted, apart, least, most) {
    const out = [...wanted];
    for (let k = 0; k < out.length; k++) out[k] = Math.max(out[k], k ? out[k - 1] + apart : least);
    for (let k = out.length - 1; k >= 0; k--) out[k] = Math.min(out[k], k + 1 < out.length ? out[k + 1] - apart : most);
    return out;
}
