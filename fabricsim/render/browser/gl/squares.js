// The plain chart of squares: a flat layer over the cloth, and the shadow that the cloth throws on the table.
import { numbers, places, program, fillFloats, room, ACROSS } from "./program.js";
import { MOST_YARNS } from "./yarn_shader.js";

/** @typedef {import("./camera.js").Camera} Camera */

/** Corners of each square: the same two triangles again and again. Drawn as one, not as instances, which cost a machine
 * without a graphics processor far more than what they draw. */
const ROUND = [0, 1, 2, 2, 1, 3];

const HEAD = `precision highp float; precision highp int; precision highp sampler2D;
uniform sampler2D stitches, looks;
uniform mat4 clip, model;
vec4 at(sampler2D from, int k) { return texelFetch(from, ivec2(k % ${ACROSS}, k / ${ACROSS}), 0); }
const vec2 CORNERS[4] = vec2[4](vec2(-1, -1), vec2(1, -1), vec2(-1, 1), vec2(1, 1));
`;

const SQUARE_VERTEX = `${HEAD}
uniform vec2 cell; // width and height of a square, mm
uniform float flat_, solid, half_;
out vec2 in_;
flat out int yarn;
flat out float lit, shade;
void main() {
    vec4 a = at(stitches, 3 * (gl_VertexID / 4)), b = at(stitches, 3 * (gl_VertexID / 4) + 1);
    in_ = CORNERS[gl_VertexID % 4];
    vec4 look = at(looks, (gl_VertexID / 4));
    int mine = int(look.x * 255.0 + 0.5);
    yarn = mine < ${MOST_YARNS} ? mine : int(b.w);
    lit = look.y;
    // on the cloth a square lies in its surface, a little larger than a stitch so that none gapes
    vec3 face = normalize(at(stitches, 3 * (gl_VertexID / 4) + 2).xyz);
    vec3 across = solid > 0.0 ? normalize(cross(vec3(0, 1, 0), face) + vec3(1e-6, 0, 0)) : vec3(1, 0, 0);
    vec3 up = solid > 0.0 ? cross(face, across) : vec3(0, 1, 0);
    vec2 size = cell * 0.5 * a.w * (1.0 + 0.12 * solid);
    vec3 where = mix(a.xyz, b.xyz, flat_) + in_.x * size.x * across + in_.y * size.y * up;
    shade = 0.62 + 0.5 * abs(dot(mat3(model) * face, normalize(vec3(-0.42, 0.55, 0.72))));
    gl_Position = clip * vec4(where, 1.0);
    // of a tube that is looked into the nearer half is left out
    if (dot(vec2(model[0].z, model[2].z), face.xz) * half_ < 0.0) gl_Position = vec4(2, 2, 2, 1);
}`;

