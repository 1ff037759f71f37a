// What a picture of the cloth is put together from, one after the other.
import { DETAILS } from "./yarn.js";

/** @typedef {import("./stage.js").Stage} Stage */
/** @typedef {import("./yarn.js").Detail} Detail */

/** Triangles of yarn that are drawn at once: by the processor in about 12 ms, less than a frame. */
const PART = 12_000;

/** @param {Stage} stage @param {boolean} moving @param {Detail} detail @param {number} dots to a CSS pixel
 * @param {[number, number]} size dots @returns {(() => void)[]} */
export function pictureParts(stage, moving, detail, dots, size) {
    const { squares, drawn, camera, glowing, flat, glass } = stage;
    const gl = /** @type {WebGL2RenderingContext} */ (stage.gl);
    const cleared = () => {
        gl.viewport(0, 0, ...size);
        gl.clearColor(0, 0, 0, 0);
        gl.clearDepth(1);
        gl.clear(gl.COLOR_BUFFER_BIT | gl.DEPTH_BUFFER_BIT);
    };
    if (!stage.shape || !squares || !drawn) return [cleared];
    const parts = [cleared];
    const half = stage.tube && stage.inside ? -1 : 0;
    const shared = { looks: drawn.looks, dye: drawn.dye, flat, glowing };
    if (flat < 1 && (!moving || !stage.pace.software)) {
        parts.push(() => squares.drawShadow(camera, camera.lens, stage.table(), drawn.looks, stage.shadow * (1 - flat)));
    }
    parts.push(() => stage.body?.draw(camera));
    if (!detail.sides) parts.push(() => squares.draw(camera, { ...shared, fade: 1, solid: true, half }));
    else if (flat < 1) parts.push(...drawn.parts(detail, PART).map((part) => () => drawn.draw(camera, detail, { flat, glowing, half }, part)));
    if (flat > 0) parts.push(() => squares.draw(camera, { ...shared, fade: Math.min(1, flat * 1.4) }));
    if (glass && flat === 0) parts.push(...glassParts(stage, detail.sides ? detail : DETAILS[DETAILS.length - 2], dots, size[1], glass));
    return parts;
}

/** The back in a round window: the same camera, and the farthest yarn instead of the nearest.
 * @param {Stage} stage @param {Detail} detail @param {number} dots @param {number} height
 * @param {[number, number, number]} glass middle and radius, CSS pixels @returns {(() => void)[]} */
function glassParts(stage, detail, dots, height, glass) {
    const gl = /** @type {WebGL2RenderingContext} */ (stage.gl);
    const drawn = /** @type {import("./yarn.js").YarnDrawing} */ (stage.drawn);
    const [x, y, r] = glass.map((one) => one * dots);
    const half = stage.tube ? (stage.inside ? -1 : 1) : 0;
    const how = { behind: true, half, ring: /** @type {[number, number, number]} */ ([x, height - y, r]), glowing: stage.glowing };
    /** @param {() => void} draw */
    const within = (draw) => () => {
        gl.enable(gl.SCISSOR_TEST);
        gl.scissor(Math.floor(x - r), Math.floor(height - y - r), Math.ceil(2 * r), Math.ceil(2 * r));
        draw();
        gl.disable(gl.SCISSOR_TEST);
    };
    const cleared = within(() => {
        gl.clearDepth(0);
        gl.clear(gl.DEPTH_BUFFER_BIT);
        gl.clearDepth(1);
    });
    return [cleared, ...drawn.parts(detail, PART).map((part) => within(() => drawn.draw(stage.camera, detail, how, part)))];
}
