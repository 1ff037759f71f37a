// Sets the page up: each part is made once and hears of what the server tells.
import { CostMarks } from "./cloth/cost_marks.js";
import { Balls } from "./hands/balls.js";
import { Bench } from "./cloth/bench.js";
import { Beside } from "./cloth/beside.js";
import { by, el, worded } from "./dom.js";
import { Habits } from "./hands/habits.js";
import { Keys } from "./cloth/keys.js";
import { Lesson } from "./lesson/class.js";
import { Making } from "./panels/making.js";
import { Margin } from "./cloth/margin.js";
import { Marks } from "./cloth/marks.js";
import { Needle } from "./cloth/needle.js";
import { Opening } from "./panels/opening.js";
import { PinPanel } from "./panels/pin.js";
import { RowText } from "./hands/row_text.js";
import { Says } from "./note/says.js";
import { Seek } from "./note/seek.js";
import { Setting } from "./panels/setting.js";
import { Slack } from "./hands/slack.js";
import { Status } from "./cloth/status.js";
import { StandIn } from "./cloth/stand_in.js";
import { Table } from "./talk/table.js";
import { Tape } from "./cloth/tape.js";
import { ToDo } from "./note/todo.js";
import { Tools } from "./cloth/tools.js";
import { Tries } from "./note/tries.js";
import { WORDS } from "./words.js";

worded(document, WORDS);
const table = new Table();
const bench = new Bench(table, by("canvas"));
const svg = /** @type {SVGSVGElement} */ (/** @type {unknown} */ (by("drawn")));
const cloth = by("cloth");

const tape = new Tape({ stage: bench.stage, places: bench.places, table, said: () => table.said }, svg);
const costMarks = new CostMarks(bench, svg);
const marks = new Marks(bench, svg);
const says = new Says(bench);
const pin = new PinPanel(bench, (float) => says.toFloat(float));
const margin = new Margin(bench, (float, from) => pin.ask(float, from));
const needle = new Needle(bench, cloth, svg);
const tools = new Tools(bench);
const status = new Status(bench);
const balls = new Balls(bench);
const beside = new Beside(bench, () => resize());
const tries = new Tries(bench, beside);
const todo = new ToDo(bench, tries);
const opening = new Opening(table);
const keys = new Keys(bench, cloth, by("tools"), {
    tool: (name) => tools.take(name),
    glass: () => tools.glass(),
    pull: () => tools.pull(),
    yarn: (yarn) => balls.take(yarn),
    undo: () => tools.undo(),
    redo: () => tools.redo(),
});
const making = new Making(table);
const parts = [tape, marks, margin, needle, status, keys, todo, costMarks, new Seek(bench, (words) => todo.try_(words)), new Slack(table), new Habits(table), new RowText(bench), new Setting(bench), new Lesson(bench, beside, () => resize()), new StandIn(bench, tell)];

/** Room kept round the cloth: numbers on the left, pins on the right, the tape below. */
function resize() {
    const box = cloth.getBoundingClientRect();
    const small = box.width < 600;
    const told = document.body.classList.contains("in-class");
    const margins = { left: small ? 34 : 112, right: small ? 44 : 84, top: told ? 0.075 * innerHeight : small ? 14 : 26, bottom: small ? 56 : 74 };
    bench.stage.resize(box.width, box.height, margins);
    beside.resize(margins);
}
new ResizeObserver(resize).observe(by("stages"));

table.on("scene", (scene) => {
    by("title").textContent = scene.title;
    document.title = scene.title;
    by("subtitle").textContent = subtitle(scene);
});

/** @param {import("./messages").TellScene} scene */
function subtitle(scene) {
    const w = WORDS.setting;
    const gauge = scene.units === "inch" ? scene.gauge.map((one) => one * 1.016) : scene.gauge;
    const number = (/** @type {number} */ one) => String(Math.round(one * 100) / 100);
    return `${scene.item ? `${WORDS.items[/** @type {keyof typeof WORDS.items} */ (scene.item)] ?? scene.item}, ` : ""}${w[scene.worked]}; ${number(gauge[0])} ${w.stitches} \u00d7 ${number(gauge[1])} ${w.rows} ${scene.units === "inch" ? w.to_inch : w.to_cm}`;
}

/** Tell something at the foot of the page until it is put away or no longer so. @param {string} key @param {string} words */
function tell(key, words) {
    hush(key);
    const close = el("button", { type: "button", class: "close", "aria-label": WORDS.close, text: "\u00d7", onclick: () => hush(key) });
    by("told").append(el("p", { "data-key": key }, el("span", { text: words }), close));
}
/** @param {string} key */
function hush(key) {
    by("told").querySelector(`[data-key="${key}"]`)?.remove();
}

table.on("trouble", (trouble) => {
    if (!document.querySelector("dialog[open]")) tell("trouble", trouble.words);
});
table.on("scene", () => hush("trouble"));
table.on("line", (state) => {
    document.body.classList.toggle("lost", state !== "open");
    if (state === "open") hush("line");
    else tell("line", state === "lost" ? WORDS.lost : WORDS.refused);
});
table.on("note", (note) => {
    if (note.what === "kept") tell("note", WORDS.kept_in(note.text));
    if (note.what === "changed on disk") opening.askOver();
    if (note.what === "ending") tell("line", WORDS.ending);
    if (note.what === "tabs") {
        hush("tabs");
        if (note.count > 1) tell("tabs", WORDS.other_tabs);
    }
});
table.on("welcome", (welcome) => {
    if (welcome.tabs > 1) tell("tabs", WORDS.other_tabs);
    if (welcome.others.length) tell("others", WORDS.other_tables);
    if (bench.stage.pace.software) table.look(table.case, 8);
    else if (table.case !== null) table.look(table.case);
});

// for tests and for who is curious: nothing here is needed by the page
Object.assign(window, { fabricsim: { table, bench, beside, making, parts } });
resize();
table.wire.open();
