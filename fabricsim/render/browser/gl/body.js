// The body that a cloth is worn on: a pale matt surface under its yarn.
import { places, program } from "./program.js";

/** A body: corners in mm, where its surface looks there in 127ths, four a corner, and its triangles.
 * @typedef {object} Body
 * @property {Float32Array} place
 * @property {Int8Array} out
 * @property {Int32Array} face
 * @property {[number, number, number]} colour linear light */

const VERTEX = `precision highp float;
layout(location = 0) in vec3 place;
layout(location = 1) in vec3 out_;
uniform mat4 clip, model;
out vec3 looks;
void main() {
    looks = mat3(model) * out_;
    gl_Position = clip * vec4(place, 1.0);
}`;

const FRAGMENT = `precision highp float;
in vec3 looks;
uniform vec3 colour, light;
out vec4 seen;
void main() {
    vec3 n = normalize(looks);
    float sky = 0.6 + 0.4 * n.y;
    vec3 lit = colour * (0.50 * sky + 0.58 * max(dot(n, light), 0.0));
    seen = vec4(pow(clamp(lit, 0.0, 1.0), vec3(1.0 / 2.2)), 1.0);
}`;

export class BodyDrawing {
    /** @param {WebGL2RenderingContext} gl */
    constructor(gl) {
        this.gl = gl;
        this.made = program(gl, VERTEX, FRAGMENT);
        this.at = places(gl, this.made, ["clip", "model", "colour", "light"]);
        this.list = gl.createVertexArray();
        this.places = gl.createBuffer();
        this.outs = gl.createBuffer();
        this.faces = gl.createBuffer();
        this.count = 0;
        /** @type {[number, number, number]} */
        this.colour = [1, 1, 1];
    }

    /** @param {Body | undefined} body none: nothing is drawn */
    load(body) {
        this.count = body ? body.face.length : 0;
        if (!body) return;
        const { gl } = this;
        this.colour = body.colour;
        gl.bindVertexArray(this.list);
        gl.bindBuffer(gl.ARRAY_BUFFER, this.places);
        gl.bufferData(gl.ARRAY_BUFFER, body.place, gl.STATIC_DRAW);
        gl.vertexAttribPointer(0, 3, gl.FLOAT, false, 0, 0);
        gl.bindBuffer(gl.ARRAY_BUFFER, this.outs);
        gl.bufferData(gl.ARRAY_BUFFER, body.out, gl.STATIC_DRAW);
        gl.vertexAttribPointer(1, 3, gl.BYTE, true, 4, 0);
        for (const number of [0, 1]) gl.enableVertexAttribArray(number);
        gl.bindBuffer(gl.ELEMENT_ARRAY_BUFFER, this.faces);
        gl.bufferData(gl.ELEMENT_ARRAY_BUFFER, body.face, gl.STATIC_DRAW);
        gl.bindVertexArray(null);
    }

    /** @param {import("./camera.js").Camera} camera */
    draw(camera) {
        const { gl, at } = this;
        if (!this.count) return;
        gl.useProgram(this.made);
        gl.uniformMatrix4fv(at.clip, false, camera.clip);
        gl.uniformMatrix4fv(at.model, false, camera.model);
        gl.uniform3fv(at.colour, this.colour);
        gl.uniform3f(at.light, -0.42, 0.55, 0.72);
        gl.disable(gl.CULL_FACE);
        gl.enable(gl.DEPTH_TEST);
        gl.depthFunc(gl.LESS);
        gl.bindVertexArray(this.list);
        gl.drawElements(gl.TRIANGLES, this.count, gl.UNSIGNED_INT, 0);
        gl.bindVertexArray(null);
    }
}
