// Where every stitch of the cloth is on the page, and which stitch is where.

/** @typedef {import("../gl/stage.js").Stage} Stage */
/** @typedef {import("../talk/shapes.js").Fabric} Fabric */

/** Columns of a piece are fewer than this. */
const WIDE = 1 << 20;

export class Places {
    /** @param {Stage} stage */
    constructor(stage) {
        this.stage = stage;
        /** @type {Map<number, number>} stitch by row and column of the piece */
        this.byCell = new Map();
        /** @type {Map<number, number[]>} stitches by row and column of the chart */
        this.byChart = new Map();
        this.topology = -1;
        this.spots = new Float32Array(0);
        this.frame = -1;
        this.rows = [0, 0];
        this.columns = [0, 0];
    }

    /** @param {Fabric} fabric */
    take(fabric) {
        this.frame = -1;
        if (this.topology === fabric.head.topology) return;
        this.topology = fabric.head.topology;
        this.byCell.clear();
        this.byChart.clear();
        this.rows = [Infinity, -Infinity];
        this.columns = [Infinity, -Infinity];
        const { cell, face } = fabric;
        for (let n = 0; n < cell.length / 4; n++) {
            const [row, column, chartRow, chartColumn] = cell.subarray(4 * n, 4 * n + 4);
            if (!face[4 * n + 3]) continue;
            this.byCell.set(row * WIDE + column, n);
            this.rows = [Math.min(this.rows[0], row), Math.max(this.rows[1], row)];
            this.columns = [Math.min(this.columns[0], column), Math.max(this.columns[1], column)];
            if (chartRow < 0) continue;
            const key = chartRow * WIDE + chartColumn;
            const there = this.byChart.get(key);
            if (there) there.push(n);
            else this.byChart.set(key, [n]);
        }
    }

    /** The stitch of the piece, or -1. @param {number} row @param {number} column */
    at(row, column) {
        return this.byCell.get(row * WIDE + column) ?? -1;
    }

    /** All stitches that one square of the chart makes. @param {number} row @param {number} column @returns {number[]} */
    ofSquare(row, column) {
        return this.byChart.get(row * WIDE + column) ?? [];
    }

    /** Row and column of the chart of a stitch, or null for plain rows. @param {number} n @returns {[number, number] | null} */
    square(n) {
        const cell = this.stage.shape?.cell;
        if (!cell || n < 0 || cell[4 * n + 2] < 0) return null;
        return [cell[4 * n + 2], cell[4 * n + 3]];
    }

    /** Where all stitches are now: x, y, depth, and 1 if to be seen, less if it is turned away, 0 if it is
     * not shown; worked out once a frame. */
    now() {
        const { stage } = this;
        if (this.frame === stage.frames || !stage.shape) return this.spots;
        this.frame = stage.frames;
        const count = stage.shape.place.length / 3;
        if (this.spots.length !== 4 * count) this.spots = new Float32Array(4 * count);
        for (let n = 0; n < count; n++) {
            if (!stage.shape.face[4 * n + 3]) {
                this.spots[4 * n + 3] = 0;
                continue;
            }
            const [x, y, depth] = stage.camera.seen(...stage.place(n));
            this.spots[4 * n] = x;
            this.spots[4 * n + 1] = y;
            this.spots[4 * n + 2] = depth;
            this.spots[4 * n + 3] = stage.visible(n) ? 1 : 0.5;
        }
        return this.spots;
    }
}
