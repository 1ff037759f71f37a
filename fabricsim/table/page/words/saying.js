// How numbers are said, whatever they are of.
import { round } from "../dom.js";

/** @param {number} many @param {string} one @param {string} [more] */
export const count = (many, one, more = `${one}s`) => `${many} ${many === 1 ? one : more}`;
/** @param {number} mm @param {"cm" | "inch"} units @param {number} [digits] */
export const length = (mm, units, digits = 1) => (units === "inch" ? `${round(mm / 25.4, digits)} in` : `${round(mm / 10, digits)} cm`);
/** A small length. @param {number} mm @param {"cm" | "inch"} units */
export const small = (mm, units) => (units === "inch" ? `${round(mm / 25.4, 2)} in` : `${round(mm)} mm`);
/** @param {number} percent */
export const share = (percent) => `${round(percent)} %`;

/** By how much something got less or more; nothing where that can't be seen.
 * @param {number | null} before @param {number | null} after @param {(value: number) => string} said @param {string} less @param {string} more */
export function changed(before, after, said, less, more) {
    if (before === null || after === null || said(Math.abs(before - after)) === said(0)) return "";
    return `${said(Math.abs(before - after))} ${after < before ? less : more}`;
}

/** @param {number} slack @returns {string} */
export function slackSaid(slack) {
    const percent = round(100 * Math.abs(slack), 1);
    if (Math.abs(slack) < 0.0005) return "just long enough";
    return slack < 0 ? `${percent} % too short` : `${percent} % longer than their way`;
}
