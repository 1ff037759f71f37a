"""Builds what is in C, where there is a compiler: the sums of ``fabricsim.mechanics.compiled``, which numpy does
without one, and ``fabricsim.render.trace.depth_buffer``, for which embree stands in.

Everything else about the package stands in pyproject.toml.
"""

from __future__ import annotations

from setuptools import Extension, setup
from setuptools.command.build_ext import build_ext

SUMS, DRAWING = "fabricsim/mechanics/in_c", "fabricsim/render/trace/in_c"
SOURCES = ("columns", "crossing", "fronts", "fronts_plan", "laws", "measures", "near", "terms", "wraps")
# Products and sums stay apart, so that machines that could fuse them give the same bits as others.
OPTIONS = {"msvc": ["/O2", "/fp:precise"]}
ELSEWHERE = ["-std=c99", "-O3", "-ffp-contract=off", "-fno-math-errno"]


class PlainC(build_ext):
    """A library that is called through ctypes: no module, so nothing to import is exported."""

    def get_export_symbols(self, ext: Extension) -> list[str]:
        return ext.export_symbols

    def build_extension(self, ext: Extension) -> None:
        ext.extra_compile_args = OPTIONS.get(self.compiler.compiler_type, ELSEWHERE)
        super().build_extension(ext)


setup(
    cmdclass={"build_ext": PlainC},
    ext_modules=[
        Extension(
            "fabricsim.mechanics._terms",
            [f"{SUMS}/{name}.c" for name in SOURCES],
            depends=[f"{SUMS}/{name}.h" for name in ("boxes", "fronts_in", "terms", "vectors")],
            export_symbols=[
                "fabricsim_layout",
                "fabricsim_add",
                "fabricsim_courses",
                "fabricsim_column_starts",
                "fabricsim_columns",
                "fabricsim_near",
                "fabricsim_crossing",
                "fabricsim_fronts_plan",
                "fabricsim_fronts_rows",
                "fabricsim_fronts_places",
                "fabricsim_fronts_factorise_s",
                "fabricsim_fronts_factorise_d",
                "fabricsim_fronts_solve_s",
                "fabricsim_fronts_solve_d",
            ],
            optional=True,
        ),
        Extension(
            "fabricsim.render.trace._depth",
            [f"{DRAWING}/depth_buffer.c"],
            export_symbols=["fabricsim_depth_layout", "fabricsim_depth_buffer"],
            optional=True,
        ),
    ],
)
