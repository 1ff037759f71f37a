// What is said of what may be looked for: what costs the width, changes, other places.
import { changed, count, share, small } from "./saying.js";

export const SEEKING = {
    seek_name: "Look further",
    seeking: {
        what: { costs: "What pulls?", changes: "The fewest changes", places: "Lay it otherwise" },
        what_title: {
            costs: "Which floats and rows cost the width, and which single squares would free it",
            changes: "Ways to keep the width and the floats as you want them, each tried",
            places: "Where rounds best begin, and how repeats may lie above one another",
        },
        may_lose: ["At most", "% narrower"],
        flat: "and lying flat",
        stop: "Stop",
        /** @param {"costs" | "changes" | "places"} what @param {number | null} far @param {string} words */
        working: (what, far, words) =>
            what === "changes"
                ? `The fewest changes are looked for and tried${far ? `: ${Math.round(100 * far)}\u00a0% of the ways` : ""}\u2026`
                : `${what === "costs" ? "Working out what pulls" : "Laying it otherwise"}\u2026 ${words}`.trim(),
        ended: { found: "That is all that was found.", stopped: "Stopped; this is what was found so far." },
        /** @param {string} words */
        failed: (words) => `That did not work: ${words}`,
        /** @param {number} percent */
        costs_head: (percent) => `With every float carried alike ${share(percent)} of the width is lost.`,
        colour: "Colour the cloth by it",
        cost_scale: "What a float costs, of all that is lost",
        costs_nothing: "nothing",
        squares: "Single squares that would free the most, each alone:",
        /** @param {{row: number, stitch: number, yarn: string}} of */
        square: (of) => `Row ${of.row}, stitch ${of.stitch} in ${of.yarn}`,
        /** @param {number} percent */
        frees: (percent) => `frees about ${percent.toFixed(2)} % of the width`,
        as_it_is: "as it is",
        rows: { loss: "narrower", pucker: "pucker", over: "too long" },
        try_it: "Try",
        /** @param {string} name */
        way: (name) => `way ${name} of those below`,
        /** @param {string} name */
        try_way: (name) => `Try way ${name}`,
        on_table: "tried",
        no_way: "none",
        does: "does all of it",
        before: "These were found for the cloth as it was before your last change.",
        one_piece: "Each is one usual piece, as a first look has it.",
        cloth_before: "Found for the cloth as it was before your last change.",
        /** What laying it so changes. @param {import("../messages").CameOf} now @param {import("../messages").CameOf | null} then_ @param {"cm" | "inch"} units */
        would: (now, then_, units) =>
            then_ === null
                ? ""
                : [
                      changed(now.loss_percent, then_.loss_percent, share, "of the width won back", "of the width more lost"),
                      changed(now.pucker_mm, then_.pucker_mm, (mm) => small(mm, units), "less pucker", "more pucker"),
                      now.over === then_.over ? "" : `${now.over} \u2192 ${count(then_.over, "float")} too long`,
                  ]
                      .filter(Boolean)
                      .join("; "),
    },
};
