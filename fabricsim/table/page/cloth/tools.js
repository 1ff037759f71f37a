// The buttons beside the cloth: tools, sides, looks, undo; and what can be done with a part in the frame.
import { by, el } from "../dom.js";
import { WORDS } from "../words.js";
import { middle, SYMMETRIES } from "./symmetry.js";

/** @typedef {import("./bench.js").Bench} Bench */

const CASES = /** @type {const} */ (["as_worked", "repeat", "swatch", "round"]);

export class Tools {
    /** @param {Bench} bench */
    constructor(bench) {
        this.bench = bench;
        this.root = by("tools");
        /** @type {Record<string, HTMLButtonElement>} */
        this.buttons = {};
        const { tool, tool_title } = WORDS;
        const make = (/** @type {keyof typeof tool} */ name, /** @type {() => void} */ then) => {
            const button = el("button", { type: "button", text: tool[name], title: tool_title[name], "data-tool": name, onclick: then });
            this.buttons[name] = button;
            return button;
        };
        const group = (/** @type {(Node | string)[]} */ ...inside) => el("div", { class: "group" }, ...inside);
        this.mirror = el("select", { onchange: () => this.mirrorBy(), "aria-label": WORDS.mirror });
        for (const one of SYMMETRIES) this.mirror.append(el("option", { value: one, text: WORDS.symmetry[one] }));
        this.shown = el("select", { onchange: () => this.show(), "aria-label": WORDS.shown });
        for (const one of CASES) this.shown.append(el("option", { value: one, text: WORDS.shown_as[one] }));
        this.root.append(
            group(make("needle", () => this.take("needle")), make("frame", () => this.take("frame")), make("turn", () => this.take("turn"))),
            group(el("label", { class: "pick" }, el("span", { text: WORDS.mirror }), this.mirror)),
            group(make("over", () => bench.turnOver()), make("glass", () => this.glass()), make("squares", () => bench.squares()), make("pull", () => this.pull()), make("ahead", () => this.ahead())),
            group(el("label", { class: "pick" }, el("span", { text: WORDS.shown }), this.shown)),
            group(make("undo", () => this.undo()), make("redo", () => this.redo())),
        );
        this.motif = el("div", { class: "motif", role: "group", "aria-label": WORDS.frame_name, hidden: true });
        for (const [name, text] of Object.entries(WORDS.motif)) {
            const title = WORDS.motif_title[/** @type {keyof typeof WORDS.motif} */ (name)];
            this.motif.append(el("button", { type: "button", text, title, "aria-label": title, "data-motif": name, onclick: () => this.alter(name) }));
        }
        by("bench").append(this.motif);
        bench.watchers.push(() => this.refresh());
        this.roving();
        this.refresh();
    }

    /** One stop for the tab key; arrows go from tool to tool. */
    roving() {
        const stops = () => /** @type {HTMLElement[]} */ ([...this.root.querySelectorAll("button, select")]).filter((one) => !(/** @type {HTMLButtonElement} */ (one).disabled));
        this.root.addEventListener("keydown", (event) => {
            const all = stops();
            const at = all.indexOf(/** @type {HTMLElement} */ (document.activeElement));
            if (at < 0 || document.activeElement?.tagName === "SELECT") return;
            const step = { ArrowRight: 1, ArrowDown: 1, ArrowLeft: -1, ArrowUp: -1 }[event.key];
            if (!step) return;
            event.preventDefault();
            all[(at + step + all.length) % all.length].focus();
        });
    }

    /** @param {import("./bench.js").Tool} tool */
    take(tool) {
        this.bench.tool = tool;
        this.bench.tell();
    }

    glass() {
        const { bench } = this;
        bench.glass = !bench.glass;
        bench.stage.glass = null;
        const n = bench.under;
        if (bench.glass && n >= 0) {
            const [x, y] = bench.stage.camera.seen(...bench.stage.place(n));
            bench.stage.glass = [x, y, 92];
        }
        bench.tell();
    }

    pull() {
        const { bench } = this;
        bench.colour(bench.colouring === "pull" ? "none" : "pull");
    }

    ahead() {
        const { bench } = this;
        bench.unlight();
        bench.goTo({ yaw: bench.facing(false), pitch: 0, home: true });
    }

