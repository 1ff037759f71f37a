// Colours of yarn and of pull.
import { light } from "./gl/light.js";

/** How light a colour is to the eye, 0 to 1 (relative luminance of WCAG 2). @param {string} colour */
export function lightness(colour) {
    const [r, g, b] = light(colour);
    return 0.2126 * r + 0.7152 * g + 0.0722 * b;
}

/** Ink that can be read on a colour. @param {string} colour */
export function inkOn(colour) {
    return lightness(colour) > 0.22 ? "#1d1a17" : "#fbf6ec";
}

/** Steps of pull from slack to hardest: lighter to darker, so that grey and the colour-blind read them too. */
export const PULL = /** @type {[number, number, number][]} */ ([
    [247, 233, 190],
    [243, 190, 98],
    [226, 130, 52],
    [186, 68, 48],
    [116, 26, 62],
    [58, 10, 50],
]);
/** What hangs slack: a blue that no pull has. */
export const SLACK = /** @type {[number, number, number]} */ ([150, 178, 196]);

/** @param {number} share 0 to 1 of the hardest @returns {[number, number, number]} */
export function pullColour(share) {
    if (share <= 0) return SLACK;
    const at = Math.min(share, 1) * (PULL.length - 1);
    const k = Math.min(Math.floor(at), PULL.length - 2);
    const mix = PULL[k].map((one, c) => Math.round(one + (at - k) * (PULL[k + 1][c] - one)));
    return [mix[0], mix[1], mix[2]];
}
