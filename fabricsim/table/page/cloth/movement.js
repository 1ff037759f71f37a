// One movement of the eye: to a side, to a place, from cloth to squares.

/** How long it takes, ms. */
const LONG = 550;

export class Movement {
    /** @param {import("../gl/stage.js").Stage} stage @param {() => void} arrived */
    constructor(stage, arrived) {
        this.stage = stage;
        this.arrived = arrived;
        this.calm = matchMedia("(prefers-reduced-motion: reduce)");
        this.number = 0;
    }

    /** @param {{yaw?: number, pitch?: number, flat?: number, home?: boolean}} to */
    go(to) {
        const { stage } = this;
        const { camera } = stage;
        const from = { yaw: camera.yaw, pitch: camera.pitch, flat: stage.flat, zoom: camera.zoom, shift: [...camera.shift] };
        const turn = this.number + 1;
        this.number = turn;
        const start = performance.now();
        /** @param {number} now */
        const step = (now) => {
            if (turn !== this.number) return;
            const share = this.calm.matches ? 1 : Math.min(1, Math.max(0, (now - start) / LONG));
            const eased = share * share * (3 - 2 * share);
            camera.yaw = from.yaw + eased * ((to.yaw ?? from.yaw) - from.yaw);
            camera.pitch = from.pitch + eased * ((to.pitch ?? from.pitch) - from.pitch);
            stage.flat = from.flat + eased * ((to.flat ?? from.flat) - from.flat);
            if (to.home) {
                camera.zoom = from.zoom + eased * (1 - from.zoom);
                camera.shift = from.shift.map((one) => one * (1 - eased));
            }
            stage.ask(share < 1);
            if (share < 1) requestAnimationFrame(step);
            else this.arrived();
        };
        step(performance.now());
    }
}
