// Opening a piece and keeping it; files dropped on the page.
import { by, el } from "../dom.js";
import { WORDS } from "../words.js";
import { fileGiven } from "./files.js";
import { panel } from "./panel.js";

/** @typedef {import("../talk/table.js").Table} Table */

export class Opening {
    /** @param {Table} table */
    constructor(table) {
        this.table = table;
        this.opening = panel(WORDS.opening.name);
        this.keeping = panel(WORDS.keeping.name);
        by("open").addEventListener("click", () => this.open());
        by("keep").addEventListener("click", () => this.keep());
        document.addEventListener("dragover", (event) => event.preventDefault());
        document.addEventListener("drop", (event) => {
            event.preventDefault();
            this.dropped([...(event.dataTransfer?.files ?? [])]);
        });
        table.on("scene", (scene) => {
            by("keep").textContent = scene.kept ? WORDS.kept : WORDS.keep;
        });
        /** @type {import("../messages").Offer[]} */
        this.offers = [];
        this.asked = false;
        table.on("offers", (offers) => {
            this.offers = offers.each;
            // told once a server: what was left behind should not be looked for
            if (offers.each.length && !this.asked && !document.querySelector("dialog[open]")) this.open();
            this.asked = true;
        });
        table.on("line", (state) => {
            if (state !== "open") this.asked = false;
        });
        table.on("text", (text) => this.hand(text));
    }

    /** A scene is opened; anything else is tried as the chart. @param {File[]} files */
    async dropped(files) {
        if (!files.length) return;
        const given = await Promise.all(files.slice(0, 4).map(fileGiven));
        if (given.some((one) => one.name.toLowerCase().endsWith(".toml"))) this.table.ask({ kind: "open", files: given });
        else this.table.ask({ kind: "drop", file: given[0], stroke: this.table.newStroke() });
    }

    open() {
        const { dialog, body } = this.opening;
        const w = WORDS.opening;
        const file = el("input", { type: "file", multiple: true, accept: ".toml,.txt,.png" });
        file.addEventListener("change", () => {
            this.dropped([...(file.files ?? [])]);
            dialog.close();
        });
        const plain = el("button", { type: "button", text: w.plain, onclick: () => (this.table.ask({ kind: "open", files: [] }), dialog.close()) });
        const left = this.offers.map((offer) =>
            el(
                "li",
                {},
                el("span", { text: w.offer(offer.title, offer.changes, new Date(offer.when * 1000).toLocaleString()) }),
                el("button", { type: "button", text: w.go_on, "aria-label": `${w.go_on}: ${offer.title}`, onclick: () => (this.table.ask({ kind: "resume", id: offer.id }), dialog.close()) }),
            ),
        );
        const later = el("button", { type: "button", text: w.later, onclick: () => dialog.close() });
        const drop = el("button", { type: "button", text: w.drop });
        drop.addEventListener("click", () => {
            // what is let go does not come back: it takes a second press
            if (drop.textContent === w.drop) drop.textContent = w.drop_sure;
            else {
                this.table.ask({ kind: "resume", id: null });
                dialog.close();
            }
        });
        body.replaceChildren(
            ...(left.length ? [el("section", {}, el("h3", { text: w.left }), el("ul", { class: "offers" }, ...left), el("p", { class: "ways" }, later, drop))] : []),
            el("label", { class: "file" }, el("span", { text: w.file }), file),
            el("p", { class: "ways" }, plain),
        );
        dialog.showModal();
    }

    keep() {
        const { dialog, body } = this.keeping;
        const w = WORDS.keeping;
        const { scene } = this.table;
        if (!scene) return;
        const write = el("button", { type: "button", class: "strong", text: w.write, onclick: () => (this.table.ask({ kind: "keep", over: false }), dialog.close()) });
        body.replaceChildren(
            ...(scene.file ? [el("p", { text: w.in_file(scene.file) }), el("p", { class: "ways" }, write)] : []),
            el("p", { class: "ways" }, el("button", { type: "button", text: w.download, onclick: () => this.download() })),
            el("p", { class: "small", text: w.auto }),
        );
        dialog.showModal();
    }

    download() {
        this.keeping.dialog.close();
        this.table.ask({ kind: "text" });
    }

    /** Hand over the scene, and what it names, as files. @param {import("../messages").TellText} told */
    hand(told) {
        /** @type {[string, BlobPart][]} */
        const all = [[told.name, told.text]];
        for (const [name, data] of Object.entries(told.files)) all.push([name, Uint8Array.from(atob(data), (letter) => letter.charCodeAt(0))]);
        for (const [name, part] of all) {
            const url = URL.createObjectURL(new Blob([part]));
            const link = el("a", { href: url, download: name });
            document.body.append(link);
            link.click();
            link.remove();
            setTimeout(() => URL.revokeObjectURL(url), 10_000);
        }
    }

    /** The file was changed by something else: ask before it is written over. */
    askOver() {
        const { dialog, body } = this.keeping;
        const w = WORDS.keeping;
        body.replaceChildren(
            el("p", { text: w.over }),
            el("p", { class: "ways" }, el("button", { type: "button", text: w.over_write, onclick: () => (this.table.ask({ kind: "keep", over: true }), dialog.close()) }), el("button", { type: "button", text: WORDS.cancel, onclick: () => dialog.close() })),
        );
        if (!dialog.open) dialog.showModal();
    }
}
