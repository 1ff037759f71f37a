// What is said of the stitch under the needle: for eyes below the cloth, and for a screen reader.
import { by } from "../dom.js";
import { WORDS } from "../words.js";
import { behind } from "./chart.js";

/** @typedef {import("./bench.js").Bench} Bench */

/** A pointer that runs over the cloth is not told stitch by stitch: only where it stays, ms. */
const PAUSE = 90;

export class Status {
    /** @param {Bench} bench */
    constructor(bench) {
        this.bench = bench;
        this.line = by("stitch");
        this.waiting = 0;
        this.last = "";
        bench.watchers.push(() => this.soon());
        bench.table.on("counts", () => this.soon());
    }

    soon() {
        window.clearTimeout(this.waiting);
        this.waiting = window.setTimeout(() => this.say(), PAUSE);
    }

    say() {
        const said = this.words();
        if (said === this.last) return;
        this.last = said;
        this.line.textContent = said;
    }

    words() {
        const { bench } = this;
        const { scene, counts } = bench.table;
        const n = bench.under;
        if (!scene || n < 0) return WORDS.no_stitch;
        const square = bench.places.square(n);
        if (bench.tool === "frame" && bench.box) return WORDS.framed(bench.box.rows, bench.box.columns);
        if (!square) return WORDS.stitch_plain(bench.cursor[0] + 1, scene.yarns[scene.plain_yarn].name) + ".";
        const [row, column] = square;
        const floats = behind(counts?.repeat ?? [], bench.chart, row, column);
        return WORDS.stitch({
            row: row + 1,
            stitch: bench.chart.width - column,
            yarn: scene.yarns[bench.chart.at(row, column)]?.name ?? "",
            behind: floats.map((one) => WORDS.stitch_behind(scene.yarns[one.yarn]?.name ?? "", one.gap, one.over)),
            over: floats.some((one) => one.over),
            piece: null,
            pull: null,
        });
    }
}
