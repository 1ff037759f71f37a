"""Changes after which a scene is, as a rule, still a scene, however odd: most must be answered, not refused."""

from __future__ import annotations

import io
from collections.abc import Callable, Mapping
from random import Random
from typing import Any, get_args

from PIL import Image

from fabricsim.design.scene.bodies import usual_bodies
from fabricsim.design.scene.items import Item
from fabricsim.design.scene.read import scene_schema
from fabricsim.design.scene.yarn import LEAST_ROWS, LEAST_TEX, MOST_ROWS, MOST_TEX, rgb_of
from tests.fuzz.allowed import allowed_number, numbers_of
from tests.fuzz.strange import NAMES, SYMBOLS
from tests.fuzz.toml_text import toml_text

Table = dict[str, Any]
Files = dict[str, bytes]
"""What lies beside a scene, by name."""
SCHEMA = scene_schema()
MOST_SQUARES = 1500
"""Of a chart (chosen: so that a scene takes hundredths of a second)."""


def changed(rng: Random, scene: Table, files: Files, times: int) -> None:
    """Change a ``scene``, and what lies beside it, so many ``times``."""
    for change in rng.choices(list(CHANGES), list(CHANGES.values()), k=times):
        change(rng, scene, files)


def _other_chart(rng: Random, scene: Table, files: Files) -> None:
    symbols = [yarn["symbol"] for yarn in scene["yarns"]]
    stitches = rng.choice((1, 2, 3, 4, 7, 12, 24, 60, 400))
    rows = min(rng.choice((1, 2, 3, 5, 8, 20, 60, 400)), max(1, MOST_SQUARES // stitches))
    kept = rng.choice((symbols, symbols[:1], symbols[-1:]))
    weights = [rng.choice((1, 1, 5, 50)) for _ in kept]
    _draw(scene, ["".join(rng.choices(kept, weights, k=stitches)) for _ in range(rows)])


def _other_size(rng: Random, scene: Table, files: Files) -> None:
    key = rng.choice(("across", "up", "plain_below", "plain_above"))
    scene["chart"][key] = rng.choice((1, 1, 2, 3, 5, 10, 50, 300, 3000))


def _worked_otherwise(rng: Random, scene: Table, files: Files) -> None:
    scene["worked"] = rng.choice(("round", "flat"))


def _other_item(rng: Random, scene: Table, files: Files) -> None:
    scene["item"] = rng.choice(get_args(Item))


def _other_symbols(rng: Random, scene: Table, files: Files) -> None:
    old = [yarn["symbol"] for yarn in scene["yarns"]]
    new = dict(zip(old, rng.sample(SYMBOLS, len(old)), strict=True))
    for yarn in scene["yarns"]:
        yarn["symbol"] = new[yarn["symbol"]]
    if "rows" in scene["chart"]:
        scene["chart"]["rows"] = ["".join(new.get(sign, sign) for sign in row) for row in scene["chart"]["rows"]]
    floats = scene.setdefault("floats", {})
    floats["slack_by_yarn"] = {new.get(key, key): slack for key, slack in floats.get("slack_by_yarn", {}).items()}


def _other_names(rng: Random, scene: Table, files: Files) -> None:
    for yarn in scene["yarns"]:
        yarn["name"] = rng.choice(NAMES)
    scene["title"], scene["story"] = rng.choice(NAMES), "\n".join(rng.sample(NAMES, 3))


def _another_yarn(rng: Random, scene: Table, files: Files) -> None:
    used = {yarn["symbol"] for yarn in scene["yarns"]}
    symbol = rng.choice([sign for sign in SYMBOLS + "abcdefgh" if sign not in used])
    colour = f"#{rng.randrange(1 << 24):06x}"
    scene["yarns"].append({"symbol": symbol, "name": rng.choice(NAMES), "colour": colour, "tex": 500})
    rows = scene["chart"].get("rows")
    if rows:
        _draw(scene, ["".join(symbol if rng.random() < 0.2 else sign for sign in row) for row in rows])


def _other_weights(rng: Random, scene: Table, files: Files) -> None:
    for yarn in scene["yarns"]:
        yarn.pop("metres_per_100_g", None)
        yarn["tex"] = allowed_number(rng, {"type": "number", "minimum": LEAST_TEX, "maximum": MOST_TEX})
        yarn["ball_grams"] = allowed_number(rng, {"type": "number", "minimum": 1, "maximum": 10_000})


def _other_gauge(rng: Random, scene: Table, files: Files) -> None:
    stitches = allowed_number(rng, {"type": "number", "minimum": 1, "maximum": 200})
    rows = stitches * rng.uniform(LEAST_ROWS, MOST_ROWS)
    scene["gauge"] = {"stitches": stitches, "rows": min(max(rows, 1.0), 200.0)}


def _other_numbers(rng: Random, scene: Table, files: Files) -> None:
    part = rng.choice(("floats", "floats", "fabric", "sizes", "simulation"))
    key, node = rng.choice(sorted(numbers_of(SCHEMA, part).items()))
    scene.setdefault(part, {})[key] = allowed_number(rng, node)


def _other_slacks(rng: Random, scene: Table, files: Files) -> None:
    node = numbers_of(SCHEMA, "floats")["slack"]
    symbols = [yarn["symbol"] for yarn in scene["yarns"]]
    scene.setdefault("floats", {})["slack_by_yarn"] = {one: allowed_number(rng, node) for one in symbols}


def _catches(rng: Random, scene: Table, files: Files) -> None:
    floats = scene.setdefault("floats", {})
    rows = scene["chart"].get("rows")
    if rows is None or rng.random() < 0.4:
        floats["catches"] = rng.choice(("planned", "planned", "none"))
        return
    stranded = [row for row, line in enumerate(reversed(rows), 1) if len(set(line)) > 1]
    chosen = rng.sample(stranded, min(len(stranded), rng.choice((1, 3, 20))))
    floats["catches"] = [{"row": row, "stitch": rng.randint(1, len(rows[-row]))} for row in chosen]
    for catch in floats["catches"]:
        if scene["worked"] == "round" and rng.random() < 0.2:
            catch["repeat"] = rng.choice(("first", "last"))
        others = sorted(set(rows[-catch["row"]]) - {rows[-catch["row"]][-catch["stitch"]]})
        if others and rng.random() < 0.2:
            catch["yarn"] = rng.choice(others)


def _sizes(rng: Random, scene: Table, files: Files) -> None:
    scene.setdefault("item", "hat")
    names = [body.name for body in usual_bodies()]
    wishes = [rng.choice(names), 40.0, 57, {"name": rng.choice(NAMES), "cm": rng.choice((1, 22.5, 1000.0))}]
    sizes: Table = {"bodies": rng.sample(wishes, rng.randint(1, 4))} if rng.random() < 0.5 else {}
    sizes["rib"] = rng.choice(("none", "1x1", "2x2", "3x1", "99x99"))
    if rng.random() < 0.3:
        sizes["crown"] = rng.random() < 0.5
    if rng.random() < 0.3:
        sizes["file"] = "bodies.toml"
        parts = ("head", "hand", "foot", "arm", "chest")
        bodies = [{"part": part, "name": rng.choice(NAMES), "cm": rng.choice((1, [20, 30], 1000))} for part in parts]
        files["bodies.toml"] = toml_text({"bodies": bodies}).encode()
    scene["sizes"] = sizes


def _knitter(rng: Random, scene: Table, files: Files) -> None:
    scene["knitter"] = "knitter.toml"
    if rng.random() < 0.5:
        scene.setdefault("floats", {}).pop("slack", None)
    known = ("measured", "not told")
    factor = {"value": 1.5, "low": 1e-3, "high": 1e3, "known": rng.choice(known)}
    slack = {"value": rng.choice((-0.99, -0.05, 0.0, 1.0)), "low": -0.999, "high": 1.0, "known": rng.choice(known)}
    knitter: Table = {"swatch": rng.choice(NAMES), "bending_against_stretch": 1.5, "slack": slack}
    knitter |= {"stretch": factor, "bending": factor, "weight": factor}
    knitter["slack_by_yarn"] = {yarn["name"]: slack for yarn in scene["yarns"] if rng.random() < 0.5}
    files["knitter.toml"] = toml_text(knitter).encode()


def _chart_in_a_file(rng: Random, scene: Table, files: Files) -> None:
    rows = scene["chart"].get("rows")
    if rows is not None:
        del scene["chart"]["rows"]
        scene["chart"]["file"] = "chart.txt"
        files["chart.txt"] = rng.choice(("\n", "\r\n")).join(rows).encode(rng.choice(("utf-8", "utf-8-sig")))


def _chart_in_a_picture(rng: Random, scene: Table, files: Files) -> None:
    rows = scene["chart"].get("rows")
    if rows is None:
        return
    colour_of = {yarn["symbol"]: rgb_of(yarn["colour"]) for yarn in scene["yarns"]}
    picture = Image.new("RGB", (len(rows[0]), len(rows)))
    picture.putdata([colour_of[sign] for row in rows for sign in row])
    kept = io.BytesIO()
    picture.convert(rng.choice(("RGB", "RGBA", "P"))).save(kept, "PNG")
    del scene["chart"]["rows"]
    scene["chart"]["image"] = "chart.png"
    files["chart.png"] = kept.getvalue()


def _draw(scene: Table, rows: list[str]) -> None:
    for drawn in ("rows", "file", "image"):
        scene["chart"].pop(drawn, None)
    scene["chart"]["rows"] = rows
    if isinstance(scene.get("floats", {}).get("catches"), list):
        del scene["floats"]["catches"]  # they were those of the chart before


CHANGES: Mapping[Callable[[Random, Table, Files], None], int] = {
    _other_chart: 4,
    _other_size: 2,
    _worked_otherwise: 1,
    _other_item: 2,
    _other_symbols: 1,
    _other_names: 1,
    _another_yarn: 2,
    _other_weights: 1,
    _other_gauge: 2,
    _other_numbers: 4,
    _other_slacks: 1,
    _catches: 2,
    _sizes: 2,
    _knitter: 1,
    _chart_in_a_file: 1,
    _chart_in_a_picture: 1,
}
"""Every sort of change, and how often it comes."""