const SQUARE_FRAGMENT = `precision highp float;
in vec2 in_;
flat in int yarn;
flat in float lit, shade;
uniform vec3 dye[${MOST_YARNS}];
uniform vec3 glowing;
uniform float fade, solid;
out vec4 seen;
// a sign of its own for each yarn, so that nobody needs the colours: none, dot, ring, cross, bar, stroke, square, two dots
float sign_(vec2 p, int which) {
    float r = length(p), w = fwidth(p.x) * 1.2, d = 9.0;
    if (which == 1) d = r - 0.34;
    else if (which == 2) d = abs(r - 0.42) - 0.10;
    else if (which == 3) d = min(abs(p.x - p.y), abs(p.x + p.y)) * 0.7071 - 0.09 + max(r - 0.55, 0.0) * 9.0;
    else if (which == 4) d = max(abs(p.y) - 0.12, abs(p.x) - 0.5);
    else if (which == 5) d = abs(p.x - p.y) * 0.7071 - 0.10 + max(r - 0.6, 0.0) * 9.0;
    else if (which == 6) d = max(abs(p.x), abs(p.y)) - 0.32;
    else if (which > 6) d = min(length(p - vec2(0.28, 0)), length(p + vec2(0.28, 0))) - 0.2;
    return smoothstep(w, -w, d);
}
void main() {
    vec3 colour = pow(dye[yarn], vec3(1.0 / 2.2));
    float light = dot(colour, vec3(0.3, 0.59, 0.11));
    vec3 ink = light > 0.5 ? vec3(0.12, 0.10, 0.09) : vec3(0.97, 0.95, 0.91);
    vec2 edge = abs(in_), w = fwidth(in_);
    float line = max(smoothstep(1.0 - 1.6 * w.x, 1.0 - 0.6 * w.x, edge.x), smoothstep(1.0 - 1.6 * w.y, 1.0 - 0.6 * w.y, edge.y));
    if (solid > 0.0) {
        // the two legs of a stitch, told by light alone: they lean outwards, and one row lies in the other
        float beside = min(edge.x, 1.0 - edge.x), along = fract(0.5 * in_.y - 0.45 * edge.x);
        float dim = mix(0.78, 1.0, smoothstep(0.0, 0.35, beside)) * mix(0.74, 1.0, smoothstep(0.0, 0.3, min(along, 1.0 - along)));
        seen = vec4(mix(colour, glowing, 0.45 * lit) * shade * dim, 1.0);
        return;
    }
    vec3 out_ = mix(colour, ink, 0.75 * sign_(in_, yarn));
    out_ = mix(out_, glowing, 0.45 * lit);
    out_ = mix(out_, vec3(0.35, 0.32, 0.28), 0.55 * line);
    seen = vec4(out_, fade);
}`;

const SHADOW_VERTEX = `${HEAD}
uniform float size, down;
out vec2 in_;
out float much;
void main() {
    vec4 a = at(stitches, 3 * (gl_VertexID / 4));
    in_ = CORNERS[gl_VertexID % 4];
    vec4 there = model * vec4(a.xyz, 1.0);
    float high = there.z - down;
    much = a.w;
    // what lies higher throws a wider, fainter shadow, a little to the right and down, away from the light
    vec4 place = vec4(there.xy + vec2(0.35, -0.45) * high + in_ * (size + 0.5 * high), down, 1.0);
    much *= size * size / ((size + 0.5 * high) * (size + 0.5 * high));
    gl_Position = clip * place;
}`;

const SHADOW_FRAGMENT = `precision highp float;
in vec2 in_;
in float much;
uniform float strength;
out vec4 seen;
void main() {
    float r = 1.0 - dot(in_, in_);
    if (r <= 0.0) discard;
    seen = vec4(0.07, 0.05, 0.03, strength * much * r * r);
}`;

export class Squares {
    /** @param {WebGL2RenderingContext} gl */
    constructor(gl) {
        this.gl = gl;
        this.square = program(gl, SQUARE_VERTEX, SQUARE_FRAGMENT);
        this.shadow = program(gl, SHADOW_VERTEX, SHADOW_FRAGMENT);
        this.squareAt = places(gl, this.square, ["stitches", "looks", "clip", "model", "cell", "flat_", "dye", "glowing", "fade", "solid", "half_"]);
        this.shadowAt = places(gl, this.shadow, ["stitches", "looks", "clip", "model", "size", "down", "strength"]);
        this.stitches = numbers(gl);
        this.array = gl.createVertexArray();
        this.corners = gl.createBuffer();
        this.room = 0;
        this.count = 0;
        this.cell = [1, 1];
    }

    /** @param {Float32Array} place where stitches rest @param {Float32Array} square where their squares lie
     * @param {ArrayLike<number>} yarn of each @param {Int8Array} face whether each is shown
     * @param {[number, number]} cell width and height of a square, mm */
    load(place, square, yarn, face, cell) {
        const count = place.length / 3;
        const out = new Float32Array(room(3 * count));
        for (let n = 0; n < count; n++) {
            out.set([place[3 * n], place[3 * n + 1], place[3 * n + 2], face[4 * n + 3] ? 1 : 0], 12 * n);
            out.set([square[3 * n], square[3 * n + 1], square[3 * n + 2], yarn[n]], 12 * n + 4);
            out.set([face[4 * n] / 127, face[4 * n + 1] / 127, face[4 * n + 2] / 127], 12 * n + 8);
        }
        fillFloats(this.gl, this.stitches, out);
        this.count = count;
        this.cell = cell;
        if (count > this.room) this.makeRoom(count);
    }

