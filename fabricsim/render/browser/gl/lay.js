// How a cloth lies: where its stitches rest, where their squares are, how large both are.
import { room } from "./program.js";

/** @typedef {import("./packing.js").Yarn} Yarn */
/** What is drawn of a state: yarn, for every stitch its row and column and those of the chart, the body it is worn on.
 * @typedef {Yarn & {cell: Int32Array, head?: {case: string}, body?: import("./body.js").Body}} Shape */
/** @typedef {[number, number, number]} Point mm */

export class Lay {
    /** @param {Shape} shape @param {[number, number]} cell width and height of a square, mm */
    constructor(shape, cell) {
        this.shape = shape;
        this.cell = cell;
        this.count = shape.place.length / 3;
        /** @type {number[]} lowest corner of what is shown, mm */
        this.low = [1e9, 1e9, 1e9];
        /** @type {number[]} and the highest */
        this.high = [-1e9, -1e9, -1e9];
        this.bound();
        this.middle = this.low.map((one, c) => (one + this.high[c]) / 2);
        /** Width and height of all squares, mm. */
        this.spread = [0, 0];
        this.squareOf = this.squares();
    }

    bound() {
        const { place, face, body } = this.shape;
        for (let n = 0; n < this.count; n++) {
            if (face[4 * n + 3]) this.reach(place, n);
        }
        for (let n = 0; body && n < body.place.length / 3; n++) this.reach(body.place, n);
    }

    /** @param {Float32Array} place @param {number} n which of them is to be seen too */
    reach(place, n) {
        for (let c = 0; c < 3; c++) {
            this.low[c] = Math.min(this.low[c], place[3 * n + c]);
            this.high[c] = Math.max(this.high[c], place[3 * n + c]);
        }
    }

    /** Where the square of each stitch lies. */
    squares() {
        const { cell, face } = this.shape;
        const [across, up] = this.cell;
        const out = new Float32Array(3 * this.count);
        let [left, right, bottom, top] = [1e9, -1e9, 1e9, -1e9];
        for (let n = 0; n < this.count; n++) {
            if (!face[4 * n + 3]) continue;
            const [row, column] = [cell[4 * n], cell[4 * n + 1]];
            [left, right, bottom, top] = [Math.min(left, column), Math.max(right, column), Math.min(bottom, row), Math.max(top, row)];
        }
        for (let n = 0; n < this.count; n++) {
            out[3 * n] = this.middle[0] + (cell[4 * n + 1] - (left + right) / 2) * across;
            out[3 * n + 1] = this.middle[1] + (cell[4 * n] - (bottom + top) / 2) * up;
            out[3 * n + 2] = this.middle[2];
        }
        this.spread = [(right - left + 1) * across, (top - bottom + 1) * up];
        return out;
    }

    /** The way of each stitch from where it rests to its square, four a stitch. */
    moves() {
        const out = new Float32Array(room(this.count));
        for (let n = 0; n < this.count; n++) {
            for (let c = 0; c < 3; c++) out[4 * n + c] = this.squareOf[3 * n + c] - this.shape.place[3 * n + c];
        }
        return out;
    }

    /** The yarn of each stitch: that of the strand which makes it. */
    yarns() {
        const { first, float, stitch, yarn } = this.shape;
        const out = new Uint8Array(this.count);
        for (let strand = 0; strand + 1 < first.length; strand++) {
            for (let p = first[strand]; p < first[strand + 1]; p++) {
                if (float[p] < 0) out[stitch[p]] = yarn[strand];
            }
        }
        return out;
    }

    /** Where a stitch is on its way from cloth to square. @param {number} n @param {number} flat 0 to 1 @returns {Point} */
    at(n, flat) {
        const { place } = this.shape;
        const to = this.squareOf;
        const k = 3 * n;
        return [place[k] + flat * (to[k] - place[k]), place[k + 1] + flat * (to[k + 1] - place[k + 1]), place[k + 2] + flat * (to[k + 2] - place[k + 2])];
    }

    /** How large what is to be seen is, with room for half a stitch around it; between cloth and squares in between.
     * @param {number} flat */
    extent(flat) {
        const rest = this.high.map((one, c) => one - this.low[c] + 1.2 * this.cell[Math.min(c, 1)]);
        return rest.map((one, c) => (c < 2 ? one + flat * (this.spread[c] - one) : one));
    }

    /** The eight corners of the room that it takes. @returns {Point[]} */
    corners() {
        return Array.from({ length: 8 }, (_, k) => /** @type {Point} */ ([0, 1, 2].map((c) => ((k >> c) & 1 ? this.high[c] : this.low[c]))));
    }
}
