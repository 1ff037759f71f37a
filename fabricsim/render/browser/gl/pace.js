// How finely to draw: as finely as the machine keeps up with while things move, and finely once they rest.
import { DETAILS } from "./yarn.js";

/** Longest time between two frames that still looks like turning, ms. */
const SLOW = 70;
const QUICK = 24;
/** Triangles of a picture at rest, with and without a graphics processor. */
const MOST_TRIANGLES = 3_000_000;
const MOST_SOFTWARE = 420_000;
/** Of one that the processor works out before it is known whether it stays: a fifth of the time. */
const MOST_AT_FIRST = 110_000;
/** And of one that moves, worked out by the processor. */
const MOST_MOVING = 90_000;

/** Whether WebGL is worked out by the processor: asked once, of a canvas that nobody sees.
 * @returns {"none" | "software" | "hardware"} */
export function drawing() {
    const probe = document.createElement("canvas").getContext("webgl2");
    if (!probe) return "none";
    const told = probe.getExtension("WEBGL_debug_renderer_info");
    const name = String(probe.getParameter(told ? told.UNMASKED_RENDERER_WEBGL : probe.RENDERER));
    probe.getExtension("WEBGL_lose_context")?.loseContext();
    return /swiftshader|llvmpipe|software|basic render/i.test(name) ? "software" : "hardware";
}

export class Pace {
    /** @param {boolean} software */
    constructor(software) {
        this.software = software;
        this.moving = software ? 3 : 1;
        this.last = 0;
        this.slow = 0;
        this.quick = 0;
    }

    /** A machine without a graphics processor begins with what it is sure to keep up with.
     * @param {(detail: import("./yarn.js").Detail) => number} triangles */
    begin(triangles) {
        if (!this.software) return;
        const found = DETAILS.findIndex((detail, k) => k > 1 && triangles(detail) <= MOST_MOVING);
        this.moving = Math.max(this.moving, found < 0 ? DETAILS.length - 1 : found);
    }

    /** Note a frame drawn while things move. @param {number} now ms */
    frame(now) {
        const since = now - this.last;
        this.last = now;
        if (since > 1000) return; // the first of a movement
        this.slow = since > SLOW ? this.slow + 1 : 0;
        this.quick = since < QUICK ? this.quick + 1 : 0;
        if (this.slow > 2 && this.moving < DETAILS.length - 1) {
            this.moving += 1;
            this.slow = 0;
        }
        if (this.quick > 20 && this.moving > 0) {
            this.moving -= 1;
            this.quick = 0;
        }
    }

    /** The finest detail for a picture at rest. @param {(detail: import("./yarn.js").Detail) => number} triangles
     * @param {boolean} stays whether nothing has changed for a while */
    still(triangles, stays) {
        const most = !this.software ? MOST_TRIANGLES : stays ? MOST_SOFTWARE : MOST_AT_FIRST;
        const found = DETAILS.filter((detail) => detail.sides).find((detail) => triangles(detail) <= most) ?? DETAILS[DETAILS.length - 2];
        return { ...found, dots: 1 };
    }
}
