// Shapes of fabric as they come in: the parts that a frame leaves out are taken from an earlier one.
import { shown } from "../gl/packing.js";

/** @typedef {import("../messages").ShapeHead} ShapeHead */
/** @typedef {import("../gl/frames.js").Numbers} Numbers */

/** How many kinds of yarn course the page keeps; the server reckons with the same number. */
export const KEPT = 8;
const SAME = ["first", "yarn", "stitch", "float", "cell", "ends", "floats"];

/** A shape as the page uses it.
 * @typedef {object} Fabric
 * @property {ShapeHead} head
 * @property {number} thickness
 * @property {Float32Array} point
 * @property {Int8Array} normal
 * @property {Float32Array} place
 * @property {Int8Array} face the last of four tells whether a stitch is shown
 * @property {Float32Array} pull cN
 * @property {Float32Array | null} height mm
 * @property {Int32Array} first
 * @property {Uint8Array} yarn
 * @property {Int32Array} stitch
 * @property {Int32Array} float
 * @property {Int32Array} cell
 * @property {Int32Array} ends
 * @property {Int32Array} floats
 */

export class Shapes {
    constructor() {
        /** @type {Map<number, Record<string, Numbers>>} */
        this.kept = new Map();
    }

    /** @param {ShapeHead} head @param {Record<string, Numbers>} arrays @returns {Fabric | null} null if a part is missing */
    whole(head, arrays) {
        const same = "first" in arrays ? Object.fromEntries(SAME.map((name) => [name, arrays[name]])) : this.kept.get(head.topology);
        if (!same) return null;
        this.kept.delete(head.topology);
        this.kept.set(head.topology, same);
        for (const old of this.kept.keys()) {
            if (this.kept.size <= KEPT) break;
            this.kept.delete(old);
        }
        const made = /** @type {any} */ ({ ...same, ...arrays, head, thickness: head.thickness_mm, height: arrays.height ?? null });
        shown(made.place, made.face, head.window_mm);
        return made;
    }

    forget() {
        this.kept.clear();
    }
}
