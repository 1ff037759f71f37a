// Setting the table: what is knitted, in which yarns, at which gauge, how often.
import { by, el } from "../dom.js";
import { WORDS } from "../words.js";
import { panel } from "./panel.js";
import { fileGiven } from "./files.js";

/** @typedef {import("../cloth/bench.js").Bench} Bench */
/** @typedef {import("../messages").TellScene} TellScene */

export class Setting {
    /** @param {Bench} bench */
    constructor(bench) {
        this.bench = bench;
        this.table = bench.table;
        const { dialog, body } = panel(WORDS.set, "wide");
        this.dialog = dialog;
        this.form = el("form", { class: "setting", method: "dialog" });
        this.trouble = el("p", { class: "fault", role: "alert" });
        body.append(this.trouble, this.form);
        by("set").addEventListener("click", () => this.open());
        this.table.on("scene", () => {
            if (dialog.open) this.fill();
        });
        this.table.on("trouble", (trouble) => {
            if (dialog.open) this.trouble.textContent = trouble.words;
        });
        dialog.addEventListener("close", () => (this.trouble.textContent = ""));
        // a number that is clicked on is typed anew
        dialog.addEventListener("click", (event) => {
            const field = event.target;
            if (field instanceof HTMLInputElement && field.type === "number") field.select();
        });
    }

    open() {
        this.fill();
        this.dialog.showModal();
    }

    /** Send one key; nothing stands for what is usual. @param {string} key @param {any} value */
    send(key, value) {
        this.trouble.textContent = "";
        this.table.set({ [key]: value === "" ? null : value });
    }

    fill() {
        const { scene } = this.table;
        if (!scene) return;
        const focused = /** @type {HTMLElement | null} */ (document.activeElement)?.dataset?.key;
        this.form.replaceChildren(this.piece(scene), this.gauge(scene), this.yarns(scene), this.chart(scene), this.limits(scene), this.sizes(scene), this.ending());
        if (focused) /** @type {HTMLElement | null} */ (this.form.querySelector(`[data-key="${CSS.escape(focused)}"]`))?.focus();
    }

    /** @param {string} legend @param {...(Node | string)} inside */
    part(legend, ...inside) {
        return el("fieldset", {}, el("legend", { text: legend }), ...inside);
    }

    /** A field for one key. @param {string} name @param {string} key @param {any} value
     * @param {{type?: string, step?: string, min?: number, placeholder?: string, short?: boolean}} [how] */
    field(name, key, value, how = {}) {
        const input = el("input", { type: how.type ?? "text", value: value ?? "", step: how.step, min: how.min, placeholder: how.placeholder, "data-key": key });
        if (how.type === "number") input.inputMode = "decimal";
        input.addEventListener("change", () => {
            const given = input.value.trim();
            this.send(key, how.type === "number" && given !== "" ? Number(given) : given);
        });
        return el("label", { class: how.short ? "short" : "" }, el("span", { text: name }), input);
    }

    /** @param {string} name @param {string} key @param {string} value @param {[string, string][]} choices */
    choice(name, key, value, choices) {
        const select = el("select", { "data-key": key });
        for (const [one, text] of choices) select.append(el("option", { value: one, text, selected: one === value }));
        select.addEventListener("change", () => this.send(key, select.value));
        return el("label", {}, el("span", { text: name }), select);
    }

    /** @param {TellScene} scene */
    piece(scene) {
        const w = WORDS.setting;
        return this.part(
            w.piece,
            this.field(w.title, "title", scene.title),
            this.choice(w.item, "item", scene.item ?? "", [["", w.item_none], ...Object.entries(WORDS.items)]),
            this.choice(w.worked, "worked", scene.worked, [["round", w.round], ["flat", w.flat]]),
            this.choice(w.units, "units", scene.units, [["cm", w.cm], ["inch", w.inch]]),
        );
    }

    /** @param {TellScene} scene */
    gauge(scene) {
        const w = WORDS.setting;
        const value = scene.values;
        return this.part(
            `${w.gauge}, ${scene.units === "inch" ? w.to_inch : w.to_cm}`,
            this.field(w.stitches, "gauge.stitches", value["gauge.stitches"], { type: "number", step: "0.25", min: 1, short: true }),
            this.field(w.rows, "gauge.rows", value["gauge.rows"], { type: "number", step: "0.25", min: 1, short: true }),
            this.field(w.needle, "gauge.needle_mm", value["gauge.needle_mm"], { type: "number", step: "0.25", min: 0.5, short: true }),
        );
    }

