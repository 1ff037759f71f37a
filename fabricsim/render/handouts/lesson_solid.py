"""A page of its own with the fabric in 3-D: one file that opens from a disk and asks nobody for anything."""

from __future__ import annotations

import base64
import gzip
import json

import numpy as np
from markupsafe import Markup

from fabricsim.arrays import AnyArray, unit
from fabricsim.fabric.equilibrium import Equilibrium
from fabricsim.fabric.form.shapes import Form
from fabricsim.render.browser.frame import headed, laid_out
from fabricsim.render.browser.script import one_script
from fabricsim.render.browser.yarn import UNIT, drawn_yarn
from fabricsim.render.handouts.lesson import page_part, templates
from fabricsim.render.trace.paint import yarn_colours
from fabricsim.render.trace.shade import albedos
from fabricsim.render.trace.shown_form import PLASTER, form_surface
from fabricsim.units import MM

ABOUT, DOWN = np.radians(18.0), {"round": np.radians(24.0), "swatch": np.radians(14.0), "repeat": np.radians(14.0)}
"""How far it is turned at first, and how far one looks down: into a tube, on flat fabric less (chosen)."""
STEPS = 12
"""Steps of a loop (chosen: as fine as the worktable draws it)."""
KEYS = "Arrow keys turn it, plus and minus come nearer and go back, Home starts again."
"""How to turn it, said when one comes to it by keyboard."""
MISSING = "This browser can't show the fabric in 3-D. Try another one, or look at the pictures of the lesson."
"""Said where a browser has no 3-D."""
DRAWN = ("point", "normal", "first", "yarn", "stitch", "float", "place", "face", "cell")
"""What is drawn of a fabric that stays as it is."""
BODY_SIDES, BODY_RINGS = 96, 64
"""Facets of a body round it and up it (chosen: no edge of one shows at the size of a screen)."""


def solid_page(rest: Equilibrium, *, title: str, said: str, back: str, form: Form | None = None) -> str:
    """Return a page of HTML with the yarn of ``rest``, to be turned by hand, on the ``form`` that it is worn on.

    ``said``: what it shows; ``back``: the name of the page that it belongs to. The yarn is packed, and unpacked by the
    browser.
    """
    packed = base64.b64encode(gzip.compress(solid_frame(rest, form), compresslevel=9, mtime=0)).decode("ascii")
    return (
        templates()
        .get_template("solid.html.j2")
        .render(
            title=title,
            said=said,
            back=back,
            keys=KEYS,
            missing=MISSING,
            packed=packed,
            style=Markup(page_part("solid.css")),
            script=Markup(one_script("alone/page.js")),
        )
    )


def solid_frame(rest: Equilibrium, form: Form | None = None) -> bytes:
    """Return the fabric as ``render.browser.frame`` lays it out, with the ``form`` that it is worn on; the head says
    how it is turned at first, radians."""
    drawn = drawn_yarn(rest, STEPS, apart=True)
    parts, body = laid_out({**{name: drawn.arrays[name] for name in DRAWN}, **body_arrays(rest, form)})
    head = {
        "case": rest.mesh.case,
        "thickness_mm": drawn.thickness / MM,
        "stitch_mm": drawn.stitch_mm,
        "window_mm": drawn.window_mm,
        "colours": albedos(yarn_colours(rest.scene)).tolist(),
        "yaw": float(ABOUT),
        "pitch": float(DOWN[rest.mesh.case]),
        "body": None if form is None else albedos(np.array([PLASTER]))[0].tolist(),
        "arrays": parts,
    }
    return headed(json.dumps(head), body)


def body_arrays(rest: Equilibrium, form: Form | None) -> dict[str, AnyArray]:
    """Return the surface of the ``form`` under a fabric: corners ``body``, mm, where it looks there, ``body_out``, and
    the triangles ``body_face``; nothing without one."""
    if form is None:
        return {}
    x_vc, triangle_tv = form_surface(form, rest.x_nc, BODY_SIDES, BODY_RINGS)
    out_vc = unit(form.parts(x_vc)[1])
    out_v4 = np.column_stack([np.rint(UNIT * out_vc), np.zeros(len(out_vc))]).astype(np.int8)
    return {"body": (x_vc / MM).astype(np.float32), "body_out": out_v4, "body_face": triangle_tv}
