// From the points of the yarn to the numbers that are drawn: four places a point.
import { room } from "./program.js";

/** Places of a texture that one point of yarn takes: where and how thick; frame and stitch; way and float;
 * arc, depth in the fabric and which way its face looks. */
export const PLACES = 4;
/** Points of yarn an instance draws, besides the one that it shares with the next. */
export const PIECE = 32;

/** The yarn as it came: points in mm, frames in 127ths.
 * @typedef {object} Yarn
 * @property {number} thickness mm
 * @property {Float32Array} point
 * @property {Int8Array} normal x, y, z and thickness
 * @property {Int32Array} first where each strand begins, and the end
 * @property {Uint8Array} yarn of each strand
 * @property {Int32Array} stitch
 * @property {Int32Array} float
 * @property {Float32Array} place middle of each stitch
 * @property {Int8Array} face direction out of the face, and whether it is shown
 */

/** Return the numbers of all points, PLACES of four each.
 * @param {Yarn} yarn @returns {Float32Array} */
export function packed(yarn) {
    const { point, normal, first, stitch, float, place, face } = yarn;
    const count = point.length / 3;
    const out = new Float32Array(room(count * PLACES));
    const radius = yarn.thickness / 2;
    for (let strand = 0; strand + 1 < first.length; strand++) {
        let along = 0;
        const [begin, end] = [first[strand], first[strand + 1] - 1];
        for (let p = begin; p <= end; p++) {
            const [before, after] = [3 * Math.max(p - 1, begin), 3 * Math.min(p + 1, end)];
            const at = 4 * PLACES * p;
            const [x, y, z] = [point[3 * p], point[3 * p + 1], point[3 * p + 2]];
            const [dx, dy, dz] = [point[after] - point[before], point[after + 1] - point[before + 1], point[after + 2] - point[before + 2]];
            const long = Math.hypot(dx, dy, dz) || 1;
            if (p > begin) along += Math.hypot(x - point[3 * p - 3], y - point[3 * p - 2], z - point[3 * p - 1]);
            const s = stitch[p];
            // how far in front of the middle of the fabric: what lies deep gets less light
            const deep =
                ((x - place[3 * s]) * face[4 * s] + (y - place[3 * s + 1]) * face[4 * s + 1] + (z - place[3 * s + 2]) * face[4 * s + 2]) / 127;
            out[at] = x;
            out[at + 1] = y;
            out[at + 2] = z;
            out[at + 3] = (radius * normal[4 * p + 3]) / 127;
            out[at + 4] = normal[4 * p] / 127;
            out[at + 5] = normal[4 * p + 1] / 127;
            out[at + 6] = normal[4 * p + 2] / 127;
            out[at + 7] = s;
            out[at + 8] = dx / long;
            out[at + 9] = dy / long;
            out[at + 10] = dz / long;
            out[at + 11] = float[p];
            out[at + 12] = along;
            out[at + 13] = deep;
            out[at + 14] = face[4 * s] / 127;
            out[at + 15] = face[4 * s + 2] / 127;
        }
    }
    return out;
}

/** Return the pieces to draw, four numbers each: first point, last point of the strand, yarn, 1 if it begins there.
 * @param {Int32Array} first @param {Uint8Array} yarn @returns {Int32Array} */
export function pieces(first, yarn) {
    const out = [];
    for (let strand = 0; strand + 1 < first.length; strand++) {
        const last = first[strand + 1] - 1;
        for (let begin = first[strand]; begin < last; begin += PIECE) out.push(begin, last, yarn[strand], begin === first[strand] ? 1 : 0);
    }
    return new Int32Array(out);
}

/** Return the corners of one piece of tube, `sides` flat sides: indices into rings of sides + 1 corners.
 * @param {number} sides @returns {Uint16Array} */
export function grid(sides) {
    const out = [];
    // two rings more than steps: the ends are closed by a ring of no width
    for (let ring = 0; ring < PIECE + 2; ring++) {
        for (let side = 0; side < sides; side++) {
            const [a, b] = [ring * (sides + 1) + side, (ring + 1) * (sides + 1) + side];
            out.push(a, a + 1, b, b, a + 1, b + 1);
        }
    }
    return new Uint16Array(out);
}

/** The low and high corners of the stitches that are shown. @param {Yarn} yarn */
export function bounds(yarn) {
    const [low, high] = [[1e9, 1e9, 1e9], [-1e9, -1e9, -1e9]];
    for (let n = 0; n < yarn.place.length / 3; n++) {
        if (!yarn.face[4 * n + 3]) continue;
        for (let c = 0; c < 3; c++) {
            low[c] = Math.min(low[c], yarn.place[3 * n + c]);
            high[c] = Math.max(high[c], yarn.place[3 * n + c]);
        }
    }
    return { low, high };
}

/** Note in the last of each four of `face` which stitches lie in a window.
 * @param {Float32Array} place @param {Int8Array} face
 * @param {[number, number, number, number] | null} window left, right, bottom and top, mm; null if all are shown */
export function shown(place, face, window) {
    for (let n = 0; n < place.length / 3; n++) {
        const [x, y] = [place[3 * n], place[3 * n + 1]];
        face[4 * n + 3] = !window || (x >= window[0] && x <= window[1] && y >= window[2] && y <= window[3]) ? 127 : 0;
    }
}
