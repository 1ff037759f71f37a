// A panel over the table: a dialog with a heading and a way out; the page beneath waits.
import { el } from "../dom.js";
import { WORDS } from "../words.js";

/** @param {string} name @param {string} [kind] */
export function panel(name, kind = "") {
    const id = `panel_${Math.random().toString(36).slice(2, 8)}`;
    const body = el("div", { class: "body" });
    const close = el("button", { type: "button", class: "close", "aria-label": WORDS.close, text: "\u00d7" });
    const dialog = el("dialog", { class: `panel ${kind}`, "aria-labelledby": id }, el("header", {}, el("h2", { id, text: name }), close), body);
    close.addEventListener("click", () => dialog.close());
    // a press beside the panel closes it
    dialog.addEventListener("pointerdown", (event) => {
        if (event.target === dialog) dialog.close();
    });
    document.body.append(dialog);
    return { dialog, body };
}
