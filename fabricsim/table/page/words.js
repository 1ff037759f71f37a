// Every word of the page: those of its parts lie in words/. To translate it, translate these files.
import { CLOTH } from "./words/cloth.js";
import { HANDS } from "./words/hands.js";
import { KEEPING } from "./words/keeping.js";
import { LESSON } from "./words/lesson.js";
import { MAKING } from "./words/making.js";
import { NOTE } from "./words/note.js";
import { SEEKING } from "./words/seeking.js";
import { SETTING } from "./words/setting.js";

export const WORDS = {
    skip: "To the cloth",
    open: "Open",
    keep: "Keep",
    kept: "Kept",
    set: "Set the table",
    make: "Make",
    lesson: "Show a class",
    doors: "Open, keep, make",
    cloth: "The cloth",
    cloth_use:
        "The cloth. Arrow keys move the needle from stitch to stitch, Space knits the stitch in the yarn in hand, 1 to 9 take up a yarn.",
    tools: "How to work on the cloth",
    pins: "Floats over your limits",
    note: "What it says and what to do",
    says: "What it says",
    todo: "What to do",
    hand: "Yarn and hands",
    yarns: "Yarn in hand",
    tries: "Tries, pegged on a line",
    close: "Close",
    cancel: "Leave it",
    other: "Other",
    ...CLOTH,
    ...NOTE,
    ...SEEKING,
    ...HANDS,
    ...SETTING,
    ...KEEPING,
    ...MAKING,
    ...LESSON,
};
