// Every word of the page. To translate it, translate this file.
import { round } from "./dom.js";

/** @param {number} many @param {string} one @param {string} [more] */
const count = (many, one, more = `${one}s`) => `${many} ${many === 1 ? one : more}`;
/** @param {number} mm @param {"cm" | "inch"} units @param {number} [digits] */
const length = (mm, units, digits = 1) => (units === "inch" ? `${round(mm / 25.4, digits)} in` : `${round(mm / 10, digits)} cm`);
/** A small length. @param {number} mm @param {"cm" | "inch"} units */
const small = (mm, units) => (units === "inch" ? `${round(mm / 25.4, 2)} in` : `${round(mm)} mm`);
/** @param {number} percent */
const share = (percent) => `${round(percent)} %`;

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

    // how one works on the cloth
    tool: {
        needle: "Needle",
        frame: "Frame",
        turn: "Turn",
        over: "Other side",
        glass: "Glass",
        squares: "Squares",
        pull: "Pull",
        ahead: "Straight on",
        undo: "Undo",
        redo: "Again",
    },
    tool_title: {
        needle: "Knit stitches in the yarn in hand (N)",
        frame: "Choose a part to copy, mirror, turn or shift (F)",
        turn: "Turn the cloth by dragging (T); Shift and dragging does it at any time",
        over: "Show the other side (B)",
        glass: "Hold a window onto the back over the face (L)",
        squares: "The same stitches as a chart of squares (C)",
        pull: "Colour the floats by how hard they pull (P)",
        ahead: "Look straight at all of it (Home)",
        undo: "Take the last step back (U)",
        redo: "Take the undo back (Shift and U)",
    },
    mirror: "Mirrored",
    symmetry: {
        none: "one at a time",
        across: "left and right",
        up: "up and down",
        both: "both ways",
        half: "turned by half",
    },
    shown: "Shown",
    shown_as: {
        as_worked: "as it is worked",
        repeat: "the repeat, over and over",
        swatch: "the piece, on the table",
        round: "the piece, as a tube",
    },
    motif: {
        copy: "Copy",
        paste: "Lay it here",
        across: "Left to right",
        up: "Top to bottom",
        turn: "Turn",
        left: "\u2190",
        right: "\u2192",
        upward: "\u2191",
        down: "\u2193",
        fill: "Fill",
        all: "All of it",
        drop: "Let go",
    },
    motif_title: {
        copy: "Remember this part",
        paste: "Lay what was copied with its lower left corner here",
        across: "Swap left and right",
        up: "Swap top and bottom",
        turn: "Turn by a quarter if it is square, else by half",
        left: "Shift it one stitch to the left, round its edge",
        right: "Shift it one stitch to the right, round its edge",
        upward: "Shift it one row up, round its edge",
        down: "Shift it one row down, round its edge",
        fill: "Knit all of it in the yarn in hand",
        all: "Choose the whole repeat",
        drop: "Choose nothing",
    },
    frame_name: "The part in the frame",

    /** @param {{row: number, stitch: number, yarn: string, behind: string[], over: boolean, piece: string | null, pull: string | null}} of */
    stitch: (of) =>
        [
            of.piece ?? `Row ${of.row}, stitch ${of.stitch}: ${of.yarn}`,
            of.behind.length ? `behind it ${of.behind.join(" and ")}` : "nothing passes behind it",
            ...(of.pull ? [of.pull] : []),
        ].join("; ") + ".",
    /** @param {number} row @param {string} yarn */
    stitch_plain: (row, yarn) => `Row ${row} of the piece, plain: ${yarn}`,
    /** @param {string} yarn @param {number} gap @param {boolean} over */
    stitch_behind: (yarn, gap, over) => `${yarn} passes ${count(gap, "stitch", "stitches")}${over ? ", over your limit" : ""}`,
    no_stitch: "No stitch is under the needle.",
    /** @param {string} yarn */
    taken_up: (yarn) => `${yarn} in hand.`,
    /** @param {number} rows @param {number} stitches */
    framed: (rows, stitches) => `${count(rows, "row")} by ${count(stitches, "stitch", "stitches")} in the frame.`,
    copied: "Copied.",

    // the margins
    /** @param {{row: number, yarn: string, gap: number, long: string}} of */
    pin: (of) => `Row ${of.row}: ${of.yarn} passes behind ${count(of.gap, "stitch", "stitches")}, ${of.long}`,
    /** @param {number} more */
    pins_more: (more) => `+${more}`,
    /** @param {number} more */
    pins_more_said: (more) => `${count(more, "more float")} over your limits: listed in the note`,
    /** @param {{gap: number | null, cm: number | null, units: "cm" | "inch"}} of */
    limit: (of) => {
        const parts = [];
        if (of.gap !== null) parts.push(count(of.gap, "stitch", "stitches"));
        if (of.cm !== null) parts.push(length(10 * of.cm, of.units));
        return parts.length ? `You let at most ${parts.join(" or ")} pass.` : "";
    },
    edge: "It runs over the edge of the repeat.",
    catch_here: "Catch it in the middle",
    between: "Knit one stitch in between",
    show_back: "Show it on the back",
    length,
    small,
    share,
    /** @param {number} pull @param {number} [digits] */
    cN_of: (pull, digits = 2) => `${round(pull, digits)} cN`,
    /** @param {string} now @param {string} plain */
    tape: (now, plain) => `${now} now, ${plain} plain`,
    plain: "plain",
    likely: "likely",
    round_tube: "all the way round",

    // what it says
    settling: "Settling\u2026 these numbers are of before.",
    looking: "Settling\u2026",
    /** @param {number | null} done share of the pieces of other hands that are at rest */
    reckoning: (done) => `At rest. How far other hands' pieces may differ is being worked out\u2026${done === null ? "" : ` ${Math.round(100 * done)}\u00a0%`}`,
    at_rest: "At rest.",
    advising: "Looking for what would help\u2026",
    no_rest: "It finds no rest like this; the numbers are of before.",
    /** @param {string} plain @param {string} now */
    width_head: (plain, now) => `${plain} \u2192 ${now}`,
    /** @param {number} percent */
    narrower: (percent) => (Math.abs(percent) < 0.05 ? "as wide as plain" : percent > 0 ? `${round(percent)} % narrower than plain` : `${round(-percent)} % wider than plain`),
    /** @param {string} low @param {string} high */
    likely_width: (low, high) => `likely ${low} to ${high}`,
    likely_later: "a first look, at one usual piece; the middle of many hands' pieces and the likely range are still to come",
    /** @param {string} long @param {string} word */
    pucker: (long, word) => `${word.charAt(0).toUpperCase()}${word.slice(1)}: ${long} from peak to valley`,
    /** @param {string} low @param {string} high */
    pucker_likely: (low, high) => `likely ${low} to ${high}`,
    /** @param {number} over @param {number} all */
    over: (over, all) => (all === 0 ? "No yarn is carried behind the cloth yet" : over === 0 ? `No float of ${all} is over your limits` : `${over} of ${count(all, "float")} ${over === 1 ? "is" : "are"} over your limits`),
    /** @param {number} gap @param {string} long */
    longest: (gap, long) => `the longest passes ${count(gap, "stitch", "stitches")}, ${long}`,
    /** @param {number} taut @param {number} all */
    taut: (taut, all) => (all === 0 ? "No floats" : taut === 0 ? `No float of ${all} is taut` : `${taut} of ${count(all, "float")} ${taut === 1 ? "is" : "are"} taut`),
    /** @param {number} cN */
    hardest: (cN) => `the hardest pulls with ${round(cN, 2)} cN`,
    cN: "1 cN is about the weight of a gram",
    /** @param {number} row @param {number} percent */
    narrowest: (row, percent) => `narrowest in row ${row}, by ${round(percent)} %`,
    all_words: "All that the forecast says",
    show: "Show it",
    pull_scale: "How hard a float pulls",
    slack_float: "slack",
    face: "The face",
    back: "The back",

    // what to do
    /** @param {{what: string, count: number, slack: number | null}} of */
    suggestion: (of) => {
        if (of.what === "catch") return `Catch ${of.count === 1 ? "it in one place" : `them in ${of.count} places`}`;
        if (of.what === "stitch") return `Change ${count(of.count, "stitch", "stitches")} of the chart`;
        if (of.what === "loosen") return `Carry the floats looser: ${slackSaid(of.slack ?? 0)}`;
        return `Add ${count(of.count, "repeat")} across`;
    },
    /** What a suggestion does to what was asked about. @param {import("./messages").Suggestion} of @param {"cm" | "inch"} units */
    would: (of, units) =>
        [
            of.over_before === of.over_after ? "" : `${of.over_before} \u2192 ${of.over_after} over the limits`,
            then(of.loss_percent_before, of.loss_percent_after, (percent) => `${round(percent)}`, " % narrower"),
            then(of.pucker_mm_before, of.pucker_mm_after, (mm) => small(mm, units), " of pucker"),
        ]
            .filter(Boolean)
            .join("; "),
    take_back: "Take it back",
    nothing_to_do: "Nothing to mend.",
    /** @param {string} change */
    you_tried: (change) => `Tried: ${change}`,
    before: "before",
    now: "now",
    beside: "Before beside now",
    /** @param {string} change @param {number} loss */
    laid_beside: (change, loss) => `${change || "cast on"}: ${share(loss)} narrower`,
    width: "width lost",
    pucker_short: "pucker",
    over_short: "over the limits",

    // tries
    /** @param {{loss: number, pucker: string, over: number, change: string, now: boolean}} of */
    tried: (of) => `${of.change || "cast on"}: ${share(of.loss)} narrower, ${of.pucker} of pucker, ${of.over} over the limits${of.now ? "; on the table" : ""}`,
    tried_short: share,
    try_beside: "Lay it beside",
    try_away: "Put it away",

    // hands
    floats_hang: "How the floats hang",
    slack: "From too short to loose",
    slackSaid,
    /** @param {number} slack @param {number} gap @param {string} mm */
    missing: (slack, gap, mm) =>
        slack < 0 ? `behind ${gap} stitches ${mm} of yarn are missing` : slack > 0 ? `behind ${gap} stitches there are ${mm} to spare` : `behind ${gap} stitches it is just as long as its way`,
    unevenness: "How uneven",
    /** @param {number} part */
    uneven_said: (part) => (part === 0 ? "all alike" : `\u00b1${round(100 * part, 0)} %`),
    catches: "Catches",
    catches_are: { none: "none", planned: "planned", listed: "as placed by hand", "listed and planned": "placed, and planned" },
    inside_out: "Knitted inside out",
    /** @param {number} row @param {boolean} fromLeft */
    row_from: (row, fromLeft) => `Row ${row}, from the ${fromLeft ? "left" : "right"}; type to knit it otherwise`,
    /** @param {import("./hands/row_words.js").RowFault} fault @param {string[]} names */
    row_fault: (fault, names) =>
        fault.kind === "name"
            ? `No yarn is called \u2018${fault.name}\u2019: ${names.join(", ")}.`
            : fault.kind === "part"
              ? `\u2018${fault.part}\u2019 is not a number and a yarn, as in \u20183 ${names[0]}\u2019.`
              : `That makes ${count(fault.given, "stitch", "stitches")}; the row has ${fault.wanted}.`,

    // setting the table
    setting: {
        piece: "The piece",
        sizes: "Sizes",
        title: "Its name",
        worked: "Worked",
        round: "in the round",
        flat: "flat, back and forth",
        units: "Measured in",
        cm: "centimetres",
        inch: "inches",
        gauge: "Gauge of plain stockinette",
        stitches: "stitches",
        rows: "rows",
        to_cm: "to 10 cm",
        to_inch: "to 4 inches",
        needle: "Needles, mm",
        yarns: "Yarns; the first is the main colour",
        yarn_name: "Name",
        yarn_colour: "Colour",
        yarn_metres: "Metres to 100 g",
        yarn_add: "One more yarn",
        yarn_away: "Take away",
        item: "What it is",
        item_none: "not said",
        bodies: "For whom",
        bodies_help: "names or measures with commas: woman, 56.5; empty: all",
        rib: "Rib",
        ease: "Ease, per cent",
        chart: "The chart",
        chart_rows: "rows",
        chart_stitches: "stitches",
        chart_apply: "Make it so large",
        across: "Repeats across",
        up: "Repeats up",
        below: "Plain rows below",
        above: "Plain rows above",
        limits: "Longest float",
        gap: "stitches passed behind",
        gap_cm: "cm",
        usual: "as usual",
        from_file: "A picture or a text as the chart",
        from_help: "One pixel a stitch, or one letter. You may also drop the file on the cloth.",
        done: "Done",
    },
    items: {
        swatch: "a swatch", hat: "a hat", mittens: "mittens", socks: "socks", cuffs: "cuffs", sleeves: "sleeves", body: "a body", yoke: "a yoke",
        cowl: "a cowl", "child mittens": "a child's mittens", "baby hat": "a baby's hat", "baby mittens": "a baby's mittens",
        "baby socks": "a baby's socks", "baby body": "a baby's body",
    },
    new_yarn: "new yarn",

    // opening and keeping
    opening: {
        name: "Open a piece",
        file: "A scene from this computer (with its chart, if that is a file of its own)",
        plain: "Begin with plain cloth",
        left: "Left on the table before",
        /** @param {string} title @param {number} changes @param {string} when */
        offer: (title, changes, when) => `${title}: ${count(changes, "change")}, ${when}`,
        go_on: "Go on with it",
        later: "Not now",
        drop: "Let them go",
        drop_sure: "Let them go for good",
    },
    keeping: {
        name: "Keep this piece",
        /** @param {string} file */
        in_file: (file) => `In the file ${file}, which the commands use too`,
        over: "The file was changed by something else meanwhile. Write over it?",
        write: "Write it",
        over_write: "Write over it",
        download: "Download the scene",
        auto: "Every change is kept on this machine as you make it; nothing is lost if the page or the server ends.",
    },
    /** @param {string} file */
    kept_in: (file) => `Kept in ${file}.`,

    // making
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
        { key: "difficulty", command: "difficulty", options: {}, name: "Difficulty", what: "and why" },
        { key: "floats", command: "floats", options: {}, name: "Floats", what: "those over your limits, and all" },
    ]),

    // a class
    class: {
        name: "Why does a tight float pull?",
        face: "Face",
        back: "Back",
        section: "One row, edge on",
        slack: "Too short \u2014 loose",
        next: "Next",
        previous: "Back",
        leave: "Leave",
        /** @param {number} now @param {number} all */
        step: (now, all) => `${now} of ${all}`,
        steps: [
            { slack: 0.1, side: "back", text: "Behind every stitch of one colour the other yarn passes by: a float. Here each is longer than its way, and hangs." },
            { slack: 0, side: "back", text: "Now each float is just as long as the stitches it passes. It lies straight and pulls at nothing." },
            { slack: -0.06, side: "back", text: "Each is a little too short. Yarn does not stretch: the stitches at its ends must come closer." },
            { slack: -0.06, side: "face", text: "On the face nothing seems wrong but one thing: the pattern is narrower than the plain cloth." },
            { slack: -0.12, side: "face", text: "Shorter still. What can no longer get narrower stands up: it puckers." },
            { slack: 0.05, side: "face", text: "Spread the stitches on the needle before each change of yarn. The floats let go, and the cloth lies flat." },
        ],
        /** @param {string} slack @param {number | null} loss @param {string} pucker */
        told: (slack, loss, pucker) => (loss === null ? slack : `${slack}: ${share(loss)} narrower, ${pucker} of pucker`),
    },

    // troubles
    lost: "The table's server does not answer; trying again. What you did is kept.",
    refused: "This page has not the right address: start the table again, or open the address that the command printed.",
    other_tabs: "This table is open in another tab too; both show the same piece.",
    other_tables: "This file is open at another table too: keep it in one of them only.",
    ending: "The server has been told to end.",
    no_webgl: "This browser draws no 3-D; pictures of the cloth are made by the server.",
    picture_alt: "The cloth, drawn by the server",
};

/** @param {number | null} before @param {number | null} after @param {(value: number) => string} said @param {string} what */
function then(before, after, said, what) {
    return before === null || after === null || said(before) === said(after) ? "" : `${said(before)} \u2192 ${said(after)}${what}`;
}

/** @param {number} slack @returns {string} */
function slackSaid(slack) {
    const percent = round(100 * Math.abs(slack), 1);
    if (Math.abs(slack) < 0.0005) return "just long enough";
    return slack < 0 ? `${percent} % too short` : `${percent} % longer than their way`;
}
