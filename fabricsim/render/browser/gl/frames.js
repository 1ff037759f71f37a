// Arrays that come as bytes: a head in JSON, then arrays.

/** Where an array lies. @typedef {{name: string, dtype: keyof typeof KINDS, shape: number[], offset: number}} Part */
/** @typedef {Float32Array | Int32Array | Int16Array | Int8Array | Uint8Array} Numbers */

const KINDS = { f4: Float32Array, i4: Int32Array, i2: Int16Array, i1: Int8Array, u1: Uint8Array };

/** @template {{arrays: Part[]}} H @param {ArrayBuffer} data @returns {{head: H, arrays: Record<string, Numbers>}} */
export function unframed(data) {
    const size = new DataView(data).getUint32(0, true);
    const head = /** @type {H} */ (JSON.parse(new TextDecoder().decode(new Uint8Array(data, 4, size))));
    /** @type {Record<string, Numbers>} */
    const arrays = {};
    for (const one of head.arrays) {
        const count = one.shape.reduce((product, side) => product * side, 1);
        arrays[one.name] = /** @type {Numbers} */ (new /** @type {any} */ (KINDS[one.dtype])(data, 4 + size + one.offset, count));
    }
    return { head, arrays };
}
