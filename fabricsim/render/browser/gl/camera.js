// Where the cloth is looked at from. The cloth turns; the table under it stays.
import { moved, perspective, times, turned } from "./matrix.js";

/** Tangent of half the angle of view: far enough off that rows stay level, near enough to see depth. */
const HALF = 0.2;
const STEEPEST = 1.45;
/** Radians a pixel of dragging. */
const TURN = 0.008;
const NEAREST = 0.6;
const FARTHEST = 12;

/** @typedef {{left: number, right: number, top: number, bottom: number}} Margins CSS pixels kept free round the cloth */

export class Camera {
    constructor() {
        this.yaw = 0;
        this.pitch = 0;
        this.zoom = 1;
        this.shift = [0, 0];
        /** @type {[number, number, number]} */
        this.middle = [0, 0, 0];
        this.size = [100, 100, 10];
        this.width = 100;
        this.height = 100;
        /** @type {Margins} */
        this.margins = { left: 0, right: 0, top: 0, bottom: 0 };
        this.clip = new Float32Array(16);
        this.model = new Float32Array(16);
        this.lens = this.clip;
        this.far = 1;
        this.update();
    }

    /** @param {ArrayLike<number>} low corner of what is to be seen, mm @param {ArrayLike<number>} high */
    frame(low, high) {
        for (let c = 0; c < 3; c++) {
            this.middle[c] = (low[c] + high[c]) / 2;
            this.size[c] = Math.max(high[c] - low[c], 1);
        }
    }

    /** @param {number} width @param {number} height CSS pixels @param {Margins} margins */
    resize(width, height, margins) {
        this.width = Math.max(width, 1);
        this.height = Math.max(height, 1);
        this.margins = margins;
    }

    /** @param {number} across @param {number} up pixels dragged */
    turn(across, up) {
        this.turnBy(across * TURN, up * TURN);
    }

    /** @param {number} about radians to the right @param {number} down radians towards looking down on it */
    turnBy(about, down) {
        this.yaw += about;
        this.pitch = Math.min(STEEPEST, Math.max(-STEEPEST, this.pitch + down));
    }

    /** @param {number} factor @param {number} [x] @param {number} [y] CSS pixels that stay where they are */
    nearer(factor, x, y) {
        const before = this.zoom;
        this.zoom = Math.min(FARTHEST, Math.max(NEAREST, this.zoom * factor));
        if (x === undefined || y === undefined) return;
        const [left, top] = this.seat();
        const grown = this.zoom / before;
        this.shift[0] += (x - left - this.shift[0]) * (1 - grown);
        this.shift[1] += (y - top - this.shift[1]) * (1 - grown);
    }

    /** @param {number} x @param {number} y pixels */
    slide(x, y) {
        this.shift[0] += x;
        this.shift[1] += y;
    }

    home() {
        this.zoom = 1;
        this.shift = [0, 0];
    }

    /** Whether the back is turned to the eye. */
    get behind() {
        return Math.cos(this.yaw) < 0;
    }

    /** Where the middle of the cloth lies unshifted, CSS pixels. */
    seat() {
        const { left, right, top, bottom } = this.margins;
        return [(left + this.width - right) / 2, (top + this.height - bottom) / 2];
    }

    /** CSS pixels to a millimetre at the middle of the cloth. */
    get scale() {
        const { left, right, top, bottom } = this.margins;
        const room = Math.max(this.height - top - bottom, 40);
        const across = Math.max(this.width - left - right, 40) / this.size[0];
        // what is nearer to the eye looks higher: the front of a tube has to fit too
        const up = room / (this.size[1] + (room / this.height) * HALF * this.size[2]);
        return Math.min(across, up) * 0.98 * this.zoom;
    }

    update() {
        const far = this.height / (2 * HALF * this.scale);
        const depth = Math.hypot(...this.size);
        const [x, y] = this.seat();
        const right = (x + this.shift[0] - this.width / 2) / this.scale;
        const down = (y + this.shift[1] - this.height / 2) / this.scale;
        const [a, b, c] = this.middle;
        this.model = times(turned(this.yaw, this.pitch), moved(-a, -b, -c));
        this.model = times(moved(0, 0, -far), this.model);
        const lens = perspective(HALF, this.width / this.height, Math.max(far - depth, far * 0.02), far + depth);
        // the cloth stands beside the middle of the page by a shift of the lens, so that it is seen straight on
        lens[8] -= (2 * right * this.scale) / this.width;
        lens[9] += (2 * down * this.scale) / this.height;
        this.lens = lens;
        this.clip = times(lens, this.model);
        this.far = far;
    }

    /** @param {number} x @param {number} y @param {number} z mm @returns {[number, number, number]} CSS pixels, and depth */
    seen(x, y, z) {
        const m = this.clip;
        const w = m[3] * x + m[7] * y + m[11] * z + m[15];
        const across = (m[0] * x + m[4] * y + m[8] * z + m[12]) / w;
        const up = (m[1] * x + m[5] * y + m[9] * z + m[13]) / w;
        return [((1 + across) * this.width) / 2, ((1 - up) * this.height) / 2, w];
    }

    /** Share of the room that points take, in the direction in which they take most. @param {[number, number, number][]} points */
    filled(points) {
        const { left, right, top, bottom } = this.margins;
        const [x, y] = this.seat();
        const [wide, high] = [Math.max(this.width - left - right, 40) / 2, Math.max(this.height - top - bottom, 40) / 2];
        const shares = points.map((point) => {
            const [across, down] = this.seen(...point);
            return Math.max(Math.abs(across - x - this.shift[0]) / wide, Math.abs(down - y - this.shift[1]) / high);
        });
        return Math.max(...shares);
    }

    /** How much a direction points towards the eye. @param {number} x @param {number} y @param {number} z */
    towards(x, y, z) {
        const m = this.model;
        return m[2] * x + m[6] * y + m[10] * z;
    }
}
