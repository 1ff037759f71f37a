// One cloth on its canvas: what is drawn, when, and which stitch lies under a pointer.
import { Camera } from "./camera.js";
import { drawing, Pace } from "./pace.js";
import { room } from "./program.js";
import { Squares } from "./squares.js";
import { DETAILS, YarnDrawing } from "./yarn.js";

/** @typedef {import("./packing.js").Yarn} Yarn */
/** What the stage is given of a state: yarn, and for every stitch its row and column, and those of the chart.
 * @typedef {Yarn & {cell: Int32Array, pull: Float32Array, head?: {case: string}}} Shape */

/** Time without movement after which the cloth is drawn finely, ms. */
const REST = 160;
/** And then, where the processor draws, with smooth edges, ms. */
const POLISH = 900;
/** Dots of such a picture at most. */
const FINEST = 2_600_000;

export class Stage {
    /** @param {HTMLCanvasElement} canvas */
    constructor(canvas) {
        this.canvas = canvas;
        this.means = drawing();
        this.camera = new Camera();
        this.pace = new Pace(this.means === "software");
        /** @type {Shape | null} */
        this.shape = null;
        /** @type {[number, number]} a square of the chart, mm */
        this.cell = [5, 4];
        this.flat = 0;
        /** Whether a tube is looked into: its nearer half is left out. */
        this.inside = false;
        /** @type {[number, number, number] | null} round window onto the back: middle and radius, CSS pixels */
        this.glass = null;
        this.colours = /** @type {[number, number, number][]} */ ([]);
        /** @type {[number, number, number]} */
        this.glowing = [0.95, 0.75, 0.2];
        this.shadow = 0.05;
        /** @type {Uint8Array | null} */
        this.looks = null;
        this.frames = 0;
        this.asked = false;
        this.moved = 0;
        this.stirred = false;
        this.fine = false;
        this.later = 0;
        /** @type {(() => void)[]} */
        this.watchers = [];
        /** @type {Stage | null} another cloth that is to be seen at the same scale */
        this.like = null;
        /** @type {number[] | null} */
        this.low = null;
        /** @type {number[] | null} */
        this.high = null;
        /** @type {number[] | null} */
        this.spread = null;
        /** @type {YarnDrawing | null} */
        this.drawn = null;
        /** @type {Squares | null} */
        this.squares = null;
        /** @type {Float32Array} */
        this.squareOf = new Float32Array(0);
        this.gl = this.means === "none" ? null : canvas.getContext("webgl2", { antialias: this.means === "hardware", alpha: true, premultipliedAlpha: false });
        this.build();
        canvas.addEventListener("webglcontextlost", (event) => event.preventDefault());
        canvas.addEventListener("webglcontextrestored", () => this.build());
    }

    build() {
        if (!this.gl) return;
        this.drawn = new YarnDrawing(this.gl);
        this.squares = new Squares(this.gl);
        if (this.shape) this.load(this.shape, false);
        this.drawn.dyeing(this.colours);
    }

    /** @param {Shape} shape @param {boolean} same whether only its places changed */
    load(shape, same) {
        this.shape = shape;
        if (!same || this.squareOf.length !== shape.place.length) this.looks = null;
        this.squareOf = this.squaresOf(shape);
        const yarn = this.yarnOf(shape);
        if (this.drawn && this.squares) {
            this.drawn.load(shape, same);
            this.squares.load(shape.place, this.squareOf, yarn, shape.face, this.cell);
            this.drawn.moveStitches(this.movesOf(shape));
            if (this.looks) this.drawn.look(this.looks);
            if (!same) this.pace.begin((detail) => this.drawn?.triangles(detail) ?? 0);
        }
        this.fit();
        this.ask(false);
    }

    /** The yarn of each stitch: that of the strand which makes it. @param {Shape} shape */
    yarnOf(shape) {
        const out = new Uint8Array(shape.place.length / 3);
        for (let strand = 0; strand + 1 < shape.first.length; strand++) {
            for (let p = shape.first[strand]; p < shape.first[strand + 1]; p++) {
                if (shape.float[p] < 0) out[shape.stitch[p]] = shape.yarn[strand];
            }
        }
        return out;
    }

    /** Where the square of each stitch lies. @param {Shape} shape */
    squaresOf(shape) {
        const count = shape.place.length / 3;
        const out = new Float32Array(3 * count);
        const middle = this.middleOf(shape);
        let [left, right, bottom, top] = [1e9, -1e9, 1e9, -1e9];
        for (let n = 0; n < count; n++) {
            if (!shape.face[4 * n + 3]) continue;
            const [row, column] = [shape.cell[4 * n], shape.cell[4 * n + 1]];
            [left, right, bottom, top] = [Math.min(left, column), Math.max(right, column), Math.min(bottom, row), Math.max(top, row)];
        }
        for (let n = 0; n < count; n++) {
            out[3 * n] = middle[0] + (shape.cell[4 * n + 1] - (left + right) / 2) * this.cell[0];
            out[3 * n + 1] = middle[1] + (shape.cell[4 * n] - (bottom + top) / 2) * this.cell[1];
            out[3 * n + 2] = middle[2];
        }
        this.spread = [(right - left + 1) * this.cell[0], (top - bottom + 1) * this.cell[1]];
        return out;
    }