    /** Number the corners of so many squares. @param {number} count */
    makeRoom(count) {
        const { gl } = this;
        const corners = new Uint32Array(ROUND.length * count);
        for (let k = 0; k < corners.length; k++) corners[k] = 4 * Math.floor(k / ROUND.length) + ROUND[k % ROUND.length];
        gl.bindVertexArray(this.array);
        gl.bindBuffer(gl.ELEMENT_ARRAY_BUFFER, this.corners);
        gl.bufferData(gl.ELEMENT_ARRAY_BUFFER, corners, gl.STATIC_DRAW);
        gl.bindVertexArray(null);
        this.room = count;
    }

    /** @param {Camera} camera @param {{looks: WebGLTexture, dye: Float32Array, flat: number, fade: number, solid?: boolean, half?: number, glowing: [number, number, number]}} how
     *   solid: as the cloth itself, for a machine that is too slow for yarn while it turns */
    draw(camera, how) {
        const { gl, squareAt: at } = this;
        gl.useProgram(this.square);
        this.bind(at, camera, how.looks);
        gl.uniform2f(at.cell, this.cell[0], this.cell[1]);
        gl.uniform1f(at.flat_, how.flat);
        gl.uniform3fv(at.dye, how.dye);
        gl.uniform3fv(at.glowing, how.glowing);
        gl.uniform1f(at.fade, how.fade);
        gl.uniform1f(at.solid, how.solid ? 1 : 0);
        gl.uniform1f(at.half_, how.half ?? 0);
        this.blend(how.solid);
    }

    /** @param {Camera} camera @param {Float32Array} lens from eye to screen @param {number} down depth of the table
     * @param {WebGLTexture} looks @param {number} strength */
    drawShadow(camera, lens, down, looks, strength) {
        const { gl, shadowAt: at } = this;
        gl.useProgram(this.shadow);
        this.bind(at, camera, looks);
        gl.uniformMatrix4fv(at.clip, false, lens);
        gl.uniform1f(at.size, 2.2 * this.cell[0]);
        gl.uniform1f(at.down, down);
        gl.uniform1f(at.strength, strength);
        this.blend();
    }

    /** @param {Record<string, WebGLUniformLocation | null>} at @param {Camera} camera @param {WebGLTexture} looks */
    bind(at, camera, looks) {
        const { gl } = this;
        [this.stitches, looks].forEach((texture, unit) => {
            gl.activeTexture(gl.TEXTURE0 + unit);
            gl.bindTexture(gl.TEXTURE_2D, texture);
        });
        gl.uniform1i(at.stitches, 0);
        gl.uniform1i(at.looks, 1);
        gl.uniformMatrix4fv(at.clip, false, camera.clip);
        gl.uniformMatrix4fv(at.model, false, camera.model);
    }

    /** Draw all of them, over what is there. @param {boolean} [deep] whether what is nearer hides what is farther */
    blend(deep = false) {
        const { gl } = this;
        gl.disable(gl.CULL_FACE);
        if (deep) gl.enable(gl.DEPTH_TEST);
        else gl.disable(gl.DEPTH_TEST);
        gl.depthFunc(gl.LESS);
        gl.enable(gl.BLEND);
        gl.blendFuncSeparate(gl.SRC_ALPHA, gl.ONE_MINUS_SRC_ALPHA, gl.ONE, gl.ONE_MINUS_SRC_ALPHA);
        gl.bindVertexArray(this.array);
        gl.drawElements(gl.TRIANGLES, ROUND.length * this.count, gl.UNSIGNED_INT, 0);
        gl.bindVertexArray(null);
        gl.disable(gl.BLEND);
    }
}
