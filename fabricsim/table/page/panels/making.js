// The rest of the job: what the commands make, from the piece as it lies, with progress, a way to stop, shown in place.
import { by, el } from "../dom.js";
import { WORDS } from "../words.js";
import { panel } from "./panel.js";

/** @typedef {import("../talk/table.js").Table} Table */
/** @typedef {import("../messages").TellDone} TellDone */
/** @typedef {import("../messages").TellProgress} TellProgress */

export class Making {
    /** @param {Table} table */
    constructor(table) {
        this.table = table;
        const { dialog, body } = panel(WORDS.making.name, "wide making");
        this.dialog = dialog;
        this.list = el("ul", { class: "jobs" });
        this.state = el("div", { class: "state", role: "status" });
        this.bar = el("progress", { max: 1, "aria-label": WORDS.making.working });
        this.said = el("p", { class: "said" });
        this.stop = el("button", { type: "button", text: WORDS.making.stop, onclick: () => this.stopIt() });
        this.result = el("div", { class: "result" });
        this.state.hidden = true;
        this.state.append(this.said, this.bar, this.stop);
        body.append(el("p", { class: "small", text: WORDS.making.intro }), el("div", { class: "bench-of-jobs" }, this.list, el("div", {}, this.state, this.result)));
        /** @type {number | null} */
        this.job = null;
        by("make").addEventListener("click", () => this.open());
        table.on("welcome", () => this.fill());
        table.on("progress", (progress) => this.progress(progress));
        table.on("done", (done) => this.done(done));
        table.on("line", (state) => {
            if (state !== "open") this.state.hidden = true;
        });
        table.on("trouble", (trouble) => {
            if (trouble.asked !== "job" || !dialog.open) return;
            this.state.hidden = true;
            this.result.replaceChildren(el("p", { class: "fault", text: trouble.words }));
        });
    }

    open() {
        this.fill();
        this.dialog.showModal();
    }

    fill() {
        const known = this.table.welcome?.commands ?? [];
        this.list.replaceChildren(
            ...Object.entries(WORDS.jobs)
                .filter(([command]) => known.includes(command))
                .map(([command, [name, what]]) =>
                    el("li", {}, el("button", { type: "button", "data-job": command, onclick: () => this.go(command) }, el("span", { class: "said", text: name }), el("span", { class: "more", text: what }))),
                ),
        );
    }

    /** @param {string} command */
    go(command) {
        this.job = null;
        this.result.replaceChildren();
        this.state.hidden = false;
        this.said.textContent = `${WORDS.jobs[command]?.[0] ?? command}: ${WORDS.making.working}`;
        this.bar.removeAttribute("value");
        for (const button of this.list.querySelectorAll("button")) button.toggleAttribute("aria-current", button.dataset.job === command);
        this.table.ask({ kind: "job", command, options: {} });
    }

    stopIt() {
        if (this.job !== null) this.table.ask({ kind: "stop", job: this.job });
    }

    /** @param {TellProgress} progress */
    progress(progress) {
        this.job = progress.job;
        this.state.hidden = false;
        if (progress.share === null) this.bar.removeAttribute("value");
        else this.bar.value = progress.share;
        if (progress.words) this.said.textContent = progress.words;
    }

    /** @param {TellDone} done */
    done(done) {
        this.state.hidden = true;
        this.job = null;
        const name = WORDS.jobs[done.command]?.[0] ?? done.command;
        const failed = done.status !== 0;
        const stopped = done.status === 130;
        this.result.replaceChildren(
            el("h3", { text: name, tabindex: "-1" }),
            ...(stopped ? [el("p", { text: WORDS.making.stopped })] : failed ? [el("p", { class: "fault", text: WORDS.making.failed })] : []),
            ...done.files.map((file) => this.file(file)),
            ...(done.words.trim() ? [el("pre", { class: "words", tabindex: "0", text: done.words })] : []),
        );
        /** @type {HTMLElement | null} */ (this.result.querySelector("h3"))?.focus();
        if (done.command === "scene" && done.files[0]) download(done.files[0]);
    }

    /** @param {TellDone["files"][number]} file */
    file(file) {
        const links = el(
            "p",
            { class: "ways" },
            el("a", { href: `${file.url}?download`, download: file.name, text: `${WORDS.making.download} ${file.name}` }),
            ...(/html|pdf|image|text/.test(file.media) ? [el("a", { href: file.url, target: "_blank", rel: "noopener", text: WORDS.making.print })] : []),
        );
        if (file.media.startsWith("image/")) return el("figure", {}, el("img", { src: file.url, alt: file.name }), links);
        if (file.media.startsWith("text/html")) return el("figure", {}, el("iframe", { src: file.url, title: file.name }), links);
        if (file.media === "application/pdf") return el("figure", {}, el("iframe", { src: file.url, title: file.name }), links);
        return el("figure", {}, links);
    }
}

/** @param {TellDone["files"][number]} file */
function download(file) {
    const link = el("a", { href: `${file.url}?download`, download: file.name });
    document.body.append(link);
    link.click();
    link.remove();
}
