// Pointers on the cloth: a mouse or pen knits where it points; under a finger the needle's tip stands off, so that the
// stitch is seen. Two fingers turn and come nearer.
import { draw } from "../dom.js";

/** @typedef {import("./bench.js").Bench} Bench */

/** Where the tip stands from the finger, CSS pixels. */
const OFF = [-30, -46];
/** A finger that rests so long puts the needle in: what follows is knitted. */
const HOLD = 280;
/** Shortest way of a pointer that is a drag. */
const DRAG = 4;
/** Radius of the glass, CSS pixels. */
export const GLASS = 92;

/** @typedef {{x: number, y: number}} Spot */

export class Needle {
    /** @param {Bench} bench @param {HTMLElement} area @param {SVGElement} svg */
    constructor(bench, area, svg) {
        this.bench = bench;
        this.area = area;
        /** @type {Map<number, Spot>} */
        this.down = new Map();
        this.doing = /** @type {"none" | "aim" | "knit" | "turn" | "slide" | "frame"} */ ("none");
        this.stroke = 0;
        this.last = { x: 0, y: 0 };
        this.hold = 0;
        /** @type {[number, number] | null} */
        this.corner = null;
        this.pin = draw("path", { class: "needle", visibility: "hidden" });
        svg.append(this.pin);
        area.addEventListener("pointerdown", (event) => this.begin(event));
        area.addEventListener("pointermove", (event) => this.move(event));
        area.addEventListener("pointerup", (event) => this.end(event));
        area.addEventListener("pointercancel", (event) => this.end(event));
        area.addEventListener("pointerleave", () => this.leave());
        area.addEventListener("contextmenu", (event) => event.preventDefault());
        area.addEventListener("wheel", (event) => this.wheel(event), { passive: false });
    }

    /** @param {PointerEvent | WheelEvent} event @returns {Spot} */
    spot(event) {
        const box = this.area.getBoundingClientRect();
        return { x: event.clientX - box.left, y: event.clientY - box.top };
    }

    /** Where the needle's tip is for a pointer. @param {PointerEvent} event */
    tip(event) {
        const at = this.spot(event);
        if (event.pointerType !== "touch") return at;
        // near the upper and left edge the tip comes closer to the finger, so that every stitch can be reached
        return { x: at.x + Math.max(OFF[0], -at.x * 0.5), y: at.y + Math.max(OFF[1], -at.y * 0.6) };
    }

    /** @param {PointerEvent} event */
    begin(event) {
        if (/** @type {Element} */ (event.target).closest("#pins")) return;
        this.area.focus({ preventScroll: true });
        this.area.setPointerCapture(event.pointerId);
        this.down.set(event.pointerId, this.spot(event));
        this.last = this.spot(event);
        if (this.down.size > 1) {
            this.cancel();
            this.doing = "turn";
            return;
        }
        const { bench } = this;
        const tip = this.tip(event);
        const n = bench.stage.pick(tip.x, tip.y);
        if (event.button === 1) this.doing = "slide";
        else if (event.button === 2 || event.shiftKey || bench.tool === "turn" || n < 0) this.doing = "turn";
        else if (bench.tool === "frame") this.startFrame(n);
        else if (event.pointerType === "touch") this.aim(tip, n, event.pointerId);
        else this.startKnitting(n);
    }

    /** @param {number} n */
    startKnitting(n) {
        this.doing = "knit";
        this.stroke = this.bench.table.newStroke();
        this.put(n);
    }

    /** @param {number} n */
    put(n) {
        const cell = this.bench.stage.shape?.cell;
        if (n < 0 || !cell) return;
        this.bench.cursor = [cell[4 * n], cell[4 * n + 1]];
        this.bench.knit(n, this.stroke);
        this.bench.tell();
    }

    /** @param {Spot} tip @param {number} n @param {number} pointer */
    aim(tip, n, pointer) {
        this.doing = "aim";
        this.point(n);
        this.showPin(tip, pointer);
        window.clearTimeout(this.hold);
        this.hold = window.setTimeout(() => {
            if (this.doing !== "aim") return;
            navigator.vibrate?.(12);
            this.startKnitting(this.bench.under);
        }, HOLD);
    }

    /** @param {number} n */
    startFrame(n) {
        const square = this.bench.places.square(n);
        if (!square) return;
        this.doing = "frame";
        this.corner = square;
        this.bench.box = { row: square[0], column: square[1], rows: 1, columns: 1 };
        this.point(n);
        this.bench.paintLooks();
    }

    /** @param {number} n */
    point(n) {
        const cell = this.bench.stage.shape?.cell;
        if (n < 0 || !cell) return;
        const [row, column] = this.bench.cursor;
        if (cell[4 * n] !== row || cell[4 * n + 1] !== column) this.bench.moveTo(cell[4 * n], cell[4 * n + 1]);
    }

