// A row in words and back: "3 teasel, 1 oat". Read as it is knitted, from the right unless told otherwise.

/** @param {number[]} yarns from the left @param {string[]} names @param {boolean} fromLeft */
export function rowSaid(yarns, names, fromLeft) {
    const way = fromLeft ? yarns : [...yarns].reverse();
    const parts = [];
    for (let k = 0; k < way.length; ) {
        let end = k;
        while (end < way.length && way[end] === way[k]) end += 1;
        parts.push(`${end - k} ${names[way[k]]}`);
        k = end;
    }
    return parts.join(", ");
}

/** What may be wrong with a row in words.
 * @typedef {{kind: "part", part: string} | {kind: "name", name: string} | {kind: "count", given: number, wanted: number}} RowFault */

/** @param {string} text @param {string[]} names @param {number} width @param {boolean} fromLeft
 * @returns {{yarns: number[]} | {fault: RowFault}} yarns from the left */
export function rowRead(text, names, width, fromLeft) {
    /** @type {number[]} */
    const way = [];
    const parts = text.split(/[,;]/).map((part) => part.trim());
    for (const part of parts) {
        if (!part) continue;
        const found = /^(?:(\d{1,4})\s*[x\u00d7]?\s+)?(.+?)(?:\s*[x\u00d7]\s*(\d{1,4}))?$/i.exec(part);
        if (!found) return { fault: { kind: "part", part } };
        const yarn = named(found[2], names);
        if (yarn < 0) return { fault: { kind: "name", name: found[2] } };
        const many = Number(found[1] ?? found[3] ?? 1);
        if (many < 1 || way.length + many > 100_000) return { fault: { kind: "part", part } };
        for (let k = 0; k < many; k++) way.push(yarn);
    }
    if (way.length !== width) return { fault: { kind: "count", given: way.length, wanted: width } };
    return { yarns: fromLeft ? way : way.reverse() };
}

/** The yarn that a name means: the whole name, or the only one that begins so. @param {string} said @param {string[]} names */
function named(said, names) {
    const wanted = said.trim().toLocaleLowerCase();
    const low = names.map((name) => name.toLocaleLowerCase());
    const whole = low.indexOf(wanted);
    if (whole >= 0) return whole;
    const near = low.flatMap((name, k) => (name.startsWith(wanted) ? [k] : []));
    return near.length === 1 ? near[0] : -1;
}
