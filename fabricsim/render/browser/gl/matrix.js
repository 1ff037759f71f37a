// Points and turns in space: three numbers, and 4 x 4 matrices column by column, as WebGL takes them.

/** @typedef {[number, number, number]} Point */

/** @param {Float32Array} a @param {Float32Array} b @returns {Float32Array} a times b */
export function times(a, b) {
    const out = new Float32Array(16);
    for (let column = 0; column < 4; column++) {
        for (let row = 0; row < 4; row++) {
            let sum = 0;
            for (let k = 0; k < 4; k++) sum += a[4 * k + row] * b[4 * column + k];
            out[4 * column + row] = sum;
        }
    }
    return out;
}

/** The turn by `yaw` about the upright axis, then by `pitch` about the level one (radians).
 * @param {number} yaw @param {number} pitch @returns {Float32Array} */
export function turned(yaw, pitch) {
    const [c, s, d, t] = [Math.cos(yaw), Math.sin(yaw), Math.cos(pitch), Math.sin(pitch)];
    return new Float32Array([c, t * s, -d * s, 0, 0, d, t, 0, s, -t * c, d * c, 0, 0, 0, 0, 1]);
}

/** @param {number} x @param {number} y @param {number} z @returns {Float32Array} */
export function moved(x, y, z) {
    return new Float32Array([1, 0, 0, 0, 0, 1, 0, 0, 0, 0, 1, 0, x, y, z, 1]);
}

/** @param {number} half tangent of half the angle of view, upright @param {number} aspect width over height
 * @param {number} near @param {number} far @returns {Float32Array} */
export function perspective(half, aspect, near, far) {
    const deep = 1 / (near - far);
    return new Float32Array([1 / (half * aspect), 0, 0, 0, 0, 1 / half, 0, 0, 0, 0, (far + near) * deep, -1, 0, 0, 2 * far * near * deep, 0]);
}
