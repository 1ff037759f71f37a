// The cloth as it is worked on: which tool, which yarn, which stitch, and what of it is drawn.
import { light } from "../gl/light.js";
import { Stage } from "../gl/stage.js";
import { Chart } from "./chart.js";
import { FloatCosts, floatColours, greatest } from "./colouring.js";
import { Movement } from "./movement.js";
import { Places } from "./places.js";
import { middle, together } from "./symmetry.js";

/** @typedef {import("../talk/table.js").Table} Table */
/** @typedef {import("../talk/shapes.js").Fabric} Fabric */
/** @typedef {"needle" | "frame" | "turn"} Tool */
/** @typedef {{row: number, column: number, rows: number, columns: number}} Box */

/** What moves the cloth, of all that is asked. */
const MOVING = new Set(["paint", "set", "motif", "size", "undo", "redo", "advice", "take"]);

export class Bench {
    /** @param {Table} table @param {HTMLCanvasElement} canvas */
    constructor(table, canvas) {
        this.table = table;
        this.stage = new Stage(canvas);
        this.places = new Places(this.stage);
        this.chart = new Chart();
        this.tool = /** @type {Tool} */ ("needle");
        this.yarn = 1;
        this.symmetry = /** @type {import("./symmetry.js").Symmetry} */ ("none");
        /** @type {import("./symmetry.js").Axis | null} where it mirrors, the middle if not said */
        this.axis = null;
        /** @type {[number, number]} row and column of the piece */
        this.cursor = [0, 0];
        /** @type {Box | null} */
        this.box = null;
        /** @type {number[][] | null} */
        this.copied = null;
        this.colouring = /** @type {import("./colouring.js").Colouring} */ ("none");
        this.costs = new FloatCosts();
        /** @type {Set<number>} */
        this.litFloats = new Set();
        /** @type {Set<number>} */
        this.litStitches = new Set();
        this.glass = false;
        this.hardest = 1;
        /** @type {(() => void)[]} */
        this.watchers = [];
        this.movement = new Movement(this.stage, () => this.watch());
        table.on("scene", (scene) => this.takeScene(scene));
        table.on("shape", (shape) => this.takeShape(shape));
        table.on("asked", (asked) => MOVING.has(asked.kind) && this.stage.expect());
        table.on("trouble", (trouble) => {
            if (trouble.asked === "paint" || trouble.asked === "chart") this.chart.pending.clear();
            this.paintLooks();
        });
    }

    /** @param {import("../messages").TellScene} scene */
    takeScene(scene) {
        this.chart.take(scene.chart);
        this.yarn = Math.min(this.yarn, scene.yarns.length - 1);
        this.stage.cell = [100 / scene.gauge[0], 100 / scene.gauge[1]];
        this.stage.dyeing(scene.yarns.map((yarn) => light(yarn.colour)));
        if (this.box && (this.box.row + this.box.rows > this.chart.height || this.box.columns > this.chart.width)) this.box = null;
        this.paintLooks();
        this.tell();
    }

    /** @param {Fabric} fabric */
    takeShape(fabric) {
        const same = this.stage.shape !== null && this.places.topology === fabric.head.topology;
        const fresh = this.stage.shape === null;
        const before = this.places.square(this.under);
        const [other, was] = [this.stage.shape?.head?.case !== fabric.head.case, this.cursor];
        this.stage.cell = fabric.head.stitch_mm;
        this.stage.load(fabric, same);
        // what is still settling is drawn as what moves
        if (!fabric.head.rest) this.stage.ask(true);
        this.places.take(fabric);
        if (fresh || other || this.places.at(...this.cursor) < 0) this.cursor = this.places.nearTheMiddle(before);
        if (!same) {
            this.litFloats.clear();
            this.paintLooks();
        }
        this.paintFloats();
        if (fresh || was !== this.cursor) this.tell();
    }

    tell() {
        this.watch();
        this.stage.ask(false);
    }

    watch() {
        for (const watcher of this.watchers) watcher();
    }

    // ---- knitting ----

    /** Knit the squares that go with a stitch. @param {number} n @param {number} stroke @param {number} [yarn] */
    knit(n, stroke, yarn = this.yarn) {
        const square = this.places.square(n);
        if (!square) return;
        this.paint(
            this.going(square).map(([row, column]) => [row, column, yarn]),
            stroke,
        );
    }

    /** Squares that are knitted together with one. @param {[number, number]} square */
    going(square) {
        return together(this.chart, this.symmetry, this.axis ?? middle(this.chart), ...square);
    }