    /** @param {Shape} shape */
    middleOf(shape) {
        const [low, high] = [[1e9, 1e9, 1e9], [-1e9, -1e9, -1e9]];
        for (let n = 0; n < shape.place.length / 3; n++) {
            if (!shape.face[4 * n + 3]) continue;
            for (let c = 0; c < 3; c++) {
                low[c] = Math.min(low[c], shape.place[3 * n + c]);
                high[c] = Math.max(high[c], shape.place[3 * n + c]);
            }
        }
        this.low = low;
        this.high = high;
        return low.map((one, c) => (one + high[c]) / 2);
    }

    /** @param {Shape} shape */
    movesOf(shape) {
        const count = shape.place.length / 3;
        const out = new Float32Array(room(count));
        for (let n = 0; n < count; n++) {
            for (let c = 0; c < 3; c++) out[4 * n + c] = this.squareOf[3 * n + c] - shape.place[3 * n + c];
        }
        return out;
    }

    /** Where a stitch is now, on its way from cloth to square. @param {number} n @returns {[number, number, number]} */
    place(n) {
        const at = /** @type {Shape} */ (this.shape).place;
        const [f, to] = [this.flat, this.squareOf];
        const k = 3 * n;
        return [at[k] + f * (to[k] - at[k]), at[k + 1] + f * (to[k + 1] - at[k + 1]), at[k + 2] + f * (to[k + 2] - at[k + 2])];
    }

    /** How large what is to be seen is, with room for half a stitch around it; between cloth and squares in between. */
    extent() {
        const { low, high, spread, cell, flat } = this;
        if (!low || !high || !spread) return null;
        const rest = high.map((one, c) => one - low[c] + 1.2 * cell[Math.min(c, 1)]);
        return rest.map((one, c) => (c < 2 ? one + flat * (spread[c] - one) : one));
    }

    /** Frame what is to be seen for half a stitch around it. */
    fit() {
        const own = this.extent();
        if (!own || !this.low || !this.high) return;
        const middle = this.low.map((one, c) => (one + /** @type {number[]} */ (this.high)[c]) / 2);
        const other = this.like?.extent();
        const size = other ? own.map((one, c) => Math.max(one, other[c])) : own;
        this.camera.frame(middle.map((one, c) => one - size[c] / 2), middle.map((one, c) => one + size[c] / 2));
    }

    /** @param {number} width @param {number} height CSS pixels @param {import("./camera.js").Margins} margins */
    resize(width, height, margins) {
        this.camera.resize(width, height, margins);
        this.ask(false);
    }

    /** Ask for a frame. @param {boolean} moving whether more will follow at once */
    ask(moving) {
        if (moving) {
            this.moved = performance.now();
            this.stirred = true;
            this.fine = false;
        }
        if (this.asked) return;
        this.asked = true;
        requestAnimationFrame((now) => {
            this.asked = false;
            this.frame(now);
        });
    }

    /** @param {number} now */
    frame(now) {
        // on a slow machine the frame that was asked for comes long after the movement
        const moving = this.stirred || performance.now() - this.moved < REST;
        this.stirred = false;
        if (moving) this.pace.frame(now);
        this.fit();
        this.camera.update();
        for (const watcher of this.watchers) watcher();
        this.draw(moving);
        this.frames += 1;
        window.clearTimeout(this.later);
        if (moving) this.later = window.setTimeout(() => this.ask(false), REST);
        else if (this.pace.software && !this.fine) this.later = window.setTimeout(() => this.polish(), POLISH);
        this.fine = false;
    }

    /** Where the processor draws, edges are smoothed once nothing has changed for a while: by more dots. */
    polish() {
        this.fine = true;
        this.ask(false);
    }

    /** @param {boolean} moving */
    draw(moving) {
        const { gl, drawn, squares, camera, canvas } = this;
        if (!gl || !drawn || !squares || gl.isContextLost()) return;
        const detail = moving ? DETAILS[this.pace.moving] : this.pace.still((one) => drawn.triangles(one));
        const dots = this.fine && !moving ? Math.max(1, Math.min(2, Math.sqrt(FINEST / (camera.width * camera.height)))) : Math.min(window.devicePixelRatio || 1, 2) * detail.dots;
        const [width, height] = [Math.max(1, Math.round(camera.width * dots)), Math.max(1, Math.round(camera.height * dots))];
        if (canvas.width !== width || canvas.height !== height) {
            canvas.width = width;
            canvas.height = height;
        }
        gl.viewport(0, 0, width, height);
        gl.clearColor(0, 0, 0, 0);
        gl.clearDepth(1);
        gl.clear(gl.COLOR_BUFFER_BIT | gl.DEPTH_BUFFER_BIT);
        if (!this.shape) return;
        const { glowing, flat } = this;
        if (flat < 1 && (!moving || !this.pace.software)) {
            squares.drawShadow(camera, camera.lens, this.table(), drawn.looks, this.shadow * (1 - flat));
        }
        const half = this.tube && this.inside ? -1 : 0;
        if (!detail.sides) squares.draw(camera, { looks: drawn.looks, dye: drawn.dye, flat, fade: 1, solid: true, half, glowing });
        else if (flat < 1) drawn.draw(camera, detail, { flat, glowing, half });
        if (flat > 0) squares.draw(camera, { looks: drawn.looks, dye: drawn.dye, flat, fade: Math.min(1, flat * 1.4), glowing });
        if (this.glass && flat === 0) this.drawGlass(detail.sides ? detail : DETAILS[DETAILS.length - 2], dots, height);
    }

