"""``python -m tests.render.kept``: draw all anew, keep what has changed, and name it so that it is looked at."""

from __future__ import annotations

from tests.render.kept.compared import FOLDER, apart, kept
from tests.render.kept.drawings import DRAWINGS

if __name__ == "__main__":
    FOLDER.mkdir(exist_ok=True)
    for path in FOLDER.glob("*.png"):
        if path.stem not in DRAWINGS:
            path.unlink()
            print(f"gone: {path}")
    for name, draw in DRAWINGS.items():
        path, drawn = FOLDER / f"{name}.png", draw()
        if not path.exists() or kept(name).size != drawn.size or apart(kept(name), drawn):
            drawn.save(path, optimize=True)
            print(f"look at {path}")
