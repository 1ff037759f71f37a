// What is said before a class.
import { share } from "./saying.js";

export const LESSON = {
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
            { slack: 0, side: "back", text: "Now each float is just as long as the stitches it passes, and lies straight. The change of yarn takes up a little of it, so it pulls already." },
            { slack: -0.06, side: "back", text: "Each is a little too short. Yarn does not stretch: the stitches at its ends must come closer." },
            { slack: -0.06, side: "face", text: "On the face nothing seems wrong but one thing: the pattern is narrower than the plain cloth." },
            { slack: -0.12, side: "face", text: "Shorter still. What can no longer get narrower stands up: it puckers." },
            { slack: 0.05, side: "face", text: "Spread the stitches on the needle before each change of yarn. The floats let go, and the cloth lies flat." },
        ],
        /** @param {string} slack @param {number | null} loss @param {string} pucker */
        told: (slack, loss, pucker) => (loss === null ? slack : `${slack}: ${share(loss)} narrower, ${pucker} of pucker`),
    },
};
