// From the colours of a screen to the light that they stand for.

/** @typedef {[number, number, number]} Light linear light, 0 to 1 */

/** @param {string} colour #rrggbb @returns {Light} */
export function light(colour) {
    const found = [1, 3, 5].map((k) => parseInt(colour.slice(k, k + 2), 16) / 255);
    const linear = found.map((v) => (v <= 0.04045 ? v / 12.92 : ((v + 0.055) / 1.055) ** 2.4));
    return [linear[0] || 0, linear[1] || 0, linear[2] || 0];
}
