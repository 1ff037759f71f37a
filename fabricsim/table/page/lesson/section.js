// One row seen edge on, from the very points of its yarn: across on paper is across the cloth, up is towards the face.
import { draw } from "../dom.js";

/** @typedef {import("../talk/shapes.js").Fabric} Fabric */

/** Stitches that are shown on both sides of the float. */
const BESIDE = 3;
/** Share of the longest from which a float is long. */
const LONG = 0.6;

/** Of long floats the one that pulls hardest, as that says most; if none does, the longest.
 * @param {Fabric} fabric @returns {{row: number, from: number, to: number} | null} where it lies in the piece */
export function tellingRow(fabric) {
    const { cell, ends, face, floats, pull } = fabric;
    const open = [];
    for (let f = 0; f < ends.length / 2; f++) {
        const [a, b] = [ends[2 * f], ends[2 * f + 1]];
        if (a < 0 || b < 0 || !face[4 * a + 3] || !face[4 * b + 3]) continue;
        // one that lies open in its row, and of a tube one on the side that looks at the eye
        if (cell[4 * a] !== cell[4 * b] || cell[4 * b + 1] - cell[4 * a + 1] !== floats[2 * f + 1] + 1) continue;
        if (fabric.head.case === "round" && face[4 * a + 2] < 40) continue;
        open.push(f);
    }
    const longest = Math.max(0, ...open.map((f) => floats[2 * f + 1]));
    const long = open.filter((f) => floats[2 * f + 1] >= LONG * longest);
    long.sort((f, g) => pull[g] - pull[f] || floats[2 * g + 1] - floats[2 * f + 1]);
    if (!long.length) return null;
    const [a, b] = [ends[2 * long[0]], ends[2 * long[0] + 1]];
    return { row: cell[4 * a], from: cell[4 * a + 1], to: cell[4 * b + 1] };
}

/** Draw the row into an svg. @param {SVGElement} svg @param {Fabric} fabric @param {string[]} colours @param {{row: number, from: number, to: number}} at */
export function section(svg, fabric, colours, at) {
    const near = (/** @type {number} */ n) => n >= 0 && fabric.cell[4 * n] === at.row && fabric.cell[4 * n + 1] >= at.from - BESIDE && fabric.cell[4 * n + 1] <= at.to + BESIDE;
    // of floats only those that lie wholly in what is shown
    const whole = (/** @type {number} */ f) => f < 0 || (near(fabric.ends[2 * f]) && near(fabric.ends[2 * f + 1]));
    const frame = along(fabric, at);
    const lines = [];
    let [left, right, low, high] = [1e9, -1e9, 1e9, -1e9];
    for (let strand = 0; strand + 1 < fabric.first.length; strand++) {
        let d = "";
        let pen = false;
        for (let p = fabric.first[strand]; p < fabric.first[strand + 1]; p++) {
            const s = fabric.stitch[p];
            if (!near(s) || !whole(fabric.float[p])) {
                pen = false;
                continue;
            }
            const [x, z] = frame(fabric.point[3 * p], fabric.point[3 * p + 1], fabric.point[3 * p + 2]);
            [left, right, low, high] = [Math.min(left, x), Math.max(right, x), Math.min(low, z), Math.max(high, z)];
            d += `${pen ? "L" : "M"}${x.toFixed(2)} ${(-z).toFixed(2)}`;
            pen = true;
        }
        if (d) lines.push({ d, colour: colours[fabric.yarn[strand]] ?? "#888888" });
    }
    const pad = fabric.thickness;
    if (!lines.length) return;
    svg.setAttribute("viewBox", `${left - pad} ${-high - pad} ${right - left + 2 * pad} ${high - low + 2 * pad}`);
    svg.replaceChildren(
        ...lines.flatMap(({ d, colour }) => [
            draw("path", { d, class: "hem", "stroke-width": fabric.thickness * 1.05 }),
            draw("path", { d, stroke: colour, "stroke-width": fabric.thickness * 0.85, class: "yarn" }),
        ]),
    );
}

/** Return what leads points into the row: across it, and out of its face. @param {Fabric} fabric @param {{row: number, from: number, to: number}} at */
function along(fabric, at) {
    const sum = [0, 0, 0, 0, 0, 0];
    let [many, a, b] = [0, -1, -1];
    for (let n = 0; n < fabric.cell.length / 4; n++) {
        if (fabric.cell[4 * n] !== at.row || fabric.cell[4 * n + 1] < at.from || fabric.cell[4 * n + 1] > at.to) continue;
        if (a < 0 || fabric.cell[4 * n + 1] < fabric.cell[4 * a + 1]) a = n;
        if (b < 0 || fabric.cell[4 * n + 1] > fabric.cell[4 * b + 1]) b = n;
        for (let c = 0; c < 3; c++) {
            sum[c] += fabric.place[3 * n + c];
            sum[3 + c] += fabric.face[4 * n + c];
        }
        many += 1;
    }
    const middle = sum.slice(0, 3).map((one) => one / (many || 1));
    const out = unit(sum.slice(3));
    const way = a >= 0 && b >= 0 ? [0, 1, 2].map((c) => fabric.place[3 * b + c] - fabric.place[3 * a + c]) : [1, 0, 0];
    const beside = way.reduce((total, one, c) => total + one * out[c], 0);
    const across = unit(way.map((one, c) => one - beside * out[c]));
    return (/** @type {number} */ x, /** @type {number} */ y, /** @type {number} */ z) => {
        const from = [x - middle[0], y - middle[1], z - middle[2]];
        return [from[0] * across[0] + from[1] * across[1] + from[2] * across[2], from[0] * out[0] + from[1] * out[1] + from[2] * out[2]];
    };
}

/** @param {number[]} v */
function unit(v) {
    const long = Math.hypot(...v) || 1;
    return v.map((one) => one / long);
}
