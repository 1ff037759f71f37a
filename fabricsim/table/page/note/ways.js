// Ways that were found, side by side: what each comes to, and a button that tries it.
import { el } from "../dom.js";
import { WORDS } from "../words.js";
import { smallCloth } from "./small_cloth.js";

/** @typedef {import("../cloth/bench.js").Bench} Bench */
/** @typedef {import("../messages").TellWays} TellWays */
/** @typedef {import("../messages").WayTold} WayTold */
/** @typedef {import("../messages").CameOf} CameOf */

export class Ways {
    /** @param {Bench} bench @param {HTMLElement} into @param {(words: string) => void} trying */
    constructor(bench, into, trying) {
        this.bench = bench;
        this.trying = trying;
        this.root = el("div", { class: "ways-found" });
        this.root.hidden = true;
        into.append(this.root);
        /** @type {Map<string, TellWays>} */
        this.found = new Map();
        this.shown = /** @type {string | null} */ (null);
        /** Which way each state of the history came of. @type {Map<number, string>} */
        this.cameOf = new Map();
        this.asked = /** @type {string | null} */ (null);
        bench.table.on("ways", (ways) => {
            if (this.found.get(ways.what)?.state !== ways.state) this.cameOf.clear();
            this.found.set(ways.what, ways);
            this.shown = ways.what;
            this.draw();
        });
        bench.table.on("scene", (scene) => {
            if (this.asked !== null) this.cameOf.set(scene.state, this.asked);
            this.asked = null;
            this.draw();
        });
        bench.table.on("trouble", () => (this.asked = null));
    }

    /** @param {string | null} what */
    show(what) {
        this.shown = what;
        this.draw();
    }

    draw() {
        const ways = this.shown === null ? undefined : this.found.get(this.shown);
        const { scene } = this.bench.table;
        this.root.hidden = !ways;
        if (!ways || !scene) return;
        const held = /** @type {HTMLElement | null} */ (document.activeElement?.closest("[data-way]"))?.dataset.way;
        const reached = this.cameOf.get(scene.state);
        const old = scene.state !== ways.state && reached === undefined;
        this.root.replaceChildren(
            ...(old ? [el("p", { class: "small", text: WORDS.seeking.before })] : []),
            ...(ways.wanted ? [el("p", { class: "small", text: ways.wanted })] : []),
            ...ways.notes.map((note) => el("p", { text: note })),
            ...(ways.what === "changes" ? this.sideBySide(ways, old, reached) : [el("ul", { class: "advice" }, ...ways.ways.map((way) => el("li", {}, this.one(ways, way, old, reached))))]),
        );
        if (held) /** @type {HTMLElement | null} */ (this.root.querySelector(`[data-way="${held}"]`))?.focus();
    }

    /** @param {WayTold} way @param {string} words */
    try_(way, words) {
        this.asked = way.id;
        this.trying(words);
        this.bench.table.ask({ kind: "advice", id: way.id });
    }

    /** One way as a button. @param {TellWays} ways @param {WayTold} way @param {boolean} old @param {string | undefined} reached */
    one(ways, way, old, reached) {
        const more = WORDS.seeking.would(ways.now, way.came, this.bench.table.scene?.units ?? "cm");
        const button = el(
            "button",
            { type: "button", class: "try", "data-way": way.id, disabled: old || !way.there || reached === way.id, onclick: () => this.try_(way, way.words) },
            el("span", { class: "said", text: way.words }),
            ...(more ? [el("span", { class: "more", text: more })] : []),
        );
        this.bench.pointed(button, way.places);
        return button;
    }

    /** @param {TellWays} ways @param {boolean} old @param {string | undefined} reached */
    sideBySide(ways, old, reached) {
        if (!ways.ways.length) return [];
        const w = WORDS.seeking;
        const { scene } = this.bench.table;
        const colours = scene?.yarns.map((yarn) => yarn.colour) ?? [];
        const gauge = scene?.gauge ?? [1, 1];
        const units = scene?.units ?? "cm";
        /** @param {CameOf | null} came */
        const numbers = (came) => [
            el("td", { text: came === null || came.loss_percent === null ? "" : WORDS.share(came.loss_percent) }),
            el("td", { text: came === null || came.pucker_mm === null ? "" : WORDS.small(came.pucker_mm, units) }),
            el("td", { text: came === null ? "" : String(came.over) }),
        ];
        const rows = ways.ways.map((way) => {
            const on = reached === way.id;
            const button = el("button", { type: "button", "data-way": way.id, text: on ? w.on_table : w.try_it, "aria-label": on ? null : w.try_way(way.name), disabled: old || on, onclick: () => this.try_(way, w.way(way.name)) });
            this.bench.pointed(button, way.places);
            return el(
                "tr",
                {},
                el("th", { scope: "row", class: way.does ? "does" : "", title: way.does ? w.does : null }, el("span", { text: way.name }), ...(way.chart ? [smallCloth(way.chart, colours, gauge)] : [])),
                ...numbers(way.came),
                el("td", {}, way.there ? button : w.no_way),
            );
        });
        return [
            el(
                "table",
                { class: "side-by-side" },
                el("thead", {}, el("tr", {}, el("td"), ...Object.values(w.rows).map((name) => el("th", { scope: "col", text: name })), el("td"))),
                el("tbody", {}, el("tr", {}, el("th", { scope: "row", text: w.as_it_is }), ...numbers(ways.now), el("td")), ...rows),
            ),
            el("p", { class: "small", text: w.one_piece }),
            el("ol", { class: "in-words small" }, ...ways.ways.map((way) => el("li", { text: way.words }))),
        ];
    }
}
