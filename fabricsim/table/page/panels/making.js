// The rest of the job: what the commands make, from the piece as it lies, with progress, a way to stop, shown in place.
import { by, el } from "../dom.js";
import { WORDS } from "../words.js";
import { panel } from "./panel.js";

/** @typedef {import("../talk/table.js").Table} Table */
/** @typedef {import("../messages").TellDone} TellDone */
/** @typedef {import("../messages").TellProgress} TellProgress */
/** @typedef {typeof WORDS.jobs[number]} Job */

export class Making {
    /** @param {Table} table */
    constructor(table) {
        this.table = table;
        const w = WORDS.making;
        const { dialog, body } = panel(w.name, "wide making");
        this.dialog = dialog;
        this.list = el("ul", { class: "jobs" });
        this.size = el("input", { type: "text", id: "for_size", placeholder: w.size_help });
        this.state = el("div", { class: "state", role: "status" });
        this.bar = el("progress", { max: 1, "aria-label": w.working });
        this.said = el("p", { class: "said" });
        this.stop = el("button", { type: "button", text: w.stop, onclick: () => this.stopIt() });
        this.result = el("div", { class: "result" });
        this.state.hidden = true;
        this.state.append(this.said, this.bar, this.stop);
        const left = el("div", { class: "menu" }, this.list, el("label", { class: "for-size" }, el("span", { text: w.size }), this.size));
        body.append(el("p", { class: "small", text: w.intro }), el("div", { class: "bench-of-jobs" }, left, el("div", {}, this.state, this.result)));
        /** @type {Job | null} */
        this.asked = null;
        /** @type {number | null} */
        this.job = null;
        by("make").addEventListener("click", () => this.open());
        table.on("welcome", () => this.fill());
        table.on("progress", (progress) => this.progress(progress));
        table.on("done", (done) => this.done(done));
        table.on("line", (state) => {
            if (state !== "open") this.state.hidden = true;
        });
        table.on("scene", () => this.stale());
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

    /** @param {Job} job */
    known(job) {
        return this.table.welcome?.commands.find((one) => one.name === job.command) ?? null;
    }

    fill() {
        this.list.replaceChildren(
            ...WORDS.jobs
                .filter((job) => this.known(job))
                .map((job) =>
                    el("li", {}, el("button", { type: "button", "data-job": job.key, onclick: () => this.go(job) }, el("span", { class: "said", text: job.name }), el("span", { class: "more", text: job.what }))),
                ),
        );
    }

    /** @param {Job} job */
    go(job) {
        this.job = null;
        this.asked = job;
        this.result.replaceChildren();
        this.state.hidden = false;
        this.state.scrollIntoView({ block: "nearest" });
        this.said.textContent = `${job.name}: ${WORDS.making.working}`;
        this.bar.removeAttribute("value");
        for (const button of this.list.querySelectorAll("button")) button.toggleAttribute("aria-current", button.dataset.job === job.key);
        const size = this.size.value.trim();
        const sized = size && this.known(job)?.options.includes("size") ? { size } : {};
        this.table.ask({ kind: "job", command: job.command, options: { ...job.options, ...sized } });
    }

    stopIt() {
        if (this.job !== null) this.table.ask({ kind: "stop", job: this.job });
    }

    /** @param {TellProgress} progress */
    progress(progress) {
        if (progress.command !== this.asked?.command) return;
        this.job = progress.job;
        this.state.hidden = false;
        if (progress.share === null) this.bar.removeAttribute("value");
        else this.bar.value = progress.share;
        this.said.textContent = `${this.asked.name}: ${progress.words || WORDS.making.working}`;
    }

    /** @param {TellDone} done */
    done(done) {
        if (done.command !== this.asked?.command) return;
        this.state.hidden = true;
        this.job = null;
        const stopped = done.status === 130;
        const failed = done.status !== 0 && !stopped;
        const words = done.words.trim();
        this.result.replaceChildren(
            el("h3", { text: this.asked.name, tabindex: "-1" }),
            ...(stopped ? [el("p", { text: WORDS.making.stopped })] : []),
            ...(failed ? [el("p", { class: "fault", text: WORDS.making.failed })] : []),
            ...(stopped ? [] : this.files(done.files)),
            ...(words && !stopped ? this.words(words) : []),
        );
        const heading = /** @type {HTMLElement | null} */ (this.result.querySelector("h3"));
        heading?.focus();
        heading?.scrollIntoView({ block: "start" }); // on a narrow page it comes below all that can be made
    }

    /** Say that what is shown is of a piece that has changed since. */
    stale() {
        if (!this.result.children.length || this.result.querySelector(".of-before")) return;
        this.result.prepend(el("p", { class: "of-before small", text: WORDS.making.of_before }));
    }

    /** @param {string} words */
    words(words) {
        const told = el("pre", { class: "words", tabindex: "0", text: words });
        // where files are the answer, a line or two only says so
        if (words.split("\n").length < 5) return [told];
        return [el("p", { class: "ways" }, el("button", { type: "button", text: WORDS.making.print, onclick: () => window.print() })), told];
    }

    /** Pages first, then what is only to be kept. @param {TellDone["files"]} files */
    files(files) {
        return files.map((file) => {
            const links = el(
                "p",
                { class: "ways" },
                el("a", { class: "as-button", href: `${file.url}?download`, download: file.name, text: `${WORDS.making.download} ${file.name}` }),
                ...(/html|pdf|image/.test(file.media) ? [el("a", { class: "as-button", href: file.url, target: "_blank", rel: "noopener", text: WORDS.making.open })] : []),
            );
            if (file.media.startsWith("image/")) return el("figure", {}, links, el("img", { src: file.url, alt: `${this.asked?.name ?? ""}: ${file.name}` }));
            if (/html|pdf/.test(file.media)) return el("figure", {}, links, el("iframe", { src: file.url, title: file.name }));
            return el("figure", {}, links);
        });
    }
}
