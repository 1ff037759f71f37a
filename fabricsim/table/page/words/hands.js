// What is said of yarn and of how it is carried.
import { round } from "../dom.js";
import { count, slackSaid } from "./saying.js";

export const HANDS = {
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
    /** @param {import("../hands/row_words.js").RowFault} fault @param {string[]} names */
    row_fault: (fault, names) =>
        fault.kind === "name"
            ? `No yarn is called \u2018${fault.name}\u2019: ${names.join(", ")}.`
            : fault.kind === "part"
              ? `\u2018${fault.part}\u2019 is not a number and a yarn, as in \u20183 ${names[0]}\u2019.`
              : `That makes ${count(fault.given, "stitch", "stitches")}; the row has ${fault.wanted}.`,
};
