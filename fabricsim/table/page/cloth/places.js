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

    /** Row and column of a stitch near the middle: of the same square of the chart, if one is given.
     * @param {[number, number] | null} square @returns {[number, number]} */
    nearTheMiddle(square) {
        const { rows, columns, stage } = this;
        const centre = [Math.round((rows[0] + rows[1]) / 2), Math.round((columns[0] + columns[1]) / 2)];
        let best = /** @type {[number, number]} */ ([rows[0], columns[0]]);
        let least = Infinity;
        if (!stage.shape) return best;
        const { cell, face } = stage.shape;
        for (const n of square ? this.ofSquare(...square) : this.byCell.values()) {
            if (cell[4 * n + 2] < 0) continue;
            const [row, column] = [cell[4 * n] - centre[0], cell[4 * n + 1] - centre[1]];
            // of a tube it is one that looks at the eye
            const turned = stage.tube ? stage.camera.towards(face[4 * n], face[4 * n + 1], face[4 * n + 2]) : 0;
            const far = stage.tube ? Math.abs(row) - 2 * (stage.inside ? -turned : turned) : Math.hypot(row, column);
            if (far < least) [least, best] = [far, [cell[4 * n], cell[4 * n + 1]]];
        }
        return best;
    }

    /** Numbers of the drawn floats that pass behind a stitch. @param {number} n @returns {number[]} */
    floatsBehind(n) {
        const shape = /** @type {Fabric | null} */ (this.stage.shape);
        if (!shape) return [];
        const [row, column] = [shape.cell[4 * n], shape.cell[4 * n + 1]];
        const found = [];
        for (let f = 0; f < shape.ends.length / 2; f++) {
            const [from, to] = [shape.ends[2 * f], shape.ends[2 * f + 1]];
            if (from < 0 || to < 0 || shape.cell[4 * from] !== row || shape.cell[4 * to] !== row) continue;
            if (shape.cell[4 * from + 1] < column && column < shape.cell[4 * to + 1]) found.push(f);
        }
        return found;
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
