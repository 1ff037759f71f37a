// A fine picture that the processor works out part by part beside the canvas: what comes in between need not wait for it.

/** What a picture is of, how it is drawn, and how finely. @typedef {{what: string, how: string, grade: number}} Shown */

export class Slowly {
    /** @param {WebGL2RenderingContext} gl */
    constructor(gl) {
        this.gl = gl;
        this.made = gl.createFramebuffer();
        this.colours = gl.createRenderbuffer();
        this.depths = gl.createRenderbuffer();
        /** @type {Shown | null} what is being drawn */
        this.shown = null;
        /** @type {(() => void)[]} */
        this.parts = [];
        this.dot = new Uint8Array(4);
        this.asked = 0;
        this.size = [0, 0];
    }

    /** Whether this, or a finer picture of it, is on its way. @param {Shown} shown */
    draws(shown) {
        const { shown: mine } = this;
        return mine !== null && mine.what === shown.what && (mine.how === shown.how || shown.grade < mine.grade);
    }

    /** Leave what was being drawn. */
    leave() {
        this.shown = null;
        this.parts = [];
        cancelAnimationFrame(this.asked);
    }

    /** Draw so large a picture in parts, and hand it over once all are done.
     * @param {Shown} shown @param {[number, number]} size @param {(() => void)[]} parts @param {() => void} done */
    begin(shown, size, parts, done) {
        const { gl } = this;
        this.leave();
        this.shown = shown;
        this.resize(...size);
        this.parts = [
            ...parts,
            () => {
                this.shown = null;
                gl.bindFramebuffer(gl.DRAW_FRAMEBUFFER, null);
                gl.bindFramebuffer(gl.READ_FRAMEBUFFER, this.made);
                done();
                gl.blitFramebuffer(0, 0, ...size, 0, 0, ...size, gl.COLOR_BUFFER_BIT, gl.NEAREST);
            },
        ];
        this.goOn();
    }

    /** @param {number} width @param {number} height */
    resize(width, height) {
        const { gl } = this;
        if (this.size[0] === width && this.size[1] === height) return;
        this.size = [width, height];
        gl.bindFramebuffer(gl.FRAMEBUFFER, this.made);
        for (const [buffer, kind, place] of /** @type {[WebGLRenderbuffer, number, number][]} */ ([
            [this.colours, gl.RGBA8, gl.COLOR_ATTACHMENT0],
            [this.depths, gl.DEPTH_COMPONENT24, gl.DEPTH_ATTACHMENT],
        ])) {
            gl.bindRenderbuffer(gl.RENDERBUFFER, buffer);
            gl.renderbufferStorage(gl.RENDERBUFFER, kind, width, height);
            gl.framebufferRenderbuffer(gl.FRAMEBUFFER, place, gl.RENDERBUFFER, buffer);
        }
        gl.bindFramebuffer(gl.FRAMEBUFFER, null);
    }

    /** Draw the next part, and wait for it: so never more than one of them is in the way of anything else. (A fence to be
     * asked from frame to frame was not passed for seconds on end.) */
    goOn() {
        this.asked = requestAnimationFrame(() => {
            const { gl } = this;
            if (this.shown === null || gl.isContextLost()) return;
            gl.bindFramebuffer(gl.FRAMEBUFFER, this.made);
            this.parts.shift()?.();
            gl.bindFramebuffer(gl.FRAMEBUFFER, this.made);
            gl.readPixels(0, 0, 1, 1, gl.RGBA, gl.UNSIGNED_BYTE, this.dot);
            gl.bindFramebuffer(gl.FRAMEBUFFER, null);
            if (this.parts.length) this.goOn();
        });
    }
}