    /** @param {PointerEvent} event */
    move(event) {
        const { bench } = this;
        const at = this.spot(event);
        if (bench.glass) {
            bench.stage.glass = [at.x, at.y, GLASS];
            bench.stage.ask(true);
        }
        const before = this.down.get(event.pointerId);
        if (!before) {
            if (event.pointerType !== "touch") this.point(bench.stage.pick(at.x, at.y));
            return;
        }
        this.down.set(event.pointerId, at);
        const tip = this.tip(event);
        if (this.down.size > 1) this.pinch(event.pointerId, before, at);
        else if (this.doing === "turn") this.turn(at.x - before.x, at.y - before.y);
        else if (this.doing === "slide") this.slide(at.x - before.x, at.y - before.y);
        else if (this.doing === "knit") this.along(event, before, at);
        else if (this.doing === "frame") this.stretchFrame(bench.stage.pick(tip.x, tip.y));
        else if (this.doing === "aim") {
            const n = bench.stage.pick(tip.x, tip.y);
            if (Math.hypot(at.x - this.last.x, at.y - this.last.y) > DRAG) {
                this.last = at;
                this.aim(tip, n, event.pointerId);
            }
        }
    }

    /** Knit all stitches on the way of a pointer, however quick it is.
     * @param {PointerEvent} event @param {Spot} from @param {Spot} to */
    along(event, from, to) {
        const { stage } = this.bench;
        const tip = this.tip(event);
        const [dx, dy] = [tip.x - to.x, tip.y - to.y];
        const far = Math.hypot(to.x - from.x, to.y - from.y);
        const steps = Math.max(1, Math.ceil(far / Math.max(2, 0.4 * stage.cell[1] * stage.camera.scale)));
        for (let k = 1; k <= steps; k++) {
            const [x, y] = [from.x + ((to.x - from.x) * k) / steps, from.y + ((to.y - from.y) * k) / steps];
            this.put(stage.pick(x + dx, y + dy));
        }
        this.showPin(tip, event.pointerId);
    }

    /** @param {number} across @param {number} up */
    turn(across, up) {
        const { bench } = this;
        if (bench.stage.flat > 0.5) return this.slide(across, up);
        bench.stage.camera.turn(across, up);
        bench.stage.ask(true);
    }

    /** @param {number} across @param {number} down */
    slide(across, down) {
        this.bench.stage.camera.slide(across, down);
        this.bench.stage.ask(true);
    }

    /** Two fingers: apart and together is nearer and farther, both at once turn.
     * @param {number} id @param {Spot} before @param {Spot} now */
    pinch(id, before, now) {
        const other = [...this.down].find(([key]) => key !== id)?.[1];
        if (!other) return;
        const far = Math.hypot(before.x - other.x, before.y - other.y) || 1;
        const { camera } = this.bench.stage;
        camera.nearer(Math.hypot(now.x - other.x, now.y - other.y) / far, (now.x + other.x) / 2, (now.y + other.y) / 2);
        this.turn((now.x - before.x) / 2, (now.y - before.y) / 2);
    }

    /** @param {number} n */
    stretchFrame(n) {
        const { bench, corner } = this;
        const square = bench.places.square(n);
        if (!square || !corner) return;
        this.point(n);
        bench.box = boxOf(corner, square, bench.chart);
        bench.paintLooks();
        bench.tell();
    }

    /** @param {PointerEvent} event */
    end(event) {
        this.down.delete(event.pointerId);
        if (this.doing === "aim" && event.type === "pointerup") this.startKnitting(this.bench.under);
        if (!this.down.size) this.cancel();
        this.bench.tell();
    }

    cancel() {
        window.clearTimeout(this.hold);
        this.doing = "none";
        this.pin.setAttribute("visibility", "hidden");
    }

    leave() {
        if (this.bench.glass && !this.down.size) {
            this.bench.stage.glass = null;
            this.bench.stage.ask(false);
        }
    }

    /** @param {WheelEvent} event */
    wheel(event) {
        event.preventDefault();
        const at = this.spot(event);
        this.bench.stage.camera.nearer(Math.exp(-event.deltaY * 0.0015), at.x, at.y);
        this.bench.stage.ask(true);
    }

    /** Draw the needle from the finger to its tip. @param {Spot} tip @param {number} pointer */
    showPin(tip, pointer) {
        const at = this.down.get(pointer);
        if (!at || Math.hypot(at.x - tip.x, at.y - tip.y) < 2) return;
        this.pin.setAttribute("d", `M${tip.x} ${tip.y}L${at.x} ${at.y}`);
        this.pin.setAttribute("visibility", "visible");
    }
}

/** The part of a chart between two corners, the shorter way round the repeat.
 * @param {[number, number]} from @param {[number, number]} to @param {import("./chart.js").Chart} chart */
export function boxOf(from, to, chart) {
    const row = Math.min(from[0], to[0]);
    const right = chart.wrapped(to[1] - from[1]);
    const left = chart.wrapped(from[1] - to[1]);
    const [column, columns] = right <= left ? [from[1], right + 1] : [to[1], left + 1];
    return { row, column, rows: Math.abs(from[0] - to[0]) + 1, columns: Math.min(columns, chart.width) };
}