    /** Whether the cloth is closed to a tube. */
    get tube() {
        return this.shape?.head?.case === "round";
    }

    /** Whether the back is seen: the cloth turned over, or a tube looked into. */
    get behind() {
        return this.tube ? this.inside : this.camera.behind;
    }

    /** Depth of the table top, seen from the eye: a little below the lowest stitch. */
    table() {
        const { camera, low, high } = this;
        if (!low || !high) return -camera.far;
        let least = 0;
        for (let corner = 0; corner < 8; corner++) {
            const at = [0, 1, 2].map((c) => ((corner >> c) & 1 ? high[c] : low[c]));
            const m = camera.model;
            least = Math.min(least, m[2] * at[0] + m[6] * at[1] + m[10] * at[2] + m[14]);
        }
        return least - 0.6 * this.cell[0];
    }

    /** The back in a round window: the same camera, and the farthest yarn instead of the nearest.
     * @param {import("./yarn.js").Detail} detail @param {number} dots @param {number} height */
    drawGlass(detail, dots, height) {
        const { gl, drawn, glass, camera } = this;
        if (!gl || !drawn || !glass) return;
        const [x, y, r] = glass.map((one) => one * dots);
        gl.enable(gl.SCISSOR_TEST);
        gl.scissor(Math.floor(x - r), Math.floor(height - y - r), Math.ceil(2 * r), Math.ceil(2 * r));
        gl.clearDepth(0);
        gl.clear(gl.DEPTH_BUFFER_BIT);
        drawn.draw(camera, detail, { behind: true, half: this.tube ? (this.inside ? -1 : 1) : 0, ring: [x, height - y, r], glowing: this.glowing });
        gl.disable(gl.SCISSOR_TEST);
        gl.clearDepth(1);
    }

    /** @param {[number, number, number][]} colours in linear light */
    dyeing(colours) {
        this.colours = colours;
        this.drawn?.dyeing(colours);
        this.ask(false);
    }

    /** @param {(looks: Uint8Array) => void} change writes four bytes a stitch: yarn or 255, how lit */
    look(change) {
        if (!this.shape) return;
        if (!this.looks) {
            this.looks = new Uint8Array(room(this.shape.place.length / 3));
            for (let k = 0; k < this.looks.length; k += 4) this.looks[k] = 255;
        }
        change(this.looks);
        this.drawn?.look(this.looks);
        this.ask(false);
    }

    /** @param {Uint8Array} colours four a float */
    colourFloats(colours) {
        this.drawn?.colourFloats(colours);
        this.ask(false);
    }

    /** The stitch under a pointer, or -1: the nearest to the eye of those about there.
     * @param {number} x @param {number} y CSS pixels */
    pick(x, y) {
        const { shape, camera } = this;
        if (!shape) return -1;
        const reach = camera.scale * Math.max(...this.cell) * 0.75;
        let best = -1;
        let least = Infinity;
        for (let n = 0; n < shape.place.length / 3; n++) {
            if (!this.visible(n) && (this.tube || !shape.face[4 * n + 3])) continue;
            const [px, py, depth] = camera.seen(...this.place(n));
            const [dx, dy] = [(px - x) / this.cell[0], (py - y) / this.cell[1]];
            if (Math.abs(px - x) > reach || Math.abs(py - y) > reach) continue;
            // half a stitch of depth counts as one stitch beside
            const far = Math.hypot(dx, dy) / camera.scale + (2 * (depth - camera.far)) / this.cell[0] / 4;
            if (Math.hypot(dx, dy) / camera.scale < 0.85 && far < least) {
                least = far;
                best = n;
            }
        }
        return best;
    }

    /** Whether a stitch is turned to the eye, or its back is and the cloth is one layer. @param {number} n */
    visible(n) {
        const { shape, camera } = this;
        if (!shape || !shape.face[4 * n + 3]) return false;
        if (this.flat > 0.5) return true;
        const facing = camera.towards(shape.face[4 * n], shape.face[4 * n + 1], shape.face[4 * n + 2]);
        return this.behind === facing < 0;
    }
}
