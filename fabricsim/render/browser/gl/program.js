// WebGL programs and textures of numbers.

/** Numbers a row of a texture: 2,048 is what every WebGL2 has. */
export const ACROSS = 2048;

/** @param {WebGL2RenderingContext} gl @param {string} vertex @param {string} fragment @returns {WebGLProgram} */
export function program(gl, vertex, fragment) {
    const made = gl.createProgram();
    for (const [kind, source] of /** @type {[number, string][]} */ ([
        [gl.VERTEX_SHADER, vertex],
        [gl.FRAGMENT_SHADER, fragment],
    ])) {
        const shader = gl.createShader(kind);
        if (!shader) throw new Error("no shader");
        gl.shaderSource(shader, `#version 300 es\n${source}`);
        gl.compileShader(shader);
        if (!gl.getShaderParameter(shader, gl.COMPILE_STATUS) && !gl.isContextLost()) {
            throw new Error(gl.getShaderInfoLog(shader) ?? "shader");
        }
        gl.attachShader(made, shader);
    }
    gl.linkProgram(made);
    if (!gl.getProgramParameter(made, gl.LINK_STATUS) && !gl.isContextLost()) {
        throw new Error(gl.getProgramInfoLog(made) ?? "program");
    }
    return made;
}

/** The places of a program's uniforms by name.
 * @param {WebGL2RenderingContext} gl @param {WebGLProgram} made @param {string[]} names
 * @returns {Record<string, WebGLUniformLocation | null>} */
export function places(gl, made, names) {
    return Object.fromEntries(names.map((name) => [name, gl.getUniformLocation(made, name)]));
}

/** A texture of four floats a place, read by number.
 * @param {WebGL2RenderingContext} gl @returns {WebGLTexture} */
export function numbers(gl) {
    const texture = gl.createTexture();
    gl.bindTexture(gl.TEXTURE_2D, texture);
    for (const side of [gl.TEXTURE_MIN_FILTER, gl.TEXTURE_MAG_FILTER]) gl.texParameteri(gl.TEXTURE_2D, side, gl.NEAREST);
    for (const side of [gl.TEXTURE_WRAP_S, gl.TEXTURE_WRAP_T]) gl.texParameteri(gl.TEXTURE_2D, side, gl.CLAMP_TO_EDGE);
    return texture;
}

/** Room for `count` places of four, in whole rows of a texture. @param {number} count */
export function room(count) {
    return 4 * ACROSS * Math.max(1, Math.ceil(count / ACROSS));
}

/** @param {WebGL2RenderingContext} gl @param {WebGLTexture} texture @param {Float32Array} values of `room` size */
export function fillFloats(gl, texture, values) {
    gl.bindTexture(gl.TEXTURE_2D, texture);
    gl.texImage2D(gl.TEXTURE_2D, 0, gl.RGBA32F, ACROSS, values.length / (4 * ACROSS), 0, gl.RGBA, gl.FLOAT, values);
}

/** @param {WebGL2RenderingContext} gl @param {WebGLTexture} texture @param {Uint8Array} values of `room` size */
export function fillBytes(gl, texture, values) {
    gl.bindTexture(gl.TEXTURE_2D, texture);
    gl.texImage2D(gl.TEXTURE_2D, 0, gl.RGBA8, ACROSS, values.length / (4 * ACROSS), 0, gl.RGBA, gl.UNSIGNED_BYTE, values);
}
