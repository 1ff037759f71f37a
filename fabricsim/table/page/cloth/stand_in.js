// Where nothing draws in 3-D: pictures of face and back that the server makes.
import { by } from "../dom.js";
import { WORDS } from "../words.js";

/** @typedef {import("./bench.js").Bench} Bench */

/** A picture is asked for once the changes pause so long, ms. */
const PAUSE = 400;
/** Dots across a picture, at least and at most, whatever its place on the page has (chosen). */
const LEAST = 100;
const MOST = 1600;

export class StandIn {
    /** @param {Bench} bench @param {(key: string, words: string) => void} tell says something at the foot of the page */
    constructor(bench, tell) {
        this.bench = bench;
        this.picture = /** @type {HTMLImageElement} */ (by("picture"));
        this.waiting = 0;
        if (bench.stage.means !== "none") return;
        by("canvas").hidden = true;
        this.picture.hidden = false;
        this.picture.alt = WORDS.picture_alt;
        tell("pictures", WORDS.no_webgl);
        bench.table.on("scene", () => this.soon());
        bench.table.on("done", (done) => {
            const file = done.files.find((one) => one.media.startsWith("image/"));
            if (done.command === "draw" && file) this.picture.src = file.url;
        });
    }

    soon() {
        window.clearTimeout(this.waiting);
        this.waiting = window.setTimeout(() => {
            const dots = Math.round(by("cloth").getBoundingClientRect().width * window.devicePixelRatio);
            const width = Math.max(LEAST, Math.min(MOST, dots));
            this.bench.table.ask({ kind: "job", command: "draw", options: { view: this.bench.stage.behind ? "back" : "face", width } });
        }, PAUSE);
    }
}
