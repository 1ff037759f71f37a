// Draws the yarn of one state of the cloth.
import { bounds, grid, packed, pieces, PIECE } from "./packing.js";
import { fillBytes, fillFloats, numbers, places, program, room } from "./program.js";
import { MOST_YARNS, YARN_FRAGMENT, YARN_VERTEX } from "./yarn_shader.js";

/** @typedef {import("./packing.js").Yarn} Yarn */
/** @typedef {import("./camera.js").Camera} Camera */
/** How finely yarn is drawn. @typedef {{sides: number, ply: number, dots: number}} Detail */

/** From finest to coarsest: sides of the yarn, its twist, share of the screen's dots. Yarn of one side is a ribbon across
 * the line of sight; without sides there is no yarn, but a square in the surface for each stitch. */
export const DETAILS = /** @type {Detail[]} */ ([
    { sides: 8, ply: 1, dots: 1 },
    { sides: 6, ply: 1, dots: 1 },
    { sides: 5, ply: 0, dots: 0.75 },
    { sides: 1, ply: 0, dots: 0.75 },
    { sides: 1, ply: 0, dots: 0.5 },
    { sides: 0, ply: 0, dots: 0.5 },
]);

/** Bytes of a piece in the list of them. */
const PLACED = 16;
const NAMES = ["points", "looks", "floats", "moves", "clip", "model", "sides", "dye", "thick", "plies", "ring", "towards", "ply", "fade", "light", "glowing", "flat_", "half_"];

export class YarnDrawing {
    /** @param {WebGL2RenderingContext} gl */
    constructor(gl) {
        this.gl = gl;
        this.made = program(gl, YARN_VERTEX, YARN_FRAGMENT);
        this.at = places(gl, this.made, NAMES);
        this.points = numbers(gl);
        this.looks = numbers(gl);
        this.floats = numbers(gl);
        this.moves = numbers(gl);
        /** @type {Map<number, {indices: WebGLBuffer, count: number}>} */
        this.grids = new Map();
        /** The pieces of yarn that there are. */
        this.list = gl.createVertexArray();
        this.listed = gl.createBuffer();
        this.count = 0;
        /** @type {Yarn | null} */
        this.yarn = null;
        this.dye = new Float32Array(3 * MOST_YARNS);
        this.low = [0, 0, 0];
        this.high = [0, 0, 0];
    }

    /** @param {Yarn} yarn @param {boolean} same whether only its places changed */
    load(yarn, same) {
        this.yarn = yarn;
        fillFloats(this.gl, this.points, packed(yarn));
        const { low, high } = bounds(yarn);
        this.low = low;
        this.high = high;
        if (same) return;
        this.cut(yarn);
        this.look(new Uint8Array(room(yarn.place.length / 3)).fill(255).map((value, k) => (k % 4 ? 0 : value)));
        this.colourFloats(new Uint8Array(room(1)));
    }

    /** @param {Uint8Array} looks four a stitch: the yarn it is painted in or 255, how lit it is */
    look(looks) {
        fillBytes(this.gl, this.looks, looks);
    }

    /** @param {Uint8Array} colours four a float: its colour, and 0 for none, 20 lit, 128 coloured, 255 both */
    colourFloats(colours) {
        fillBytes(this.gl, this.floats, colours);
    }

    /** @param {Float32Array} moves four a stitch: from where it rests to its square */
    moveStitches(moves) {
        fillFloats(this.gl, this.moves, moves);
    }

    /** @param {[number, number, number][]} colours of the yarns in linear light */
    dyeing(colours) {
        colours.slice(0, MOST_YARNS).forEach((colour, k) => this.dye.set(colour, 3 * k));
    }

    /** @param {number} sides */
    gridOf(sides) {
        const { gl } = this;
        let found = this.grids.get(sides);
        if (!found) {
            const indices = gl.createBuffer();
            const corners = grid(sides);
            gl.bindVertexArray(null);
            gl.bindBuffer(gl.ELEMENT_ARRAY_BUFFER, indices);
            gl.bufferData(gl.ELEMENT_ARRAY_BUFFER, corners, gl.STATIC_DRAW);
            found = { indices, count: corners.length };
            this.grids.set(sides, found);
        }
        return found;
    }

