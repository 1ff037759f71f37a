"""``fabricsim table``: the worktable, a page on this machine."""

from __future__ import annotations

from typing import Annotated

import typer

from fabricsim.cli.shell.options import SceneArgument


def table(
    scene: SceneArgument = None,
    port: Annotated[
        int | None, typer.Option(min=1, max=65535, help="Port to serve it at; by default 4810, or a free one.")
    ] = None,
    host: Annotated[
        str | None, typer.Option(help="Serve others too, at this address of the machine; by default nobody else.")
    ] = None,
    browser: Annotated[bool, typer.Option("--browser/--no-browser", help="Open it in the browser.")] = True,
) -> None:
    """Lay SCENE on the table: a page in the browser, on which the fabric answers while you design."""
    from fabricsim.cli.commands.table.serving import serve_table

    serve_table(scene, host, port, browser=browser)
