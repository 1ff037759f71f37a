// What is said of opening and keeping, and of troubles on the way.
import { count } from "./saying.js";

export const KEEPING = {
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

    // troubles
    lost: "The table's server does not answer; trying again. What you did is kept.",
    refused: "This page has not the right address: start the table again, or open the address that the command printed.",
    other_tabs: "This table is open in another tab too; both show the same piece.",
    other_tables: "This file is open at another table too: keep it in one of them only.",
    ending: "The server has been told to end.",
    no_webgl: "This browser draws no 3-D; pictures of the cloth are made by the server.",
    picture_alt: "The cloth, drawn by the server",
};
