// What is marked on the cloth: the edge of the repeat, the rings on stitches that go with the needle, what is framed,
// where floats are caught, the rim of the glass. It follows the cloth frame by frame.
import { draw } from "../dom.js";

/** @typedef {import("./bench.js").Bench} Bench */

export class Marks {
    /** @param {Bench} bench @param {SVGElement} svg */
    constructor(bench, svg) {
        this.bench = bench;
        this.axis = draw("path", { class: "axis" });
        // light on dark, so that they are seen on any yarn: each is drawn twice
        const edge = twice("edge", "path");
        const frame = twice("frame", "path");
        const rings = twice("rings", "path");
        const ring = twice("ring", "circle");
        const caught = twice("caught", "path");
        this.caught = caught.shape;
        this.edge = edge.shape;
        this.frame = frame.shape;
        this.rings = rings.shape;
        this.ring = ring.shape;
        this.rim = draw("circle", { class: "rim", visibility: "hidden" });
        svg.append(caught.defs, edge.defs, frame.defs, rings.defs, ring.defs);
        svg.append(...caught.drawn, ...edge.drawn, this.axis, ...frame.drawn, ...rings.drawn, ...ring.drawn, this.rim);
        bench.stage.watchers.push(() => this.draw());
        bench.table.on("counts", () => bench.stage.ask(false));
    }

    draw() {
        const { stage, places } = this.bench;
        if (!stage.shape) return;
        const spots = places.now();
        this.drawEdge(stage.shape.cell, spots);
        this.drawRings(spots);
        this.drawCaught(spots);
        this.drawFrame();
        const { glass } = stage;
        this.rim.setAttribute("visibility", glass && stage.flat === 0 ? "visible" : "hidden");
        if (glass) ["cx", "cy", "r"].forEach((name, k) => this.rim.setAttribute(name, String(glass[k])));
    }

    /** A tacking thread along the edge of the repeat. @param {Int32Array} cell @param {Float32Array} spots */
    drawEdge(cell, spots) {
        const { places, chart, stage } = this.bench;
        let d = "";
        for (const [column, rowStep, columnStep] of /** @type {[boolean, number, number][]} */ ([[true, 1, 0], [false, 0, 1]])) {
            for (const n of places.byCell.values()) {
                if (spots[4 * n + 3] < 1 || cell[4 * n + 2] < 0) continue;
                if (column ? cell[4 * n + 3] !== 0 : cell[4 * n + 2] !== 0) continue;
                const [row, at] = [cell[4 * n], cell[4 * n + 1]];
                const before = places.at(row - (column ? 0 : 1), at - (column ? 1 : 0));
                const next = places.at(row + rowStep, at + columnStep);
                const nextBefore = places.at(row + rowStep - (column ? 0 : 1), at + columnStep - (column ? 1 : 0));
                if (before < 0 || spots[4 * before + 3] < 1) continue;
                const a = between(spots, n, before);
                if (next < 0 || nextBefore < 0 || spots[4 * next + 3] < 1 || spots[4 * nextBefore + 3] < 1) continue;
                const b = between(spots, next, nextBefore);
                d += `M${a[0].toFixed(1)} ${a[1].toFixed(1)}L${b[0].toFixed(1)} ${b[1].toFixed(1)}`;
            }
        }
        this.edge.setAttribute("d", chart.width * stage.cell[0] * stage.camera.scale > 30 ? d : "");
    }

    /** @param {Float32Array} spots */
    drawRings(spots) {
        const { bench } = this;
        const { places, stage } = bench;
        const n = bench.under;
        const r = 0.46 * stage.cell[0] * stage.camera.scale;
        const shown = n >= 0 && spots[4 * n + 3] === 1 && bench.tool !== "turn";
        this.ring.setAttribute("visibility", shown ? "visible" : "hidden");
        if (!shown) {
            this.rings.setAttribute("d", "");
            return;
        }
        this.ring.setAttribute("cx", String(spots[4 * n]));
        this.ring.setAttribute("cy", String(spots[4 * n + 1]));
        this.ring.setAttribute("r", String(Math.max(4, r)));
        const square = places.square(n);
        let d = "";
        if (square && bench.tool === "needle" && r > 3) {
            for (const [row, column] of bench.going(square)) {
                for (const other of places.ofSquare(row, column)) {
                    if (other === n || spots[4 * other + 3] < 1) continue;
                    const [x, y] = [spots[4 * other], spots[4 * other + 1]];
                    d += `M${(x - r).toFixed(1)} ${y.toFixed(1)}a${r} ${r} 0 1 0 ${2 * r} 0a${r} ${r} 0 1 0 ${-2 * r} 0`;
                }
            }
        }
        this.rings.setAttribute("d", d);
    }

