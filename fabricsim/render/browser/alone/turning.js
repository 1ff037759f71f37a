// A fabric turned by hand: by mouse, by fingers, by wheel and by keys.

/** @typedef {import("../gl/stage.js").Stage} Stage */
/** @typedef {{x: number, y: number}} Spot */

/** Chosen: a sixth of a quarter turn a press, less while a key is held down and repeats some thirty times a second. */
const PRESS = (15 * Math.PI) / 180;
const HELD = (5 * Math.PI) / 180;
/** A seventh nearer or farther a press. */
const NEARER = 1.15;

export class Turning {
    /** @param {Stage} stage @param {HTMLElement} area @param {{yaw: number, pitch: number}} begun where it begins */
    constructor(stage, area, begun) {
        this.stage = stage;
        this.area = area;
        this.begun = begun;
        /** @type {Map<number, Spot>} */
        this.down = new Map();
        this.slides = false;
        area.addEventListener("pointerdown", (event) => this.begin(event));
        area.addEventListener("pointermove", (event) => this.move(event));
        for (const over of /** @type {const} */ (["pointerup", "pointercancel"])) area.addEventListener(over, (event) => this.down.delete(event.pointerId));
        area.addEventListener("contextmenu", (event) => event.preventDefault());
        area.addEventListener("wheel", (event) => this.wheel(event), { passive: false });
        area.addEventListener("keydown", (event) => this.key(event));
        this.home();
    }

    /** Show all of it, as at first. */
    home() {
        const { camera } = this.stage;
        camera.home();
        camera.yaw = this.begun.yaw;
        camera.pitch = this.begun.pitch;
        this.stage.wholly();
        this.stage.ask(false);
    }

    /** @param {PointerEvent | WheelEvent} event @returns {Spot} */
    spot(event) {
        const box = this.area.getBoundingClientRect();
        return { x: event.clientX - box.left, y: event.clientY - box.top };
    }

    /** @param {PointerEvent} event */
    begin(event) {
        this.area.focus({ preventScroll: true });
        this.area.setPointerCapture(event.pointerId);
        this.down.set(event.pointerId, this.spot(event));
        this.slides = event.button !== 0 || event.shiftKey;
    }

    /** @param {PointerEvent} event */
    move(event) {
        const before = this.down.get(event.pointerId);
        if (!before) return;
        const now = this.spot(event);
        const { camera } = this.stage;
        const [x, y] = [now.x - before.x, now.y - before.y];
        const other = [...this.down].find(([id]) => id !== event.pointerId)?.[1];
        if (other) {
            const far = Math.hypot(before.x - other.x, before.y - other.y) || 1;
            camera.nearer(Math.hypot(now.x - other.x, now.y - other.y) / far, (now.x + other.x) / 2, (now.y + other.y) / 2);
            camera.slide(x / 2, y / 2);
        } else if (this.slides) camera.slide(x, y);
        else camera.turn(x, y);
        this.down.set(event.pointerId, now);
        this.stage.ask(true);
    }

    /** @param {WheelEvent} event */
    wheel(event) {
        event.preventDefault();
        const at = this.spot(event);
        this.stage.camera.nearer(Math.exp(-event.deltaY * 0.0015), at.x, at.y);
        this.stage.ask(true);
    }

    /** @param {KeyboardEvent} event */
    key(event) {
        if (event.ctrlKey || event.metaKey || event.altKey) return;
        const angle = event.repeat ? HELD : PRESS;
        const { camera } = this.stage;
        if (event.key === "ArrowLeft") camera.turnBy(-angle, 0);
        else if (event.key === "ArrowRight") camera.turnBy(angle, 0);
        else if (event.key === "ArrowUp") camera.turnBy(0, -angle);
        else if (event.key === "ArrowDown") camera.turnBy(0, angle);
        else if (event.key === "+" || event.key === "=") camera.nearer(NEARER);
        else if (event.key === "-" || event.key === "_" || event.key === "\u2212") camera.nearer(1 / NEARER);
        else if (event.key === "Home") this.home();
        else return;
        event.preventDefault();
        this.stage.ask(event.repeat);
    }
}
