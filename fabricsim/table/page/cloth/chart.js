// The chart as the page reckons with it: what was painted and not yet answered lies over what the server told.

/** @typedef {[number, number, number]} Square row, column, yarn */
/** @typedef {import("../messages").ToldFloat} ToldFloat */

export class Chart {
    constructor() {
        /** @type {number[][]} */
        this.rows = [[0]];
        /** @type {Map<number, number>} */
        this.pending = new Map();
    }

    get height() {
        return this.rows.length;
    }

    get width() {
        return this.rows[0].length;
    }

    /** @param {readonly (readonly number[])[]} told */
    take(told) {
        const same = told.length === this.height && told[0].length === this.width;
        this.rows = told.map((row) => [...row]);
        if (!same) this.pending.clear();
        for (const [key, yarn] of this.pending) {
            const [row, column] = this.place(key);
            if (this.rows[row][column] === yarn) this.pending.delete(key);
        }
    }

    /** @param {number} key @returns {[number, number]} */
    place(key) {
        return [Math.floor(key / this.width), key % this.width];
    }

    /** @param {number} row @param {number} column @returns {number} */
    at(row, column) {
        // the drawn cloth may be of a larger chart than this one for a moment
        return this.pending.get(row * this.width + column) ?? this.rows[row]?.[column] ?? 0;
    }

    /** Lay squares over it until the server answers; return those that change. @param {Square[]} squares @returns {Square[]} */
    paint(squares) {
        const changed = squares.filter(([row, column, yarn]) => this.at(row, column) !== yarn);
        for (const [row, column, yarn] of changed) this.pending.set(row * this.width + column, yarn);
        return changed;
    }

    /** A column counted on over the edge. @param {number} column */
    wrapped(column) {
        return ((column % this.width) + this.width) % this.width;
    }

    /** A row counted on over the edge. @param {number} row */
    wrappedUp(row) {
        return ((row % this.height) + this.height) % this.height;
    }
}

/** The floats that pass behind a stitch. @param {readonly ToldFloat[]} floats @param {Chart} chart @param {number} row @param {number} column */
export function behind(floats, chart, row, column) {
    return floats.filter((one) => one.row === row && chart.wrapped(column - one.column) < one.gap);
}
