"""Who may import whom: read from the source, so that an import inside a function counts too."""

from __future__ import annotations

import ast
import re
import subprocess
import sys
from collections.abc import Iterator
from functools import cache
from pathlib import Path

import pytest

import fabricsim.errors

PACKAGE = Path(fabricsim.errors.__file__).parent
MODULES = sorted(PACKAGE.rglob("*.py"))

BASE = {
    "arrays",
    "breaks",
    "built",
    "cgroups",
    "colour",
    "cores",
    "errors",
    "inputs",
    "interrupts",
    "lengths",
    "threads",
    "undrawn",
    "units",
}
"""Modules at the top of the package that anyone may use."""
MAY_IMPORT = {
    "arrays": set(),
    "breaks": {"errors"},
    "built": set(),
    "cgroups": set(),
    "cores": {"cgroups"},
    "errors": set(),
    "inputs": set(),
    "interrupts": set(),
    "colour": {"arrays"},
    "lengths": {"units"},
    "threads": set(),
    "undrawn": set(),
    "units": {"errors"},
    "mechanics": {"mechanics", *BASE},
    "design": {"design", *BASE},
    "fabric": {"fabric", "design", "mechanics", *BASE},
    "study": {"study", "fabric", "design", "mechanics", *BASE},
    "render": {"render", "fabric", "design", "mechanics", *BASE},
    "table": {"table", "render", "study", "fabric", "design", "mechanics", *BASE},
    "cli": {"cli", "table", "render", "study", "fabric", "design", "mechanics", *BASE},
    "__init__": {"render", "study", "fabric", "design", "errors"},
    "__main__": {"cli"},
}
"""For each folder or module at the top of the package, which of the others it may import."""

ROOMS = {
    "mechanics": ["", "energies", "factors", "solver"],
    "design": ["", "scene", "rows", "catches", "floats", "counted", "sizes", "swatch", "piece"],
    "fabric": ["", "form"],
    "study": ["", "hands", "forecast", "worn", "washed", "change", "compare", "motifs", "vary", "stretch", "calibrate"],
    "render": ["basics", "yarn", "browser", "trace", "layout", "section", "chart", "solid", "plots", "", "handouts"],
    "table": ["messages", "drafts", "solving", "jobs", "serving", ""],
    "cli": ["words", "shell", "commands", ""],
}
"""The folders inside a folder; each may import itself and those before it. The empty name: modules beside them."""

HEAVY = {"scipy", "matplotlib", "trimesh", "PIL", "embreex", "jinja2", "mujoco"}
"""Slow to load: not for ``fabricsim --help`` or ``fabricsim floats``."""
UNASKED = HEAVY | {"numpy", "rich.console", "rich.table"}
"""Not for counting what is drawn in symbols, nor for a table that goes into a file or a pipe."""
SELDOM = {"scipy.interpolate", "scipy.ndimage", "scipy.optimize"}
"""Parts of scipy that few fabrics ask for, each as slow to load as what is always needed: inside functions."""
DRAWING = {"matplotlib", "trimesh", "PIL", "embreex"}
"""Libraries of pictures and meshes, only for render."""
EXCEPTIONS = {("design/scene/chart_png.py", "PIL"), ("__init__.py", "PIL")}
"""A painted chart is read with PIL, inside the function that reads it; the front door names its type for checkers."""
SOLVING = {"design/catches/solver.py", "design/catches/integer_program.py"}
"""Where the design asks scipy, inside functions: integer programs are nothing to write oneself."""


def home(path: Path) -> str:
    """Return the folder, or the module at the top, that ``path`` belongs to."""
    return path.relative_to(PACKAGE).parts[0].removesuffix(".py")


def room(path: Path) -> str:
    """Return which of the ``ROOMS`` of its home ``path`` lies in."""
    inner = path.relative_to(PACKAGE).parts[1:-1]
    return inner[0] if inner else ""


