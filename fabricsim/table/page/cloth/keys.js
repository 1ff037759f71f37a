// The cloth by keyboard. Letters count only while the cloth or its tools have the focus.
import { GLASS } from "./needle.js";
import { SYMMETRIES } from "./symmetry.js";
import { boxOf } from "./needle.js";

/** @typedef {import("./bench.js").Bench} Bench */

/** What keys do that is not moving, turning or knitting.
 * @typedef {{tool: (name: import("./bench.js").Tool) => void, glass: () => void, pull: () => void, yarn: (yarn: number) => void, undo: () => void, redo: () => void}} Doings */

export class Keys {
    /** @param {Bench} bench @param {HTMLElement} cloth @param {HTMLElement} tools @param {Doings} doings */
    constructor(bench, cloth, tools, doings) {
        this.bench = bench;
        this.doings = doings;
        /** @type {[number, number] | null} */
        this.corner = null;
        cloth.addEventListener("keydown", (event) => this.onCloth(event));
        tools.addEventListener("keydown", (event) => this.letter(event));
        document.addEventListener("keydown", (event) => this.anywhere(event));
    }

    /** @param {KeyboardEvent} event */
    anywhere(event) {
        if (!(event.ctrlKey || event.metaKey) || event.altKey) return;
        const written = /** @type {Element} */ (event.target);
        if (written.matches("input:not([type=range]), textarea, select") || document.querySelector("dialog[open]")) return;
        const key = event.key.toLowerCase();
        if (key === "z" && !event.shiftKey) this.doings.undo();
        else if (key === "y" || (key === "z" && event.shiftKey)) this.doings.redo();
        else return;
        event.preventDefault();
    }

    /** @param {KeyboardEvent} event */
    onCloth(event) {
        if (event.ctrlKey || event.metaKey || event.altKey) return;
        const { bench } = this;
        const ways = /** @type {Record<string, [number, number]>} */ ({ ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, 1], ArrowDown: [0, -1] });
        const way = ways[event.key];
        if (way && bench.tool === "turn") {
            bench.stage.camera.turn(way[0] * 14, -way[1] * 14);
            bench.stage.ask(true);
        } else if (way && event.shiftKey) this.stretch(...way);
        else if (way) this.step(...way);
        else if (event.key === " " || event.key === "Enter") this.knit();
        else if (event.key === "Home") bench.goTo({ yaw: bench.facing(false), pitch: 0, home: true });
        else if (event.key === "PageUp" || event.key === "+") this.nearer(1.25);
        else if (event.key === "PageDown" || event.key === "-" || event.key === "\u2212") this.nearer(0.8);
        else if (event.key === "Escape") {
            bench.box = null;
            bench.unlight();
            bench.paintLooks();
            bench.tell();
        } else {
            this.letter(event);
            return;
        }
        event.preventDefault();
    }

    /** @param {number} factor */
    nearer(factor) {
        this.bench.stage.camera.nearer(factor);
        this.bench.stage.ask(false);
    }

    knit() {
        const { bench } = this;
        bench.knit(bench.under, bench.table.newStroke());
    }

    /** Move the needle as it is seen: on the back left and right change places. @param {number} across @param {number} up */
    step(across, up) {
        const { bench } = this;
        const { rows, columns } = bench.places;
        const side = bench.stage.behind && bench.stage.flat < 0.5 ? -across : across;
        const many = columns[1] - columns[0] + 1;
        const high = rows[1] - rows[0] + 1;
        const column = columns[0] + ((((bench.cursor[1] + side - columns[0]) % many) + many) % many);
        const row = rows[0] + ((((bench.cursor[0] + up - rows[0]) % high) + high) % high);
        bench.moveTo(row, column);
        this.follow();
        if (bench.glass) this.glassAt();
    }

    /** Bring the stitch under the needle into view. */
    follow() {
        const { bench } = this;
        const { stage } = bench;
        const n = bench.under;
        if (n < 0) return;
        if (!stage.visible(n) && stage.shape?.face) {
            const face = stage.shape.face;
            const yaw = -Math.atan2(face[4 * n], face[4 * n + 2]) + (stage.behind ? Math.PI : 0);
            bench.goTo({ yaw: yaw + 2 * Math.PI * Math.round((stage.camera.yaw - yaw) / (2 * Math.PI)) });
            return;
        }
        const [x, y] = stage.camera.seen(...stage.place(n));
        const { width, height } = stage.camera;
        const [left, right] = [Math.max(0, 30 - x), Math.max(0, x - width + 30)];
        const [top, low] = [Math.max(0, 30 - y), Math.max(0, y - height + 30)];
        if (left + right + top + low > 0) stage.camera.slide(left - right, top - low);
        stage.ask(false);
    }

    glassAt() {
        const { bench } = this;
        if (bench.under < 0) return;
        const [x, y] = bench.stage.camera.seen(...bench.stage.place(bench.under));
        bench.stage.glass = [x, y, GLASS];
        bench.stage.ask(false);
    }

    /** Shift and arrows choose a part of the chart. @param {number} across @param {number} up */
    stretch(across, up) {
        const { bench } = this;
        const here = bench.places.square(bench.under);
        if (!here) return;
        if (!bench.box || !this.corner) this.corner = here;
        this.step(across, up);
        const now = bench.places.square(bench.under);
        if (!now) return;
        bench.box = boxOf(this.corner, now, bench.chart);
        bench.paintLooks();
        bench.tell();
    }

    /** @param {KeyboardEvent} event */
    letter(event) {
        if (event.ctrlKey || event.metaKey || event.altKey) return;
        const { bench, doings } = this;
        const key = event.key.toLowerCase();
        if (/^[1-9]$/.test(key)) doings.yarn(Number(key) - 1);
        else if (key === "n") doings.tool("needle");
        else if (key === "f") doings.tool("frame");
        else if (key === "t") doings.tool("turn");
        else if (key === "b") bench.turnOver();
        else if (key === "c") bench.squares();
        else if (key === "l") doings.glass();
        else if (key === "p") doings.pull();
        else if (key === "m") this.mirror();
        else if (key === "u" && event.shiftKey) doings.redo();
        else if (key === "u") doings.undo();
        else return;
        event.preventDefault();
    }

    mirror() {
        const { bench } = this;
        bench.symmetry = SYMMETRIES[(SYMMETRIES.indexOf(bench.symmetry) + 1) % SYMMETRIES.length];
        bench.tell();
    }
}
