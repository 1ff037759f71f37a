// How floats are coloured: by how hard each pulls, or by what it costs of the width.
import { pullColour } from "../colour.js";
import { room } from "../gl/program.js";

/** @typedef {import("../talk/shapes.js").Fabric} Fabric */
/** @typedef {"none" | "pull" | "cost"} Colouring */
/** @typedef {import("../messages").FloatCost} FloatCost */

/** What each float of the chart costs, of all that is lost. */
export class FloatCosts {
    constructor() {
        /** @type {Map<string, number>} */
        this.shares = new Map();
        /** @type {readonly FloatCost[]} */
        this.each = [];
        this.most = 0;
        this.wide = 1;
    }

    /** @param {readonly FloatCost[]} floats @param {number} wide stitches of the chart */
    take(floats, wide) {
        this.each = floats;
        this.wide = wide;
        this.shares = new Map(floats.map((one) => [[one.row, one.column, one.gap, one.yarn].join(), one.share]));
        this.most = Math.max(1e-9, ...floats.map((one) => one.share));
    }

    /** The share of a float of the cloth, by the stitch at one of its ends. @param {Fabric} shape @param {number} f */
    of(shape, f) {
        const [left, right] = [shape.ends[2 * f], shape.ends[2 * f + 1]];
        const [yarn, gap] = [shape.floats[2 * f], shape.floats[2 * f + 1]];
        const end = left >= 0 ? left : right;
        if (end < 0) return 0;
        const [row, column] = [shape.cell[4 * end + 2], shape.cell[4 * end + 3]];
        const first = left >= 0 ? column + 1 : column - gap;
        return this.shares.get([row, ((first % this.wide) + this.wide) % this.wide, gap, yarn].join()) ?? 0;
    }
}

/** The greatest of what floats are coloured by. @param {Fabric} shape @param {Colouring} by @param {FloatCosts} costs */
export function greatest(shape, by, costs) {
    if (by === "cost") return costs.most;
    let most = 0.1;
    for (const pull of shape.pull) most = Math.max(most, pull);
    return most;
}

/** The colours of all floats, and those that are pointed at lit.
 * @param {Fabric} shape @param {Colouring} by @param {FloatCosts} costs @param {Set<number>} lit */
export function floatColours(shape, by, costs, lit) {
    const colours = new Uint8Array(room(shape.pull.length));
    const most = greatest(shape, by, costs);
    for (let f = 0; f < shape.pull.length; f++) {
        const on = lit.has(f);
        if (by === "none") colours[4 * f + 3] = on ? 20 : 0;
        else colours.set([...pullColour((by === "pull" ? shape.pull[f] : costs.of(shape, f)) / most), on ? 255 : 128], 4 * f);
    }
    return colours;
}
