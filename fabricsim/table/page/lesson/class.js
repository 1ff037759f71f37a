// A class: the whole screen, large type, face and back at once, one slider, and a walk through why a tight float pulls.
import { by, draw, el } from "../dom.js";
import { WORDS } from "../words.js";
import { section, tellingRow } from "./section.js";

/** @typedef {import("../cloth/bench.js").Bench} Bench */
/** @typedef {import("../cloth/beside.js").Beside} Beside */

export class Lesson {
    /** @param {Bench} bench @param {Beside} beside @param {() => void} resized */
    constructor(bench, beside, resized) {
        this.bench = bench;
        this.beside = beside;
        this.resized = resized;
        this.on = false;
        this.step = 0;
        this.stroke = 0;
        /** @type {number | null} the slack before the class */
        this.before = null;
        const w = WORDS.class;
        this.text = el("p", { class: "sentence", role: "status" });
        this.at = el("span", { class: "at" });
        this.svg = draw("svg", { class: "section", role: "img", "aria-label": w.section });
        this.numbers = el("p", { class: "large" });
        this.range = el("input", { type: "range", min: -15, max: 25, step: 0.5, "aria-label": w.slack });
        this.back = el("button", { type: "button", text: w.previous, onclick: () => this.go(this.step - 1) });
        this.next = el("button", { type: "button", class: "strong", text: w.next, onclick: () => this.go(this.step + 1) });
        this.panel = el(
            "section",
            { id: "class", "aria-label": w.name, hidden: true },
            el("h2", { text: w.name }),
            this.text,
            el("div", { class: "walk" }, this.back, this.at, this.next, el("button", { type: "button", text: w.leave, onclick: () => this.leave() })),
            el("figure", {}, this.svg, el("figcaption", { text: w.section })),
            el("label", { class: "one-slider" }, el("span", { text: w.slack }), this.range),
            this.numbers,
        );
        document.body.append(this.panel);
        by("lesson").addEventListener("click", () => this.enter());
        this.range.addEventListener("input", () => this.slack(Number(this.range.value) / 100));
        this.range.addEventListener("change", () => (this.stroke = 0));
        document.addEventListener("fullscreenchange", () => {
            if (!document.fullscreenElement && this.on && this.full) this.leave();
        });
        document.addEventListener("keydown", (event) => {
            if (!this.on || /** @type {Element} */ (event.target).matches("input[type=range]")) return;
            if (event.key === "Escape") this.leave();
            else if (event.key === "PageDown") this.go(this.step + 1);
            else if (event.key === "PageUp") this.go(this.step - 1);
            else return;
            event.preventDefault();
            event.stopPropagation();
        }, true);
        bench.table.on("shape", () => this.draw());
        bench.table.on("said", () => this.draw());
        this.full = false;
    }

    enter() {
        this.on = true;
        this.before = this.bench.table.scene?.slack ?? null;
        document.body.classList.add("in-class");
        this.panel.hidden = false;
        by("cloth").dataset.side = WORDS.face;
        this.beside.back(true);
        this.stroke = this.bench.table.newStroke();
        document.documentElement.requestFullscreen?.().then(
            () => (this.full = true),
            () => (this.full = false),
        );
        this.resized();
        this.go(0);
        this.next.focus();
    }

    leave() {
        this.on = false;
        document.body.classList.remove("in-class");
        this.panel.hidden = true;
        this.beside.back(false);
        if (this.full && document.fullscreenElement) void document.exitFullscreen();
        this.full = false;
        const { scene } = this.bench.table;
        // what the class did with the slack is one step, and is taken back
        if (scene && this.before !== null && scene.slack !== this.before) this.bench.table.set({ "floats.slack": this.before }, this.stroke || undefined);
        this.stroke = 0;
        this.resized();
        by("lesson").focus();
    }

    /** @param {number} step */
    go(step) {
        const { steps } = WORDS.class;
        this.step = Math.min(Math.max(step, 0), steps.length - 1);
        const now = steps[this.step];
        this.text.textContent = now.text;
        this.at.textContent = WORDS.class.step(this.step + 1, steps.length);
        this.back.disabled = this.step === 0;
        this.next.disabled = this.step === steps.length - 1;
        this.slack(now.slack);
        this.bench.goTo({ yaw: this.bench.facing(false), pitch: now.slack < -0.1 ? 0.45 : 0.12, flat: 0, home: true });
    }

    /** @param {number} slack */
    slack(slack) {
        const { table } = this.bench;
        this.stroke ||= table.newStroke();
        this.range.value = String(100 * slack);
        this.range.setAttribute("aria-valuetext", WORDS.slackSaid(slack));
        table.set({ "floats.slack": slack, "floats.slack_by_yarn": null }, this.stroke);
    }

    draw() {
        const { shape, scene, said } = this.bench.table;
        if (!this.on || !shape || !scene) return;
        const row = tellingRow(shape);
        if (row) section(this.svg, shape, scene.yarns.map((yarn) => yarn.colour), row);
        const settled = said && said.revision === scene.revision;
        this.numbers.textContent = WORDS.class.told(WORDS.slackSaid(Number(this.range.value) / 100), settled ? said.loss_percent : null, WORDS.small(said?.pucker_mm ?? 0, scene.units));
    }
}
