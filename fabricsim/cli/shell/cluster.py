"""Who works on a study: processes of this machine or a dask cluster; the options, and what whoever gives an address
should know."""

from __future__ import annotations

import sys
from typing import Annotated

import typer

from fabricsim.errors import InputError
from fabricsim.study.fork_server import begin_loading

ClusterOption = Annotated[
    str | None,
    typer.Option(
        metavar="ADDRESS",
        show_default=False,
        help="Work on a dask cluster: the address of its scheduler, which must be one that you trust; or 'local', this "
        "machine alone.",
    ),
]


MOST_PROCESSES = 1000
"""Processes that may be asked for (chosen)."""
ProcessesOption = Annotated[
    int | None,
    typer.Option(
        min=1,
        max=MOST_PROCESSES,
        metavar="N",
        show_default=False,
        help="How many processes work on it; by default one a core, or one where it is small.",
    ),
]


def check_workers(processes: int | None, cluster: str | None) -> None:
    """Raise InputError for what is no cluster, and for processes asked for beside one."""
    check_cluster(cluster)
    if processes is not None and cluster not in (None, "local"):
        given = f"with --cluster {cluster}"
        raise InputError("--processes", given, "one of the two", "the cluster has its workers")


def check_cluster(address: str | None) -> None:
    """Raise InputError for what is no address of a scheduler, nor 'local'."""
    if address is not None and address != "local":
        from fabricsim.study.cluster import scheduler_address

        scheduler_address(address)


def load_for(processes: int, cluster: str | None, at_work: str) -> None:
    """Have the module ``at_work`` loaded once for all ``processes`` of this machine, if there are several."""
    if processes > 1 and cluster in (None, "local"):
        begin_loading(at_work)


def say_trust(address: str | None) -> None:
    """Say on standard error what it means to work on the cluster at an ``address``."""
    if address is not None and address != "local":
        trust = "whoever can reach its scheduler can run programs on its machines, so use none but your own"
        print(f"working on the cluster at {address}: {trust} ...", file=sys.stderr, flush=True)
