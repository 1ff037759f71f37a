// Which squares go together with the one under the needle.

/** @typedef {"none" | "across" | "up" | "both" | "half"} Symmetry */
/** @typedef {{width: number, height: number, wrapped: (column: number) => number, wrappedUp: (row: number) => number}} Sheet */
/** Twice the row and column that are mirrored about, so that it may lie between two. @typedef {{row: number, column: number}} Axis */

export const SYMMETRIES = /** @type {Symmetry[]} */ (["none", "across", "up", "both", "half"]);

/** The middle of a chart. @param {Sheet} chart @returns {Axis} */
export function middle(chart) {
    return { row: chart.height - 1, column: chart.width - 1 };
}

/** @param {Sheet} chart @param {Symmetry} symmetry @param {Axis} axis @param {number} row @param {number} column
 * @returns {[number, number][]} each once, the given one first */
export function together(chart, symmetry, axis, row, column) {
    const across = chart.wrapped(axis.column - column);
    const up = axis.row - row;
    /** @type {[number, number][]} */
    const all = [[row, column]];
    if (symmetry === "across" || symmetry === "both") all.push([row, across]);
    if (symmetry === "up" || symmetry === "both") all.push([up, column]);
    if (symmetry === "both" || symmetry === "half") all.push([up, across]);
    const seen = new Set();
    return all.filter(([r, c]) => {
        const key = `${r} ${c}`;
        if (r < 0 || r >= chart.height || seen.has(key)) return false;
        seen.add(key);
        return true;
    });
}
