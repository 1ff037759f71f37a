"""Working on a dask cluster: the option, and what whoever gives an address should know."""

from __future__ import annotations

import sys
from typing import Annotated

import typer

ClusterOption = Annotated[
    str | None,
    typer.Option(
        metavar="ADDRESS",
        show_default=False,
        help="Work on a dask cluster: the address of its scheduler, which must be one that you trust; or 'local', this "
        "machine alone.",
    ),
]


def check_cluster(address: str | None) -> None:
    """Raise InputError for what is no address of a scheduler, nor 'local'."""
    if address is not None and address != "local":
        from fabricsim.study.cluster import scheduler_address

        scheduler_address(address)


def say_trust(address: str | None) -> None:
    """Say on standard error what it means to work on the cluster at an ``address``."""
    if address is not None and address != "local":
        trust = "whoever can reach its scheduler can run programs on its machines, so use none but your own"
        print(f"working on the cluster at {address}: {trust} ...", file=sys.stderr, flush=True)
