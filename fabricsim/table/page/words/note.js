// What is said in the note: of the cloth, of what to do, of tries.
import { round } from "../dom.js";
import { changed, count, share, slackSaid, small } from "./saying.js";

export const NOTE = {
    // what it says
    settling: "Settling\u2026 these numbers are of before.",
    looking: "Settling\u2026",
    /** @param {number | null} done share of the pieces of other hands that are at rest */
    reckoning: (done) => `At rest. How far other hands' pieces may differ is being worked out\u2026${done === null ? "" : ` ${Math.round(100 * done)}\u00a0%`}`,
    at_rest: "At rest.",
    /** @param {number | null} done */
    loosening: (done) => `Working out how loose floats would do\u2026${done === null ? "" : ` ${Math.round(100 * done)}\u00a0%`}`,
    leave_it: "Stop",
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
    /** What a suggestion does to what was asked about. @param {import("../messages").Suggestion} of @param {"cm" | "inch"} units */
    would: (of, units) =>
        [
            of.over_before === of.over_after ? "" : `${of.over_before} \u2192 ${of.over_after} over the limits`,
            // by how much alone: what it comes to in all is the forecast's to say, once it is tried
            changed(of.loss_percent_before, of.loss_percent_after, share, "of the width won back", "of the width more lost"),
            changed(of.pucker_mm_before, of.pucker_mm_after, (mm) => small(mm, units), "less pucker", "more pucker"),
        ]
            .filter(Boolean)
            .join("; "),
    take_back: "Take it back",
    to_do_soon: "What would help is looked for once your hand is still.",
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
};