    /** Cut the yarn into pieces that are drawn at once. @param {Yarn} yarn */
    cut(yarn) {
        const { gl } = this;
        const list = pieces(yarn.first, yarn.yarn);
        gl.bindVertexArray(this.list);
        gl.bindBuffer(gl.ARRAY_BUFFER, this.listed);
        gl.bufferData(gl.ARRAY_BUFFER, list, gl.STATIC_DRAW);
        gl.enableVertexAttribArray(0);
        gl.vertexAttribDivisor(0, 1);
        gl.bindVertexArray(null);
        this.count = list.length / 4;
    }

    /** @param {Camera} camera @param {Detail} detail
     * @param {{behind?: boolean, ring?: [number, number, number], flat?: number, fade?: number, half?: number, glowing: [number, number, number]}} how
     * @param {[number, number]} [part] which pieces: from, to; by default all */
    draw(camera, detail, how, part = [0, this.count]) {
        const { gl, at, yarn } = this;
        if (!yarn || yarn.first.length < 2) return;
        gl.useProgram(this.made);
        [this.points, this.looks, this.floats, this.moves].forEach((texture, unit) => {
            gl.activeTexture(gl.TEXTURE0 + unit);
            gl.bindTexture(gl.TEXTURE_2D, texture);
        });
        ["points", "looks", "floats", "moves"].forEach((name, unit) => gl.uniform1i(at[name], unit));
        gl.uniformMatrix4fv(at.clip, false, camera.clip);
        gl.uniformMatrix4fv(at.model, false, camera.model);
        gl.uniform1i(at.sides, detail.sides);
        gl.uniform3fv(at.dye, this.dye);
        gl.uniform1f(at.thick, yarn.thickness);
        gl.uniform1f(at.plies, 3);
        gl.uniform1f(at.ply, detail.ply);
        gl.uniform1f(at.half_, how.half ?? 0);
        gl.uniform1f(at.flat_, how.flat ?? 0);
        gl.uniform1f(at.fade, how.fade ?? 1);
        gl.uniform3fv(at.ring, how.ring ?? [0, 0, 0]);
        gl.uniform1f(at.towards, how.behind ? -1 : 1);
        gl.uniform3f(at.light, -0.42, 0.55, 0.72);
        gl.uniform3fv(at.glowing, how.glowing);
        if (detail.sides > 1) gl.enable(gl.CULL_FACE);
        else gl.disable(gl.CULL_FACE);
        gl.cullFace(how.behind ? gl.FRONT : gl.BACK);
        gl.enable(gl.DEPTH_TEST);
        gl.depthFunc(how.behind ? gl.GREATER : gl.LESS);
        const net = this.gridOf(detail.sides);
        gl.bindVertexArray(this.list);
        gl.bindBuffer(gl.ARRAY_BUFFER, this.listed);
        gl.vertexAttribIPointer(0, 4, gl.INT, 0, PLACED * part[0]);
        gl.bindBuffer(gl.ELEMENT_ARRAY_BUFFER, net.indices);
        gl.drawElementsInstanced(gl.TRIANGLES, net.count, gl.UNSIGNED_SHORT, 0, part[1] - part[0]);
        gl.bindVertexArray(null);
    }

    /** Parts of about so many triangles that make up all pieces. @param {Detail} detail @param {number} triangles
     * @returns {[number, number][]} */
    parts(detail, triangles) {
        const many = Math.max(1, Math.floor(triangles / (2 * detail.sides * (PIECE + 2))));
        const begins = Array.from({ length: Math.ceil(this.count / many) }, (_, k) => many * k);
        return begins.map((from) => [from, Math.min(from + many, this.count)]);
    }

    /** How many triangles a frame has. @param {Detail} detail */
    triangles(detail) {
        if (this.yarn && !detail.sides) return (2 * this.yarn.place.length) / 3;
        return this.yarn ? this.count * 2 * detail.sides * (PIECE + 2) : 0;
    }
}