    /** A hook below each stitch where a float is caught, on the squares and on the back. @param {Float32Array} spots */
    drawCaught(spots) {
        const { stage, places, table } = this.bench;
        const [w, h] = [0.3 * stage.cell[0] * stage.camera.scale, 0.36 * stage.cell[1] * stage.camera.scale];
        let d = "";
        const listed = (table.scene?.caught ?? []).map((one) => [one.row, one.column]);
        for (const [row, column] of stage.flat > 0.5 || stage.behind ? [...listed, ...(table.counts?.planned ?? [])] : []) {
            for (const n of places.ofSquare(row, column)) {
                if (spots[4 * n + 3] < 1) continue;
                d += `M${(spots[4 * n] - w).toFixed(1)} ${(spots[4 * n + 1] + h * 0.4).toFixed(1)}q0 ${h} ${w} ${h}t${w} ${-h}`;
            }
        }
        this.caught.setAttribute("d", d);
    }

    /** The outline of what is chosen, at every repeat. */
    drawFrame() {
        const { bench } = this;
        const { stage, places, box, chart } = bench;
        let d = "";
        if (box) {
            const [w, h] = [0.5, 0.5];
            for (const n of places.ofSquare(box.row, box.column)) {
                const cell = stage.shape?.cell;
                if (!cell) break;
                const [row, column] = [cell[4 * n], cell[4 * n + 1]];
                const corners = [
                    [row, column, -w, -h],
                    [row, column + box.columns - 1, w, -h],
                    [row + box.rows - 1, column + box.columns - 1, w, h],
                    [row + box.rows - 1, column, -w, h],
                ];
                const found = corners.map(([r, c, dx, dy]) => {
                    const corner = places.at(r, c);
                    if (corner < 0) return null;
                    const [x, y, z] = stage.place(corner);
                    return stage.camera.seen(x + dx * stage.cell[0], y + dy * stage.cell[1], z);
                });
                if (found.some((one) => one === null)) continue;
                d += `M${found.map((one) => (one ? `${one[0].toFixed(1)} ${one[1].toFixed(1)}` : "")).join("L")}Z`;
            }
        }
        this.frame.setAttribute("d", d);
        let axis = "";
        if (bench.symmetry !== "none" && stage.flat < 2) axis = this.axisPath(chart);
        this.axis.setAttribute("d", axis);
    }

    /** Lines that stitches are mirrored about. @param {import("./chart.js").Chart} chart */
    axisPath(chart) {
        const { bench } = this;
        const { stage, places, symmetry } = bench;
        const at = bench.axis ?? { row: chart.height - 1, column: chart.width - 1 };
        let d = "";
        /** @param {number} row @param {number} column @param {boolean} upright */
        const piece = (row, column, upright) => {
            for (const n of places.ofSquare(Math.floor(row), chart.wrapped(Math.floor(column)))) {
                const [x, y, z] = stage.place(n);
                const dx = upright ? (column % 1) * stage.cell[0] : 0;
                const dy = upright ? 0 : (row % 1) * stage.cell[1];
                const [a, b] = upright ? [[dx, -stage.cell[1] / 2], [dx, stage.cell[1] / 2]] : [[-stage.cell[0] / 2, dy], [stage.cell[0] / 2, dy]];
                const [p, q] = [stage.camera.seen(x + a[0], y + a[1], z), stage.camera.seen(x + b[0], y + b[1], z)];
                if (stage.visible(n)) d += `M${p[0].toFixed(1)} ${p[1].toFixed(1)}L${q[0].toFixed(1)} ${q[1].toFixed(1)}`;
            }
        };
        if (symmetry === "across" || symmetry === "both") for (let row = 0; row < chart.height; row++) piece(row, at.column / 2, true);
        if (symmetry === "up" || symmetry === "both") for (let column = 0; column < chart.width; column++) piece(at.row / 2, column, false);
        return d;
    }
}

/** A shape that is drawn twice: dark and wide, then light upon it. @param {string} name @param {"path" | "circle"} kind */
function twice(name, kind) {
    const shape = draw(kind, { id: `shape_${name}` });
    const drawn = [`${name} under`, name].map((style) => draw("use", { href: `#shape_${name}`, class: style }));
    return { shape, defs: draw("defs", {}, shape), drawn };
}

/** The point between two stitches. @param {Float32Array} spots @param {number} a @param {number} b */
function between(spots, a, b) {
    return [(spots[4 * a] + spots[4 * b]) / 2, (spots[4 * a + 1] + spots[4 * b + 1]) / 2];
}