    undo() {
        this.bench.table.ask({ kind: "undo" });
    }

    redo() {
        this.bench.table.ask({ kind: "redo" });
    }

    mirrorBy() {
        this.bench.symmetry = /** @type {import("./symmetry.js").Symmetry} */ (this.mirror.value);
        this.bench.axis = middle(this.bench.chart);
        this.bench.tell();
    }

    show() {
        const chosen = this.shown.value;
        this.bench.table.look(chosen === "as_worked" ? null : /** @type {import("../talk/wire.js").Case} */ (chosen));
    }

    /** Do something with the part in the frame. @param {string} what */
    alter(what) {
        const { bench } = this;
        const { chart, table, box } = bench;
        const stroke = table.newStroke();
        if (what === "all") bench.box = { row: 0, column: 0, rows: chart.height, columns: chart.width };
        else if (what === "drop") bench.box = null;
        else if (what === "paste") this.paste(stroke);
        else if (box) {
            const shifts = /** @type {Record<string, [number, number]>} */ ({ left: [0, -1], right: [0, 1], upward: [1, 0], down: [-1, 0] });
            if (what === "copy") this.copy(box);
            else if (what === "fill") bench.paint(this.squaresOf(box).map(([row, column]) => [row, column, bench.yarn]), stroke);
            else if (what === "across" || what === "up") table.ask({ kind: "motif", do: what === "across" ? "mirror across" : "mirror up", box, stroke });
            else if (what === "turn") table.ask({ kind: "motif", do: "turn", box, quarters: box.rows === box.columns ? 1 : 2, stroke });
            else if (shifts[what]) table.ask({ kind: "motif", do: "shift", box, by: shifts[what], stroke });
        }
        bench.paintLooks();
        bench.tell();
    }

    /** @param {import("./bench.js").Box} box @returns {[number, number][]} */
    squaresOf(box) {
        const out = [];
        for (let r = 0; r < box.rows; r++) for (let c = 0; c < box.columns; c++) out.push(/** @type {[number, number]} */ ([box.row + r, this.bench.chart.wrapped(box.column + c)]));
        return out;
    }

    /** @param {import("./bench.js").Box} box */
    copy(box) {
        const { chart } = this.bench;
        this.bench.copied = Array.from({ length: box.rows }, (_row, r) => Array.from({ length: box.columns }, (_column, c) => chart.at(box.row + r, chart.wrapped(box.column + c))));
        by("stitch").textContent = WORDS.copied;
    }

    /** Lay what was copied with its lower left corner under the needle. @param {number} stroke */
    paste(stroke) {
        const { bench } = this;
        const to = bench.places.square(bench.under);
        if (!bench.copied || !to) return;
        /** @type {import("./chart.js").Square[]} */
        const squares = [];
        bench.copied.forEach((row, r) => row.forEach((yarn, c) => {
            if (to[0] + r < bench.chart.height) squares.push([to[0] + r, bench.chart.wrapped(to[1] + c), yarn]);
        }));
        bench.paint(squares, stroke);
        bench.box = { row: to[0], column: to[1], rows: Math.min(bench.copied.length, bench.chart.height - to[0]), columns: Math.min(bench.copied[0].length, bench.chart.width) };
    }

    refresh() {
        const { bench, buttons } = this;
        const pressed = /** @type {Record<string, boolean>} */ ({
            needle: bench.tool === "needle",
            frame: bench.tool === "frame",
            turn: bench.tool === "turn",
            over: bench.stage.behind,
            glass: bench.glass,
            squares: bench.stage.flat > 0.5,
            pull: bench.colouring === "pull",
        });
        for (const [name, on] of Object.entries(pressed)) buttons[name].setAttribute("aria-pressed", String(on));
        const { scene } = bench.table;
        buttons.undo.disabled = !scene?.undo;
        buttons.redo.disabled = !scene?.redo;
        this.mirror.value = bench.symmetry;
        this.motif.hidden = bench.tool !== "frame";
        for (const button of this.motif.querySelectorAll("button")) {
            const what = button.getAttribute("data-motif");
            button.disabled = what === "paste" ? !bench.copied : what !== "all" && !bench.box;
        }
    }
}