    /** @param {import("./chart.js").Square[]} squares @param {number} stroke */
    paint(squares, stroke) {
        const changed = this.chart.paint(squares);
        if (!changed.length) return;
        this.table.ask({ kind: "paint", squares: changed, stroke });
        this.paintLooks();
        this.tell();
    }

    /** Show stitches in the yarn they are painted in, before the server has said what becomes of it. */
    paintLooks() {
        const { stage, chart } = this;
        const cell = stage.shape?.cell;
        if (!cell) return;
        const yarns = this.table.scene?.yarns.length ?? 1;
        stage.look((looks) => {
            for (let n = 0; n < cell.length / 4; n++) {
                const [row, column] = [cell[4 * n + 2], cell[4 * n + 3]];
                const known = row >= 0 && row < chart.height && column < chart.width;
                looks[4 * n] = known ? Math.min(chart.at(row, column), yarns - 1) : 255;
                looks[4 * n + 1] = this.litStitches.has(n) ? 255 : 0;
            }
        });
    }

    /** Colour the floats by how they pull, and light those that are pointed at. */
    paintFloats() {
        const shape = /** @type {Fabric | null} */ (this.stage.shape);
        if (!shape) return;
        this.hardest = greatest(shape, this.colouring, this.costs);
        this.stage.colourFloats(floatColours(shape, this.colouring, this.costs, this.litFloats));
    }

    /** Colour the floats by something, and show the side on which they lie. @param {import("./colouring.js").Colouring} by */
    colour(by) {
        this.colouring = by;
        this.paintFloats();
        if (by !== "none" && !this.stage.behind && !this.glass && this.stage.flat < 0.5) this.turnOver();
        this.tell();
    }

    /** Light squares of the chart while something that is about them is pointed at.
     * @param {HTMLElement} what @param {readonly (readonly [number, number])[]} squares */
    pointed(what, squares) {
        const lighten = () => {
            this.litStitches = new Set(squares.flatMap(([row, column]) => this.places.ofSquare(row, column)));
            this.paintLooks();
        };
        for (const name of ["pointerenter", "focus"]) what.addEventListener(name, lighten);
        for (const name of ["pointerleave", "blur"]) what.addEventListener(name, () => this.unlight());
    }

    // ---- looking ----

    /** @param {number} row @param {number} column of the piece */
    moveTo(row, column) {
        this.cursor = [row, column];
        this.tell();
    }

    /** The stitch under the needle, or -1. */
    get under() {
        return this.places.at(...this.cursor);
    }

    /** Turn to a side, or move between cloth and squares, in one movement.
     * @param {{yaw?: number, pitch?: number, flat?: number, home?: boolean}} to */
    goTo(to) {
        this.movement.go(to);
    }

    /** The turn nearest to now that shows a side. @param {boolean} back */
    facing(back) {
        const half = Math.round((this.stage.camera.yaw - (back ? Math.PI : 0)) / (2 * Math.PI));
        return half * 2 * Math.PI + (back ? Math.PI : 0);
    }

    turnOver() {
        if (this.stage.tube) {
            this.stage.inside = !this.stage.inside;
            this.goTo({ pitch: 0, flat: 0 });
            this.tell();
            return;
        }
        this.goTo({ yaw: this.facing(!this.stage.behind), pitch: 0, flat: 0 });
    }

    squares() {
        const flat = this.stage.flat > 0.5 ? 0 : 1;
        this.goTo(flat ? { flat, yaw: this.facing(false), pitch: 0, home: true } : { flat });
    }

    /** Turn a stitch of the piece to the eye and light it, or the floats behind it.
     * @param {{row: number, column: number, floats?: boolean, side?: "face" | "back"}} where of the piece */
    show(where) {
        const n = this.places.at(where.row, where.column);
        const shape = this.table.shape;
        if (n < 0 || !shape) return;
        this.cursor = [where.row, where.column];
        this.litStitches = new Set(where.floats ? [] : [n]);
        this.litFloats = new Set(where.floats ? this.places.floatsBehind(n) : []);
        this.paintLooks();
        this.paintFloats();
        const back = where.side === "back";
        // a tube is turned so that the stitch looks at the eye
        const side = this.stage.tube ? -Math.atan2(shape.face[4 * n], shape.face[4 * n + 2]) : 0;
        this.stage.inside = back;
        const want = side + (back ? Math.PI : 0);
        const near = want + 2 * Math.PI * Math.round((this.stage.camera.yaw - want) / (2 * Math.PI));
        this.goTo({ yaw: near, pitch: back ? 0.25 : 0, flat: 0 });
        this.tell();
    }

    unlight() {
        if (!this.litFloats.size && !this.litStitches.size) return;
        this.litFloats.clear();
        this.litStitches.clear();
        this.paintLooks();
        this.paintFloats();
    }
}
