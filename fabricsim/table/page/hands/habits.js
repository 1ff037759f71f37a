// How the floats are carried: how unevenly, where they are caught, inside out or not.
import { by, el } from "../dom.js";
import { WORDS } from "../words.js";
import { Stroke } from "./stroke.js";

/** @typedef {import("../talk/table.js").Table} Table */

const MOST_UNEVEN = 15;

export class Habits {
    /** @param {Table} table */
    constructor(table) {
        this.table = table;
        this.stroke = new Stroke(table);
        this.uneven = el("input", { type: "range", min: 0, max: MOST_UNEVEN, step: 1, id: "uneven" });
        this.unevenSaid = el("output", { for: "uneven" });
        this.catches = el("select", { id: "catches", onchange: () => this.catch_() });
        for (const [value, text] of Object.entries(WORDS.catches_are)) this.catches.append(el("option", { value, text }));
        this.inside = el("input", { type: "checkbox", id: "inside", onchange: () => table.set({ "simulation.inside_out": this.inside.checked || null }) });
        by("habits").append(
            el("div", { class: "habit" }, el("label", { for: "uneven", text: WORDS.unevenness }), this.uneven, this.unevenSaid),
            el("div", { class: "habit" }, el("label", { for: "catches", text: WORDS.catches }), this.catches),
            el("div", { class: "habit" }, this.inside, el("label", { for: "inside", text: WORDS.inside_out })),
        );
        this.uneven.addEventListener("input", () => this.change());
        table.on("scene", (scene) => this.take(scene));
    }

    /** @param {import("../messages").TellScene} scene */
    take(scene) {
        if (this.stroke.answered(scene.unevenness)) this.uneven.value = String(Math.round(100 * scene.unevenness));
        this.unevenSaid.textContent = WORDS.uneven_said(Number(this.uneven.value) / 100);
        this.uneven.setAttribute("aria-valuetext", this.unevenSaid.textContent);
        this.catches.value = scene.catches;
        for (const option of this.catches.options) option.hidden = option.value.startsWith("listed") && scene.catches !== option.value;
        this.inside.checked = scene.inside_out;
    }

    change() {
        const uneven = Number(this.uneven.value) / 100;
        this.stroke.send(uneven, { "floats.unevenness": uneven });
    }

    catch_() {
        const { value } = this.catches;
        if (value === "none") this.table.set({ "floats.catches": null });
        else if (value === "planned") this.table.set({ "floats.catches": "planned" });
    }
}
