// What is said of working on the cloth, and at its margins.
import { round } from "../dom.js";
import { count, length, share, small } from "./saying.js";

export const CLOTH = {
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
};
