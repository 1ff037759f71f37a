// Files of the user: read here, sent whole, judged by the server.

/** Largest file that is sent, bytes: more than any chart or scene has. */
const LARGEST = 8_000_000;

/** @param {File} file @returns {Promise<import("../messages").FileGiven>} */
export async function fileGiven(file) {
    const bytes = new Uint8Array(await file.slice(0, LARGEST).arrayBuffer());
    let text = "";
    for (let k = 0; k < bytes.length; k += 0x8000) text += String.fromCharCode(...bytes.subarray(k, k + 0x8000));
    return { name: file.name.slice(0, 200), data: btoa(text) };
}
