// One cloth on its canvas: what is drawn, when, and which stitch lies under a pointer.
import { BodyDrawing } from "./body.js";
import { Camera } from "./camera.js";
import { drawing, Pace } from "./pace.js";
import { Lay } from "./lay.js";
import { pick, visible } from "./pick.js";
import { pictureParts } from "./picture.js";
import { room } from "./program.js";
import { Slowly } from "./slowly.js";
import { Squares } from "./squares.js";
import { DETAILS, YarnDrawing } from "./yarn.js";

/** @typedef {import("./lay.js").Shape} Shape */

/** Time without movement after which the cloth is drawn finely, ms. */
const REST = 160;
/** Time in which the first look at what was asked for is expected, ms. */
const EXPECTED = 400;
/** Time without movement after which, where the processor draws, edges are smoothed, ms. */
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
        /** @type {Lay | null} */
        this.lay = null;
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
        this.floats = new Uint8Array(0);
        this.frames = 0;
        /** Raised with whatever else than the eye's place changes the picture. */
        this.changes = 0;
        /** What the picture on the canvas was drawn of, how, and how finely: as what moves, lies still or stays. */
        this.shown = { what: "", how: "", grade: 0 };
        this.asked = false;
        this.moved = 0;
        this.stirred = false;
        /** Whether a shape has come that isn't on the canvas. */
        this.fresh = false;
        this.fine = false;
        this.later = 0;
        /** @type {(() => void)[]} */
        this.watchers = [];
        /** @type {Stage | null} another cloth that is to be seen at the same scale */
        this.like = null;
        /** @type {YarnDrawing | null} */
        this.drawn = null;
        /** @type {Squares | null} */
        this.squares = null;
        /** @type {BodyDrawing | null} */
        this.body = null;
        /** @type {Slowly | null} */
        this.slowly = null;
        this.gl = this.means === "none" ? null : canvas.getContext("webgl2", { antialias: this.means === "hardware", alpha: true, premultipliedAlpha: false });
        this.build();
        canvas.addEventListener("webglcontextlost", (event) => event.preventDefault());
        canvas.addEventListener("webglcontextrestored", () => this.build());
    }

    build() {
        if (!this.gl) return;
        this.changes += 1;
        this.drawn = new YarnDrawing(this.gl);
        this.squares = new Squares(this.gl);
        this.body = new BodyDrawing(this.gl);
        this.slowly?.leave();
        this.slowly = new Slowly(this.gl);
        if (this.lay) this.load(this.lay.shape, false);
        this.drawn.dyeing(this.colours);
    }

    /** @param {Shape} shape @param {boolean} same whether only its places changed */
    load(shape, same) {
        this.changes += 1;
        this.fresh = true;
        if (!same || this.lay?.count !== shape.place.length / 3) this.looks = null;
        if (!same) this.floats = new Uint8Array(0);
        const lay = new Lay(shape, this.cell);
        this.lay = lay;
        if (this.drawn && this.squares) {
            this.drawn.load(shape, same);
            this.body?.load(shape.body);
            this.squares.load(shape.place, lay.squareOf, lay.yarns(), shape.face, this.cell);
            this.drawn.moveStitches(lay.moves());
            if (this.looks) this.drawn.look(this.looks);
            if (!same) this.pace.begin((detail) => this.drawn?.triangles(detail) ?? 0);
        }
        this.fit();
        this.ask(false);
    }

    /** The shape that is shown. */
    get shape() {
        return this.lay?.shape ?? null;
    }

    /** Where a stitch is now, on its way from cloth to square. @param {number} n @returns {[number, number, number]} */
    place(n) {
        return /** @type {Lay} */ (this.lay).at(n, this.flat);
    }

    /** Frame what is to be seen for half a stitch around it. */
    fit() {
        const { lay } = this;
        if (!lay) return;
        const own = lay.extent(this.flat);
        const other = this.like?.lay?.extent(this.like.flat);
        const size = other ? own.map((one, c) => Math.max(one, other[c])) : own;
        this.camera.frame(lay.middle.map((one, c) => one - size[c] / 2), lay.middle.map((one, c) => one + size[c] / 2));
    }

    /** Come as near as lets all of it be seen, however it is turned now. */
    wholly() {
        const { camera, lay } = this;
        if (!lay) return;
        this.fit();
        // a nearer eye sees what is in front of the middle larger, so a few times
        for (let k = 0; k < 4; k++) {
            camera.update();
            camera.nearer(1 / camera.filled(lay.corners()));
        }
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

    /** Something else is about to be seen: where the processor draws, no fine picture is begun now, which would be in its
     * way. */
    expect() {
        if (!this.pace.software) return;
        this.moved = performance.now();
        this.fine = false;
        this.slowly?.leave();
        window.clearTimeout(this.later);
        this.later = window.setTimeout(() => this.ask(false), EXPECTED);
    }

    /** @param {number} now */
    frame(now) {
        // on a slow machine the frame that was asked for comes long after the movement
        const moving = this.stirred || performance.now() - this.moved < REST || (this.fresh && this.pace.software);
        this.stirred = this.fresh = false;
        if (moving) this.pace.frame(now);
        this.fit();
        this.camera.update();
        for (const watcher of this.watchers) watcher();
        this.draw(moving, false);
        this.frames += 1;
        window.clearTimeout(this.later);
        if (moving) this.later = window.setTimeout(() => this.ask(false), REST);
        else if (this.pace.software && Math.max(this.shown.grade, this.slowly?.shown?.grade ?? 0) < 2) this.later = window.setTimeout(() => this.polish(), POLISH);
        this.fine = false;
    }

    /** Where the processor draws, edges are smoothed once nothing has changed for a while: by more dots. On a slow machine
     * the fine picture is still on its way by then, and comes first. */
    polish() {
        if (this.slowly?.shown) {
            this.later = window.setTimeout(() => this.polish(), POLISH);
            return;
        }
        this.fine = true;
        this.ask(false);
    }

    /** @param {boolean} moving @param {boolean} [again] whether to draw what is on the canvas already */
    draw(moving, again = true) {
        const { gl, drawn, slowly, camera, canvas } = this;
        if (!gl || !drawn || !slowly || gl.isContextLost()) return;
        const detail = moving ? DETAILS[this.pace.moving] : this.pace.still((one) => drawn.triangles(one), this.fine);
        const dots = this.fine && !moving ? Math.max(1, Math.min(2, Math.sqrt(FINEST / (camera.width * camera.height)))) : Math.min(window.devicePixelRatio || 1, 2) * detail.dots;
        const [width, height] = [Math.max(1, Math.round(camera.width * dots)), Math.max(1, Math.round(camera.height * dots))];
        // what was drawn stays on the canvas: the same is not drawn again, nor more coarsely
        const what = [this.changes, camera.width, camera.height, this.flat, this.inside, this.glass, this.shadow, ...camera.clip].join();
        const how = [width, height, detail.sides, detail.ply, moving].join();
        const shown = { what, how, grade: moving ? 0 : this.fine ? 2 : 1 };
        if (!again && what === this.shown.what && (how === this.shown.how || shown.grade < this.shown.grade)) return;
        if (!again && slowly.draws(shown)) return;
        slowly.leave();
        const onto = () => {
            this.shown = shown;
            if (canvas.width === width && canvas.height === height) return;
            canvas.width = width;
            canvas.height = height;
        };
        const parts = pictureParts(this, moving, detail, dots, [width, height]);
        if (this.pace.software && shown.grade && !again) {
            slowly.begin(shown, [width, height], parts, onto);
            return;
        }
        onto();
        for (const part of parts) part();
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
        const { camera, lay } = this;
        if (!lay) return -camera.far;
        const m = camera.model;
        const deep = lay.corners().map(([x, y, z]) => m[2] * x + m[6] * y + m[10] * z + m[14]);
        return Math.min(0, ...deep) - 0.6 * this.cell[0];
    }

    /** @param {[number, number, number][]} colours in linear light */
    dyeing(colours) {
        if (colours.join() !== this.colours.join()) this.changes += 1;
        this.colours = colours;
        this.drawn?.dyeing(colours);
        this.ask(false);
    }

    /** @param {(looks: Uint8Array) => void} change writes four bytes a stitch: yarn or 255, how lit */
    look(change) {
        if (!this.lay) return;
        if (!this.looks) {
            this.looks = new Uint8Array(room(this.lay.count));
            for (let k = 0; k < this.looks.length; k += 4) this.looks[k] = 255;
        }
        const before = this.looks.slice();
        change(this.looks);
        if (!alike(before, this.looks)) {
            this.changes += 1;
            this.drawn?.look(this.looks);
        }
        this.ask(false);
    }

    /** @param {Uint8Array} colours four a float */
    colourFloats(colours) {
        if (!alike(colours, this.floats)) {
            this.changes += 1;
            this.floats = colours.slice();
            this.drawn?.colourFloats(colours);
        }
        this.ask(false);
    }

    /** The stitch under a pointer, or -1. @param {number} x @param {number} y CSS pixels */
    pick(x, y) {
        return pick(this, x, y);
    }

    /** Whether a stitch is turned to the eye, or its back is and the cloth is one layer. @param {number} n */
    visible(n) {
        return visible(this, n);
    }
}

/** @param {Uint8Array} one @param {Uint8Array} other */
function alike(one, other) {
    return one.length === other.length && one.every((value, k) => value === other[k]);
}
