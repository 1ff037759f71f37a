// A chart as a small picture: a pixel a stitch, enlarged.
import { el } from "../dom.js";

/** Longest side, CSS pixels, and greatest height. */
const SIDE = 60;
const HIGH = 40;

/** @param {(number[])[]} chart bottom row first @param {string[]} colours of its yarns @param {number[]} gauge */
export function smallCloth(chart, colours, gauge) {
    const [high, wide] = [chart.length, chart[0].length];
    const canvas = el("canvas", { class: "small-cloth", width: wide, height: high, "aria-hidden": "true" });
    const pen = canvas.getContext("2d");
    chart.forEach((row, r) =>
        row.forEach((yarn, column) => {
            if (!pen) return;
            pen.fillStyle = colours[yarn] ?? "#888888";
            pen.fillRect(column, high - 1 - r, 1, 1);
        }),
    );
    const tall = (high / wide) * (gauge[0] / gauge[1]);
    const scale = Math.min(SIDE, HIGH / tall);
    canvas.style.width = `${Math.max(14, scale)}px`;
    canvas.style.height = `${Math.max(8, scale * tall)}px`;
    return canvas;
}
