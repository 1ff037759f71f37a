// A fabric that stays as it is, on a page of its own: unpacked, drawn, and turned by hand.
import { shown } from "../gl/packing.js";
import { Stage } from "../gl/stage.js";
import { Turning } from "./turning.js";
import { unframed } from "../gl/frames.js";

/** What is told of it besides its arrays.
 * @typedef {{arrays: import("../gl/frames.js").Part[], case: string, thickness_mm: number, stitch_mm: [number, number],
 *   window_mm: [number, number, number, number] | null, colours: [number, number, number][], yaw: number, pitch: number,
 *   body: [number, number, number] | null}} Head body: the colour of the one that it is worn on */

/** Room left round it, CSS pixels. */
const ROOM = 12;

/** @param {string} id @returns {HTMLElement} */
function part(id) {
    const found = document.getElementById(id);
    if (!found) throw new Error(id);
    return found;
}

/** @param {string} text a frame, gzipped, in base64 @returns {Promise<ArrayBuffer>} */
function unpacked(text) {
    const bytes = Uint8Array.from(atob(text.trim()), (letter) => letter.charCodeAt(0));
    return new Response(new Blob([bytes]).stream().pipeThrough(new DecompressionStream("gzip"))).arrayBuffer();
}

/** @param {ArrayBuffer} data @param {HTMLCanvasElement} canvas */
function laid(data, canvas) {
    const stage = new Stage(canvas);
    if (stage.means === "none") return null;
    const { head, arrays } = /** @type {{head: Head, arrays: any}} */ (unframed(data));
    shown(arrays.place, arrays.face, head.window_mm);
    const box = () => /** @type {HTMLElement} */ (canvas.parentElement).getBoundingClientRect();
    const resize = () => stage.resize(box().width, box().height, { left: ROOM, right: ROOM, top: ROOM, bottom: ROOM });
    stage.cell = head.stitch_mm;
    resize();
    const body = head.body ? { place: arrays.body, out: arrays.body_out, face: arrays.body_face, colour: head.body } : undefined;
    stage.load({ ...arrays, head, body, thickness: head.thickness_mm }, false);
    stage.dyeing(head.colours);
    const turning = new Turning(stage, canvas, head);
    new ResizeObserver(() => {
        resize();
        turning.home();
    }).observe(/** @type {HTMLElement} */ (canvas.parentElement));
    return stage;
}

/** Show what the page holds, or say why not. */
async function show() {
    const canvas = /** @type {HTMLCanvasElement} */ (part("view"));
    const wait = part("wait");
    try {
        const data = await unpacked(part("packed").textContent ?? "");
        part("stand").hidden = false;
        const stage = laid(data, canvas);
        wait.hidden = true;
        if (stage) {
            Object.assign(window, { fabricsim: { stage } });
            canvas.dataset.ready = "";
        } else {
            part("stand").hidden = true;
            part("missing").hidden = false;
        }
    } catch (problem) {
        wait.textContent = part("old").textContent;
        throw problem;
    }
}
show();