@cache
def imports(path: Path) -> tuple[tuple[str, bool], ...]:
    """Return every module that ``path`` imports, and whether it does so as soon as it is loaded."""
    return tuple(_imports(path))


def _imports(path: Path) -> Iterator[tuple[str, bool]]:
    tree = ast.parse(path.read_text(encoding="utf-8"))
    later = {
        id(inner)
        for outer in ast.walk(tree)
        if isinstance(outer, ast.FunctionDef | ast.AsyncFunctionDef | ast.Lambda)
        or (isinstance(outer, ast.If) and ast.unparse(outer.test) == "TYPE_CHECKING")
        for inner in ast.walk(outer)
    }
    for node in ast.walk(tree):
        if isinstance(node, ast.Import):
            yield from ((alias.name, id(node) not in later) for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, f"{path}: write imports in full"
            assert node.module is not None
            if node.module == "fabricsim":
                yield from ((f"fabricsim.{alias.name}", id(node) not in later) for alias in node.names)
            else:
                yield node.module, id(node) not in later


def ours(path: Path) -> set[str]:
    """Return the folders and top modules of this package that ``path`` imports."""
    return {name.split(".")[1] for name, _ in imports(path) if name.startswith("fabricsim.")}


def neighbours(path: Path) -> set[str]:
    """Return the rooms of its own home that ``path`` imports."""
    found = set()
    for name, _ in imports(path):
        _, *inner = name.split(".")
        if len(inner) > 1 and inner[0] == home(path):
            found.add(inner[1] if PACKAGE.joinpath(*inner[:2]).is_dir() else "")
        elif inner == [home(path)]:
            found.add("")
    return found


def outside(path: Path, *, at_once: bool) -> set[str]:
    """Return the libraries that ``path`` imports: all of them, or only those loaded ``at_once``."""
    return {name.split(".")[0] for name, now in imports(path) if now or not at_once} - {"fabricsim"}


def named(faults: dict[Path, set[str]]) -> dict[str, set[str]]:
    """Return those that there are, by the module's name. (A test for each module takes as long again to begin as to
    ask.)"""
    return {path.relative_to(PACKAGE).as_posix(): found for path, found in faults.items() if found}


def test_every_module_has_a_home_in_the_rule() -> None:
    assert {home(path) for path in MODULES} <= set(MAY_IMPORT)
    assert len(MODULES) > 10


def test_imports_point_one_way() -> None:
    assert named({path: ours(path) - MAY_IMPORT[home(path)] for path in MODULES}) == {}


def test_every_room_has_its_place() -> None:
    there = {(home(path), room(path)) for path in MODULES if room(path)}
    assert there <= {(house, one) for house, rooms in ROOMS.items() for one in rooms}


def test_the_tour_shows_every_room_in_its_order() -> None:
    tour = (PACKAGE.parent / "DEVELOPERS.md").read_text(encoding="utf-8")
    house = tour.split("    fabricsim/\n")[1].split("\n\n")[0]
    folders, modules = house.split("      arrays.py")
    entries = re.split(r"(?m)^ {6}(?=\S)", folders)[1:]
    told = {entry.split("/")[0]: entry.partition("/")[2] for entry in entries}
    assert list(told) == ["cli", "table", "render", "study", "fabric", "design", "mechanics"]
    assert {path.name for path in PACKAGE.iterdir() if (path / "__init__.py").exists()} == set(told)
    for name, words in told.items():
        assert re.search(r"\b.*?\b".join(rf"\b{room}" for room in ROOMS[name] if room), words, re.DOTALL), name
    assert {f"{name}.py" for name in BASE} == set(re.findall(r"\w+\.py", "arrays.py" + modules))


def test_rooms_import_those_before_them() -> None:
    def open_to(path: Path) -> set[str]:
        rooms = ROOMS.get(home(path), [""])
        return set(rooms[: rooms.index(room(path)) + 1])

    assert named({path: neighbours(path) - open_to(path) for path in MODULES}) == {}


def test_no_command_imports_from_another_but_the_report_and_the_table() -> None:
    commands = PACKAGE / "cli" / "commands"
    for path in commands.rglob("*/*.py"):
        mine = path.relative_to(commands).parts[0]
        others = {name.split(".")[3] for name, _ in imports(path) if name.startswith("fabricsim.cli.commands.")}
        assert mine in ("report", "table") or others <= {mine}, path


def test_pictures_are_drawn_in_render_alone() -> None:
    def drawing(path: Path) -> set[str]:
        name = path.relative_to(PACKAGE).as_posix()
        return {library for library in outside(path, at_once=False) & DRAWING if (name, library) not in EXCEPTIONS}

    assert named({path: drawing(path) for path in MODULES if home(path) != "render"}) == {}


def test_design_and_commands_load_nothing_heavy_at_once() -> None:
    light = [path for path in MODULES if home(path) in ("design", "cli", "errors", "units", "__init__")]
    assert len(light) > 100
    assert named({path: outside(path, at_once=True) & HEAVY for path in light}) == {}


def test_what_rests_and_draws_a_plain_fabric_loads_no_part_of_scipy_that_it_does_not_need() -> None:
    """With them it would take a quarter longer to load, as every command does and all that is loaded for the table."""

    def slow(path: Path) -> set[str]:
        at_once = {name for name, now in imports(path) if now}
        return {part for part in SELDOM if any(f"{name}.".startswith(f"{part}.") for name in at_once)}

    seldom = [path for path in MODULES if room(path) in ("calibrate", "stretch")]
    assert any(slow(path) for path in seldom)
    assert named({path: slow(path) for path in MODULES if path not in seldom}) == {}


def test_design_needs_only_numpy_pydantic_and_the_standard_library_but_for_solving() -> None:
    allowed = {"numpy", "pydantic", "pydantic_core", "PIL"} | set(sys.stdlib_module_names)
    for path in MODULES:
        if home(path) == "design":
            solving = {"scipy"} if path.relative_to(PACKAGE).as_posix() in SOLVING else set()
            assert outside(path, at_once=False) <= allowed | solving


@pytest.mark.parametrize(
    ("ask", "kept_out"),
    [
        ("import fabricsim", HEAVY | {"numpy", "pydantic"}),
        ("import fabricsim.cli.app", HEAVY | {"numpy"}),
        ("from fabricsim.cli import main; main(['--help'])", UNASKED | {"pydantic.main"}),
        ("from fabricsim.cli import main; main(['floats'])", UNASKED),
        ("from fabricsim.cli import main; main(['floats', '--json'])", UNASKED),
        ("from fabricsim.cli import main; main(['schema'])", UNASKED),
        ("from fabricsim.cli import main; main(['rounds'])", UNASKED),
        ("from fabricsim.cli import main; main(['yarn', '--json'])", UNASKED),
        ("from fabricsim.cli import main; main(['difficulty', '--csv'])", UNASKED),
    ],
)
def test_quick_commands_load_nothing_heavy(ask: str, kept_out: set[str]) -> None:
    asked = f"{ask}\nimport sys\nprint('loaded:', *sorted(set(sys.modules) & set({sorted(kept_out)!r})))"
    done = subprocess.run([sys.executable, "-c", asked], capture_output=True, text=True, check=True)
    assert done.stdout.splitlines()[-1].strip() == "loaded:"


def test_the_rule_sees_imports_of_every_kind(tmp_path: Path) -> None:
    path = tmp_path / "module.py"
    path.write_text(
        "import scipy.sparse\n"
        "from fabricsim import units\n"
        "from fabricsim.design.scene import Scene\n"
        "if TYPE_CHECKING:\n    import trimesh\n"
        "def draw():\n    from PIL import Image\n",
        encoding="utf-8",
    )
    assert ours(path) == {"units", "design"}
    assert outside(path, at_once=True) == {"scipy"}
    assert outside(path, at_once=False) == {"scipy", "trimesh", "PIL"}
