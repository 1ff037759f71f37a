// A slider that changes a scene: what it sends, and when it listens again.

/** Changes that follow so soon are one step of undo, ms: keys of a slider come one by one. */
const PAUSE = 1200;

export class Stroke {
    /** @param {import("../talk/table.js").Table} table */
    constructor(table) {
        this.table = table;
        this.number = 0;
        this.waiting = 0;
        /** @type {number | null} what was sent and not yet answered */
        this.sent = null;
        table.on("trouble", () => (this.sent = null));
        table.on("line", () => (this.sent = null));
    }

    /** @param {number} value @param {Record<string, any>} values keys that it sets */
    send(value, values) {
        this.number ||= this.table.newStroke();
        this.sent = value;
        this.table.set(values, this.number);
        window.clearTimeout(this.waiting);
        this.waiting = window.setTimeout(() => (this.number = 0), PAUSE);
    }

    /** Whether the scene says what was sent last: older answers would pull the slider from under the hand.
     * @param {number} value */
    answered(value) {
        if (this.sent !== null && Math.abs(value - this.sent) > 1e-9) return false;
        this.sent = null;
        return true;
    }
}
