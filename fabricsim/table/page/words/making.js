// What is said of all that the commands make.
import { count } from "./saying.js";

export const MAKING = {
    making: {
        name: "Make something of it",
        intro: "By the same code as the commands, from the piece as it lies.",
        go: "Make",
        stop: "Stop",
        stopped: "Stopped.",
        download: "Download",
        open: "Open by itself",
        print: "Print",
        size: "For one size only, if you like",
        size_help: "as under Sizes",
        working: "Working\u2026",
        failed: "That did not work:",
        /** @param {number} many */
        files: (many) => count(many, "file"),
        of_before: "The piece has changed since this was made.",
    },
    /** What can be made: by which command and with what, its name, and what it is. */
    jobs: /** @type {{key: string, command: string, options: Record<string, any>, name: string, what: string}[]} */ ([
        { key: "rounds", command: "rounds", options: {}, name: "Pattern in words", what: "from cast-on to the last stitch" },
        { key: "large", command: "rounds", options: { "large-print": true }, name: "Pattern in large print", what: "letters of 24 points" },
        { key: "chart", command: "chart", options: {}, name: "Chart to print", what: "A4, symbols and colours" },
        { key: "catches", command: "catches", options: { map: true }, name: "Catches", what: "where to catch long floats" },
        { key: "sizes", command: "sizes", options: {}, name: "Sizes", what: "counts and cm of every size" },
        { key: "yarn", command: "yarn", options: {}, name: "Yarn", what: "metres, grams, balls" },
        { key: "colours", command: "colours", options: { picture: true }, name: "Colours", what: "whether they can be told apart" },
        { key: "report", command: "report", options: {}, name: "Report", what: "all of it on one page to work from" },
        { key: "sheet", command: "sheet", options: {}, name: "Handout", what: "tight, right and loose on A4" },
        { key: "lesson", command: "lesson", options: {}, name: "Lesson", what: "pages for a class" },
        { key: "face", command: "draw", options: { view: "face" }, name: "Picture of the face", what: "in full quality" },
        { key: "back", command: "draw", options: { view: "back" }, name: "Picture of the back", what: "in full quality" },
        { key: "motion", command: "motion", options: {}, name: "Moving picture", what: "as floats get tighter" },
        { key: "model", command: "model", options: {}, name: "3-D file", what: "for other programs" },
        { key: "preview", command: "preview", options: {}, name: "Forecast", what: "numbers and pictures" },
        { key: "slack", command: "slack", options: {}, name: "Slack", what: "what keeps the width" },
        { key: "stretch", command: "stretch", options: { plots: true }, name: "Stretch", what: "how far it gives" },
        { key: "agree", command: "agree", options: { picture: true, plots: true }, name: "Bands that agree", what: "the steps between bands, and what evens them out" },
        { key: "motifs", command: "motifs", options: { symmetric: true, most: 100, page: true, pictures: true }, name: "Small motifs", what: "100 in these yarns, the widest first; minutes" },
        { key: "difficulty", command: "difficulty", options: {}, name: "Difficulty", what: "and why" },
        { key: "floats", command: "floats", options: {}, name: "Floats", what: "those over your limits, and all" },
    ]),
};
