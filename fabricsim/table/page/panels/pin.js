// What one may do about one long float, asked at its pin.
import { el } from "../dom.js";
import { WORDS } from "../words.js";
import { panel } from "./panel.js";

/** @typedef {import("../cloth/bench.js").Bench} Bench */
/** @typedef {import("../messages").ToldFloat} ToldFloat */

/** Width of the slip, CSS pixels. */
const WIDE = 352;

export class PinPanel {
    /** @param {Bench} bench @param {(float: ToldFloat) => void} show */
    constructor(bench, show) {
        this.bench = bench;
        this.show = show;
        const { dialog, body } = panel("", "slip");
        this.dialog = dialog;
        this.body = body;
        this.head = /** @type {HTMLElement} */ (dialog.querySelector("h2"));
    }

    /** @param {ToldFloat} float @param {HTMLElement} from */
    ask(float, from) {
        const { scene } = this.bench.table;
        if (!scene) return;
        const long = WORDS.length(10 * float.cm, scene.units);
        this.head.textContent = `${WORDS.pin({ row: float.row + 1, yarn: scene.yarns[float.yarn]?.name ?? "", gap: float.gap, long })}.`;
        const limit = WORDS.limit({ gap: scene.longest_gap, cm: scene.longest_cm, units: scene.units });
        const choice = (/** @type {string} */ text, /** @type {() => void} */ then) => el("button", { type: "button", text, onclick: () => (this.dialog.close(), then()) });
        this.body.replaceChildren(
            el("p", { text: [limit, float.edge ? WORDS.edge : ""].filter(Boolean).join(" ") }),
            el(
                "p",
                { class: "ways" },
                choice(WORDS.catch_here, () => this.catch_(float)),
                choice(WORDS.between, () => this.knit(float)),
                choice(WORDS.show_back, () => this.show(float)),
                el("button", { type: "button", text: WORDS.cancel, onclick: () => this.dialog.close() }),
            ),
        );
        const at = from.getBoundingClientRect();
        const wide = Math.min(WIDE, innerWidth - 16);
        this.dialog.style.width = `${wide}px`;
        this.dialog.style.left = `${Math.max(8, Math.min(at.left - wide - 12, innerWidth - wide - 8))}px`;
        // hung from above in the upper half of the page, from below in the lower one
        const low = at.top > innerHeight / 2;
        this.dialog.style.top = low ? "auto" : `${Math.max(8, at.top - 20)}px`;
        this.dialog.style.bottom = low ? `${Math.max(8, innerHeight - at.bottom - 20)}px` : "auto";
        this.dialog.showModal();
    }

    /** @param {ToldFloat} float */
    middle(float) {
        return this.bench.chart.wrapped(float.column + Math.floor((float.gap - 1) / 2));
    }

    /** Catch it behind its middle stitch, beside the catches that are there. @param {ToldFloat} float */
    catch_(float) {
        const { table, chart } = this.bench;
        const { scene } = table;
        if (!scene) return;
        const said = scene.caught.map((one) => ({
            row: one.row + 1,
            stitch: chart.width - one.column,
            ...(one.yarn === null ? {} : { yarn: scene.yarns[one.yarn].symbol }),
            ...(one.repeat === null ? {} : { repeat: one.repeat }),
        }));
        const more = { row: float.row + 1, stitch: chart.width - this.middle(float), yarn: scene.yarns[float.yarn].symbol };
        table.set({ "floats.catches": [...said, more] });
    }

    /** @param {ToldFloat} float */
    knit(float) {
        this.bench.paint([[float.row, this.middle(float), float.yarn]], this.bench.table.newStroke());
    }
}
