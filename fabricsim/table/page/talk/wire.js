// The line to the server: opened with the secret of the address, and opened again when it breaks.
import { unframed } from "../gl/frames.js";

/** @typedef {import("../messages").AnyAsked} AnyAsked */
/** @typedef {import("../messages").AnyTold} AnyTold */
/** @typedef {import("../messages").AnyHead} AnyHead */
/** @typedef {import("../gl/frames.js").Numbers} Numbers */
/** @typedef {NonNullable<import("../messages").AskLook["case"]>} Case */

/** Wait before trying again, ms: longer each time, as the server may take a while. */
const FIRST_WAIT = 300;
const LONGEST_WAIT = 4000;
/** The server does not know the secret, and will not learn it. */
const REFUSED = 4401;

export class Wire {
    /** @param {{told: (message: AnyTold) => void, framed: (head: AnyHead, arrays: Record<string, Numbers>) => void,
     *   state: (state: "open" | "lost" | "refused") => void}} to */
    constructor(to) {
        this.to = to;
        this.secret = secretOf(location);
        this.wait = FIRST_WAIT;
        /** @type {WebSocket | null} */
        this.socket = null;
        this.welcomed = false;
        /** @type {AnyAsked[]} */
        this.later = [];
        this.tab = Math.random().toString(36).slice(2, 10);
    }

    open() {
        const socket = new WebSocket(`${location.protocol === "https:" ? "wss" : "ws"}://${location.host}/ws`);
        socket.binaryType = "arraybuffer";
        this.socket = socket;
        socket.onopen = () => socket.send(JSON.stringify({ kind: "hello", secret: this.secret, tab: this.tab }));
        socket.onmessage = (event) => this.take(event.data);
        socket.onclose = (event) => this.closed(event.code);
    }

    /** @param {string | ArrayBuffer} data */
    take(data) {
        if (typeof data !== "string") {
            const { head, arrays } = /** @type {{head: AnyHead, arrays: Record<string, Numbers>}} */ (unframed(data));
            this.to.framed(head, arrays);
            return;
        }
        const message = /** @type {AnyTold} */ (JSON.parse(data));
        if (message.kind === "welcome") {
            this.welcomed = true;
            this.wait = FIRST_WAIT;
            this.to.state("open");
        }
        this.to.told(message);
        if (message.kind === "welcome") for (const one of this.later.splice(0)) this.ask(one);
    }

    /** @param {number} code */
    closed(code) {
        this.welcomed = false;
        this.socket = null;
        this.to.state(code === REFUSED ? "refused" : "lost");
        if (code === REFUSED) return;
        setTimeout(() => this.open(), this.wait);
        this.wait = Math.min(LONGEST_WAIT, this.wait * 1.6);
    }

    /** @param {AnyAsked} message @param {boolean} [keep] whether to say it later if nobody hears it now */
    ask(message, keep = false) {
        if (this.welcomed && this.socket?.readyState === WebSocket.OPEN) this.socket.send(JSON.stringify(message));
        else if (keep) this.later.push(message);
        return this.welcomed;
    }
}

/** The secret stands in the address where no server and no other page sees it; it is kept for this tab alone.
 * @param {Location} address */
function secretOf(address) {
    const given = address.hash.replace(/^#/, "");
    if (given && !given.startsWith("cloth")) {
        sessionStorage.setItem("secret", given);
        return given;
    }
    return sessionStorage.getItem("secret") ?? "";
}
