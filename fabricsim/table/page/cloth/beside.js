// A second cloth beside the first: at the same scale, turned as the first is.
import { by } from "../dom.js";
import { light } from "../gl/light.js";
import { Stage } from "../gl/stage.js";
import { Places } from "./places.js";
import { Tape } from "./tape.js";
import { WORDS } from "../words.js";

/** @typedef {import("./bench.js").Bench} Bench */
/** @typedef {import("../talk/shapes.js").Fabric} Fabric */

export class Beside {
    /** @param {Bench} bench @param {() => void} resized */
    constructor(bench, resized) {
        this.bench = bench;
        this.resized = resized;
        this.root = by("beside");
        /** @type {Stage | null} */
        this.stage = null;
        /** @type {"try" | "back"} */
        this.what = "try";
        /** @type {Places | null} */
        this.places = null;
        this.topology = -1;
        bench.table.on("second", (fabric) => {
            if (this.what === "try") this.load(fabric);
        });
        bench.table.on("shape", (fabric) => {
            if (this.what === "back" && !this.root.hidden) this.load(fabric);
        });
        bench.table.on("scene", () => this.dye());
        bench.stage.watchers.push(() => this.follow());
    }

    /** @param {number | null} id @param {import("../messages").Tried | null} told */
    lay(id, told) {
        this.what = "try";
        this.open(id !== null);
        by("beside_words").textContent = told ? WORDS.laid_beside(told.change, told.loss_percent) : "";
    }

    /** Show the back of the same cloth. @param {boolean} on */
    back(on) {
        this.what = "back";
        this.open(on);
        by("beside_words").textContent = on ? WORDS.back : "";
        if (on && this.bench.table.shape) this.load(this.bench.table.shape);
    }

    /** @param {boolean} on */
    open(on) {
        if (this.root.hidden === !on) return;
        this.root.hidden = !on;
        if (on && !this.stage) this.layOut();
        if (this.stage) this.stage.like = on ? this.bench.stage : null;
        this.bench.stage.like = on ? this.stage : null;
        this.resized();
    }

    /** Make what it takes to show a second cloth, and a tape under it. */
    layOut() {
        const stage = new Stage(/** @type {HTMLCanvasElement} */ (by("canvas2")));
        this.stage = stage;
        this.places = new Places(stage);
        const { table } = this.bench;
        // of another side of the same cloth the same is said
        const said = () => (this.what === "back" ? table.said : table.saidBeside);
        this.tape = new Tape({ stage, places: this.places, table, said }, /** @type {SVGElement} */ (/** @type {unknown} */ (by("drawn2"))));
    }

    /** @param {Fabric} fabric */
    load(fabric) {
        if (!this.stage) return;
        this.stage.cell = fabric.head.stitch_mm;
        this.stage.load(fabric, this.topology === fabric.head.topology);
        this.places?.take(fabric);
        if (!fabric.head.rest) this.stage.ask(true);
        this.topology = fabric.head.topology;
        this.dye();
        this.follow();
        // both are drawn at the scale at which the larger fits
        this.bench.stage.ask(false);
    }

    dye() {
        const { scene } = this.bench.table;
        if (scene) this.stage?.dyeing(scene.yarns.map((yarn) => light(yarn.colour)));
    }

    follow() {
        const { stage, bench } = this;
        if (!stage || this.root.hidden) return;
        const from = bench.stage;
        const back = this.what === "back";
        stage.inside = back !== from.inside;
        stage.camera.yaw = from.camera.yaw + (back && !stage.tube ? Math.PI : 0);
        stage.camera.pitch = from.camera.pitch;
        stage.camera.zoom = from.camera.zoom;
        stage.camera.shift = [...from.camera.shift];
        stage.flat = from.flat;
        stage.ask(performance.now() - from.moved < 200);
    }

    /** @param {import("../gl/camera.js").Margins} margins */
    resize(margins) {
        if (!this.stage || this.root.hidden) return;
        const box = by("canvas2").getBoundingClientRect();
        // as much room as the first has, so that both are of one scale
        const side = (margins.left + margins.right) / 2;
        this.stage.resize(box.width, box.height, { ...margins, left: side, right: side });
    }
}
