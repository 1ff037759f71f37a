// The tape under the cloth: its width now by a red thread, plain by a hollow mark, the likely range by a band.
import { draw } from "../dom.js";
import { WORDS } from "../words.js";

/** A cloth that is measured: what is drawn of it, and what is said of it.
 * @typedef {{stage: import("../gl/stage.js").Stage, places: import("./places.js").Places, table: import("../talk/table.js").Table,
 *   said: () => import("../messages").TellSaid | null}} Measured */

/** Height of the tape, CSS pixels. */
const HIGH = 20;
const INCH = 25.4;

export class Tape {
    /** @param {Measured} cloth @param {SVGElement} svg */
    constructor(cloth, svg) {
        this.cloth = cloth;
        this.group = draw("g", { class: "tape" });
        svg.append(this.group);
        cloth.stage.watchers.push(() => this.draw());
        cloth.table.on("said", () => cloth.stage.ask(false));
        this.key = "";
    }

    draw() {
        const { stage, table, places } = this.cloth;
        const { scene } = table;
        const said = this.cloth.said();
        const shape = stage.shape;
        if (!scene || !shape || places.columns[1] < places.columns[0]) return;
        const { camera } = stage;
        // what is drawn of the cloth, as plain fabric would measure
        const { tube } = stage;
        const plain = tube ? 10 * (said?.plain_cm ?? (scene.stitches * stage.cell[0]) / 10) : (places.columns[1] - places.columns[0] + 1) * stage.cell[0];
        const share = said ? said.width_cm / said.plain_cm : 1;
        const likely = said?.likely_width_cm ?? null;
        const straight = Math.abs(Math.sin(camera.yaw)) < 0.5 && Math.abs(camera.pitch) < 0.6;
        let scale = camera.scale;
        let left = this.left();
        if (tube || stage.flat > 0.5 || !straight) {
            const { left: l, right: r } = camera.margins;
            scale = (camera.width - l - r) / (plain * 1.04);
            left = l;
        }
        const top = Math.min(camera.height - HIGH - 22, this.bottom() + 14);
        const key = [left, scale, top, plain, share, likely, scene.units, camera.width].join();
        if (key === this.key) return;
        this.key = key;
        const inch = scene.units === "inch";
        const unit = inch ? INCH : 10;
        const right = Math.min(camera.width + 40, left + plain * scale * 1.04 + 14);
        /** @type {SVGTextElement | null} */
        let label = null;
        /** @type {SVGElement[]} */
        const parts = [draw("rect", { class: "cloth-tape", x: left - 10, y: top, width: Math.max(20, right - left + 10), height: HIGH, rx: 1.5 })];
        const fine = unit * scale > 40 ? (inch ? 8 : 10) : unit * scale > 14 ? 2 : 1;
        let ticks = "";
        const each = [1, 2, 5, 10, 20, 50].find((step) => step * unit * scale > 30) ?? 100;
        for (let k = 0; (k / fine) * unit * scale <= right - left; k++) {
            const x = left + (k / fine) * unit * scale;
            const whole = k % fine === 0;
            if (!whole && unit * scale < 14) continue;
            ticks += `M${x.toFixed(1)} ${top}v${whole ? 7 : k % (fine / 2) === 0 ? 5 : 3}`;
            if (whole && (k / fine) % each === 0 && k) parts.push(draw("text", { x, y: top + 17 }, String(k / fine)));
        }
        parts.push(draw("path", { class: "ticks", d: ticks }));
        if (said) {
            const now = left + plain * share * scale;
            const whole = left + plain * scale;
            if (likely) {
                const [a, b] = likely.map((one) => left + (plain * one * scale) / said.plain_cm);
                parts.push(draw("rect", { class: "likely", x: Math.min(a, b), y: top + HIGH, width: Math.abs(b - a), height: 6 }));
            }
            parts.push(draw("path", { class: "plain", d: `M${whole} ${top - 5}v${HIGH + 10}` }));
            parts.push(draw("path", { class: "thread", d: `M${now} ${top - 8}v${HIGH + 16}` }));
            const units = scene.units;
            const words = WORDS.tape(WORDS.length(plain * share, units), WORDS.length(plain, units));
            const end = Math.min(now, camera.width - 4);
            label = draw("text", { class: "width", x: end - 6, y: top + HIGH + 18 }, tube ? `${WORDS.round_tube}: ${words}` : words);
            parts.push(label);
        }
        this.group.replaceChildren(...parts);
        // on a narrow page what is said is longer than what lies to the left of the thread
        const long = label?.getComputedTextLength() ?? 0;
        if (label && Number(label.getAttribute("x")) < long + 4) label.setAttribute("x", String(Math.min(camera.width - 4, long + 4)));
    }

    /** Left edge of the cloth on the page. */
    left() {
        const { stage, places } = this.cloth;
        const spots = places.now();
        let least = Infinity;
        for (let n = 0; n < spots.length / 4; n++) if (spots[4 * n + 3]) least = Math.min(least, spots[4 * n]);
        return Math.max(12, least - (stage.cell[0] * stage.camera.scale) / 2);
    }

    bottom() {
        const { stage, places } = this.cloth;
        const spots = places.now();
        let most = -Infinity;
        for (let n = 0; n < spots.length / 4; n++) if (spots[4 * n + 3]) most = Math.max(most, spots[4 * n + 1]);
        return most + 0.9 * stage.cell[1] * stage.camera.scale + (stage.flat > 0.5 ? 18 : 0);
    }
}
