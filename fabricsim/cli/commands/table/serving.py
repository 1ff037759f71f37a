"""From the words of the command line to a table that is served until Ctrl-C."""

from __future__ import annotations

import secrets
import sys
import time
from importlib import resources
from pathlib import Path

import fabricsim
from fabricsim.cli.commands.table.telling import told
from fabricsim.design.scene.opened import read_text
from fabricsim.design.scene.read import DEMO
from fabricsim.table.drafts.folder import state_folder
from fabricsim.table.drafts.history import History
from fabricsim.table.drafts.text import SceneText
from fabricsim.table.serving.running import HERE, Served, serve


def serve_table(scene: Path | None, host: str | None, port: int | None, *, browser: bool) -> None:
    """Serve ``scene``, or the built-in hat, and say where."""
    draft = _first(scene)
    _ = draft.scene  # what is wrong with it is said before anything is served
    folder = state_folder()
    name = f"{time.strftime('%Y%m%d-%H%M%S')}-{secrets.token_hex(4)}"

    def history() -> History:
        return History.begun(folder, name, draft, None if scene is None else str(scene.resolve()))

    serve(history, told, fabricsim.__version__, host=host or HERE, port=port, browser=browser, begun=_say)
    print("The table is cleared; what lay on it is kept.", file=sys.stderr)


def _first(scene: Path | None) -> SceneText:
    if scene is not None:
        return SceneText(read_text(scene, str(scene)), scene.resolve())
    source = resources.files("fabricsim.design.scene") / "demo" / DEMO
    return SceneText(source.read_text(encoding="utf-8"), Path(DEMO))


def _say(served: Served) -> None:
    print(f"The table is laid: {served.address}", flush=True)
    if served.moved:
        print("(at another port than usual, which is taken)", flush=True)
    if served.exposed:
        print(
            "fabricsim: whoever can reach this machine and knows the address can use the table, and nothing that is "
            "sent is hidden from the network; leave out --host to keep it to yourself",
            file=sys.stderr,
        )
    print("Ctrl-C clears it.", flush=True)