    /** @param {TellScene} scene */
    yarns(scene) {
        const w = WORDS.setting;
        const rows = scene.yarns.map((yarn, k) => {
            const away = el("button", { type: "button", text: w.yarn_away, "aria-label": `${w.yarn_away}: ${yarn.name}`, disabled: scene.yarns.length < 2 });
            away.addEventListener("click", () => this.table.ask({ kind: "take yarn away", yarn: k, instead: k === 0 ? 1 : 0 }));
            return el(
                "div",
                { class: "yarn" },
                this.field(w.yarn_colour, `yarns.${k}.colour`, yarn.colour, { type: "color" }),
                this.field(w.yarn_name, `yarns.${k}.name`, yarn.name),
                this.field(w.yarn_metres, `yarns.${k}.metres_per_100_g`, scene.values[`yarns.${k}.metres_per_100_g`] ?? Math.round(yarn.metres_per_100_g), { type: "number", step: "1", min: 10, short: true }),
                away,
            );
        });
        const add = el("button", { type: "button", text: w.yarn_add });
        add.addEventListener("click", () => {
            const names = new Set(scene.yarns.map((yarn) => yarn.name));
            let number = scene.yarns.length + 1;
            while (names.has(`${WORDS.new_yarn} ${number}`)) number += 1;
            const fresh = ["#a8552f", "#2f4f7a", "#b8962e", "#7a3b5e", "#5b7d3a"][scene.yarns.length % 5];
            this.table.ask({ kind: "add yarn", name: `${WORDS.new_yarn} ${number}`, colour: fresh });
        });
        return this.part(w.yarns, ...rows, add);
    }

    /** @param {TellScene} scene */
    chart(scene) {
        const w = WORDS.setting;
        const [rows, stitches] = [this.bench.chart.height, this.bench.chart.width];
        const tall = el("input", { type: "number", min: 1, step: 1, value: rows, "data-key": "rows" });
        const wide = el("input", { type: "number", min: 1, step: 1, value: stitches, "data-key": "stitches" });
        const apply = el("button", { type: "button", text: w.chart_apply });
        apply.addEventListener("click", () => {
            this.trouble.textContent = "";
            const wanted = Math.max(1, Number(wide.value) || stitches);
            const across = Math.max(1, Math.round((scene.across * stitches) / wanted)); // a hat stays about as wide, whatever its repeat
            this.table.ask({ kind: "size", rows: Math.max(1, Number(tall.value) || rows), stitches: wanted, yarn: scene.plain_yarn, across, stroke: this.table.newStroke() });
        });
        const file = el("input", { type: "file", accept: ".txt,.png,image/png,text/plain", "data-key": "file" });
        file.addEventListener("change", async () => {
            const given = file.files?.[0];
            if (given) this.table.ask({ kind: "drop", file: await fileGiven(given), stroke: this.table.newStroke() });
            file.value = "";
        });
        return this.part(
            w.chart,
            el("label", { class: "short" }, el("span", { text: w.chart_stitches }), wide),
            el("label", { class: "short" }, el("span", { text: w.chart_rows }), tall),
            apply,
            this.field(w.across, "chart.across", scene.across, { type: "number", step: "1", min: 1, short: true }),
            this.field(w.up, "chart.up", scene.up, { type: "number", step: "1", min: 1, short: true }),
            this.field(w.below, "chart.plain_below", scene.plain_below, { type: "number", step: "1", min: 0, short: true }),
            this.field(w.above, "chart.plain_above", scene.plain_above, { type: "number", step: "1", min: 0, short: true }),
            el("label", { class: "file" }, el("span", { text: w.from_file }), file, el("small", { text: w.from_help })),
        );
    }

    /** @param {TellScene} scene */
    limits(scene) {
        const w = WORDS.setting;
        const value = scene.values;
        return this.part(
            w.limits,
            this.field(w.gap, "floats.longest_gap", value["floats.longest_gap"], { type: "number", step: "1", min: 1, placeholder: w.usual, short: true }),
            scene.units === "inch"
                ? this.field(w.inch, "floats.longest_inch", value["floats.longest_inch"], { type: "number", step: "0.25", min: 0.1, placeholder: w.usual, short: true })
                : this.field(w.gap_cm, "floats.longest_cm", value["floats.longest_cm"], { type: "number", step: "0.1", min: 0.1, placeholder: w.usual, short: true }),
        );
    }

    /** @param {TellScene} scene */
    sizes(scene) {
        const w = WORDS.setting;
        const value = scene.values;
        const bodies = el("input", { type: "text", value: "", placeholder: w.bodies_help, "data-key": "sizes.bodies" });
        bodies.addEventListener("change", () => {
            const listed = bodies.value.split(",").map((one) => one.trim()).filter(Boolean);
            this.send("sizes.bodies", listed.length ? listed.map((one) => (Number.isFinite(Number(one)) ? Number(one) : one)) : null);
        });
        return this.part(
            w.sizes,
            el("label", {}, el("span", { text: w.bodies }), bodies),
            this.field(w.rib, "sizes.rib", value["sizes.rib"], { placeholder: "2x2", short: true }),
            this.field(w.ease, "sizes.ease_percent", value["sizes.ease_percent"], { type: "number", step: "0.5", placeholder: w.usual, short: true }),
        );
    }

    ending() {
        return el("p", { class: "ways" }, el("button", { type: "submit", class: "strong", text: WORDS.setting.done }));
    }
}
