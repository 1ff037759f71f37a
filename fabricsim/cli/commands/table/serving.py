"""From the words of the command line to a table that is served until Ctrl-C."""

from __future__ import annotations

import sys
from functools import partial
from pathlib import Path

import fabricsim
from fabricsim.cli.commands.table.searches import TELLERS
from fabricsim.cli.commands.table.telling import told
from fabricsim.design.scene.read import read_scene
from fabricsim.study.fork_server import begin_loading, end_loading
from fabricsim.table.drafts.folder import state_folder
from fabricsim.table.drafts.opening import opened_demo, opened_file
from fabricsim.table.serving.running import HERE, Served, serve
from fabricsim.table.solving.trades import LOADED

TOLD_BY = ("fabricsim.cli.commands.preview.data", "fabricsim.cli.commands.preview.words")
"""What tells of a fabric at rest, which those that bring it there load last."""


def serve_table(scene: Path | None, host: str | None, port: int | None, *, browser: bool) -> None:
    """Serve ``scene``, or the built-in hat, and say where."""
    folder = state_folder()
    if scene is not None:
        read_scene(scene)  # what is wrong with it is said before anything is served
    # each change ends the process that looks for advice, and the next is to be there at once
    begin_loading(*LOADED, *TOLD_BY)
    opened = partial(opened_demo, folder) if scene is None else partial(opened_file, scene, folder)
    try:
        serve(
            opened,
            told,
            TELLERS,
            fabricsim.__version__,
            folder,
            host=host or HERE,
            port=port,
            browser=browser,
            begun=_say,
        )
    finally:
        end_loading()
    print("The table is cleared; what lay on it is kept.", file=sys.stderr)


def _say(served: Served) -> None:
    print(f"The table is laid: {served.address}", flush=True)
    if served.moved:
        print("(at another port than usual, which is taken)", flush=True)
    if served.exposed:
        print(
            "fabricsim: whoever can reach this machine and knows the address can use the table, and nothing that is "
            "sent is hidden from the network. Others write this machine's address in place of 127.0.0.1. Leave out "
            "--host to keep it to yourself",
            file=sys.stderr,
        )
    print("Ctrl-C clears it.", flush=True)
