// Which stitch lies under a pointer.

/** @typedef {import("./stage.js").Stage} Stage */

/** Half a stitch of depth counts as one stitch beside. */
const DEEP = 0.5;

/** The stitch under a pointer, or -1: the nearest to the eye of those about there.
 * @param {Stage} stage @param {number} x @param {number} y CSS pixels */
export function pick(stage, x, y) {
    const { lay, camera, cell } = stage;
    if (!lay) return -1;
    const reach = camera.scale * Math.max(...cell) * 0.75;
    let best = -1;
    let least = Infinity;
    for (let n = 0; n < lay.count; n++) {
        if (!visible(stage, n) && (stage.tube || !lay.shape.face[4 * n + 3])) continue;
        const [px, py, depth] = camera.seen(...lay.at(n, stage.flat));
        const [dx, dy] = [(px - x) / cell[0], (py - y) / cell[1]];
        if (Math.abs(px - x) > reach || Math.abs(py - y) > reach) continue;
        const far = Math.hypot(dx, dy) / camera.scale + (DEEP * (depth - camera.far)) / cell[0];
        if (Math.hypot(dx, dy) / camera.scale < 0.85 && far < least) {
            least = far;
            best = n;
        }
    }
    return best;
}

/** Whether a stitch is turned to the eye, or its back is and the cloth is one layer.
 * @param {Stage} stage @param {number} n */
export function visible(stage, n) {
    const { lay, camera } = stage;
    if (!lay || !lay.shape.face[4 * n + 3]) return false;
    if (stage.flat > 0.5) return true;
    const { face } = lay.shape;
    return stage.behind === camera.towards(face[4 * n], face[4 * n + 1], face[4 * n + 2]) < 0;
}
