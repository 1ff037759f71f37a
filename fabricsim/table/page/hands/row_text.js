// The row under the needle as a text field: "3 teasel, 1 oat". What is typed is knitted.
import { by, el } from "../dom.js";
import { WORDS } from "../words.js";
import { rowRead, rowSaid } from "./row_words.js";

/** @typedef {import("../cloth/bench.js").Bench} Bench */

export class RowText {
    /** @param {Bench} bench */
    constructor(bench) {
        this.bench = bench;
        this.row = 0;
        this.label = el("label", { for: "row" });
        this.field = el("input", { type: "text", id: "row", autocomplete: "off", spellcheck: "false", "aria-describedby": "row_fault" });
        this.fault = el("p", { id: "row_fault", class: "fault", role: "status" });
        by("rowtext").append(this.label, this.field, this.fault);
        this.field.addEventListener("change", () => this.knit());
        this.field.addEventListener("keydown", (event) => {
            if (event.key === "ArrowUp" || event.key === "ArrowDown") {
                event.preventDefault();
                this.go(event.key === "ArrowUp" ? 1 : -1);
            }
        });
        bench.watchers.push(() => this.refresh());
        bench.table.on("scene", () => this.refresh());
    }

    /** To the row above or below. @param {number} step */
    go(step) {
        const { bench } = this;
        this.knit();
        const row = bench.chart.wrappedUp(this.row + step);
        const n = bench.places.ofSquare(row, bench.places.square(bench.under)?.[1] ?? 0)[0] ?? -1;
        const cell = bench.stage.shape?.cell;
        if (n >= 0 && cell) bench.moveTo(cell[4 * n], cell[4 * n + 1]);
        this.refresh(true);
    }

    get fromLeft() {
        const { scene } = this.bench.table;
        // flat, the first row is a right-side row, and plain rows below count
        return scene?.worked === "flat" && (this.row + scene.plain_below) % 2 === 1;
    }

    /** @param {boolean} [anew] */
    refresh(anew = false) {
        const { bench, field } = this;
        const { scene } = bench.table;
        if (!scene) return;
        if (document.activeElement === field && !anew) return;
        this.row = Math.min(bench.places.square(bench.under)?.[0] ?? this.row, bench.chart.height - 1);
        this.label.textContent = WORDS.row_from(this.row + 1, this.fromLeft);
        const yarns = Array.from({ length: bench.chart.width }, (_, column) => bench.chart.at(this.row, column));
        const said = rowSaid(yarns, scene.yarns.map((yarn) => yarn.name), this.fromLeft);
        if (field.value !== said) field.value = said;
        this.fault.textContent = "";
        field.removeAttribute("aria-invalid");
    }

    knit() {
        const { bench, field } = this;
        const { scene } = bench.table;
        if (!scene) return;
        const names = scene.yarns.map((yarn) => yarn.name);
        const read = rowRead(field.value, names, bench.chart.width, this.fromLeft);
        if ("fault" in read) {
            this.fault.textContent = WORDS.row_fault(read.fault, names);
            field.setAttribute("aria-invalid", "true");
            return;
        }
        this.fault.textContent = "";
        field.removeAttribute("aria-invalid");
        bench.paint(read.yarns.map((yarn, column) => [this.row, column, yarn]), bench.table.newStroke());
    }
}
