// Elements made and filled.

const SVG = "http://www.w3.org/2000/svg";

/** The element with an id. @template {HTMLElement} [E=HTMLElement] @param {string} id @returns {E} */
export function by(id) {
    return /** @type {E} */ (document.getElementById(id));
}

/** Make an element. `on...` keys are listeners, `text` its words, all else attributes; null leaves one out.
 * @template {keyof HTMLElementTagNameMap} K
 * @param {K} tag @param {Record<string, any>} [traits] @param {...(Node | string)} inside
 * @returns {HTMLElementTagNameMap[K]} */
export function el(tag, traits = {}, ...inside) {
    const made = document.createElement(tag);
    for (const [name, value] of Object.entries(traits)) {
        if (value === null || value === undefined || value === false) continue;
        if (name === "text") made.textContent = value;
        else if (name.startsWith("on")) made.addEventListener(name.slice(2), value);
        else made.setAttribute(name, value === true ? "" : String(value));
    }
    made.append(...inside);
    return made;
}

/** Make a part of a drawing. @template {keyof SVGElementTagNameMap} K
 * @param {K} tag @param {Record<string, string | number>} [traits] @param {...(Node | string)} inside
 * @returns {SVGElementTagNameMap[K]} */
export function draw(tag, traits = {}, ...inside) {
    const made = document.createElementNS(SVG, tag);
    for (const [name, value] of Object.entries(traits)) made.setAttribute(name, String(value));
    made.append(...inside);
    return /** @type {any} */ (made);
}

/** Put in each marked element its words. @param {ParentNode} root @param {Record<string, unknown>} words */
export function worded(root, words) {
    for (const one of root.querySelectorAll("[data-say]")) one.textContent = String(words[one.getAttribute("data-say") ?? ""]);
    for (const one of root.querySelectorAll("[data-label]")) one.setAttribute("aria-label", String(words[one.getAttribute("data-label") ?? ""]));
}

/** A number as people write it. @param {number} value @param {number} [digits] */
export function round(value, digits = 1) {
    const said = value.toFixed(digits);
    return Number(said) === 0 ? (0).toFixed(digits) : said.replace("-", "\u2212");
}
