"""A dask cluster of other processes, as a user would have one: for whoever needs an address to work on."""

from __future__ import annotations

import logging
import os
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path


@contextmanager
def running(certificate: Path | None = None, workers: int = 2, **environment: str) -> Iterator[str]:
    """Start a scheduler and its workers, with these variables in their environment; give its address. With a
    ``certificate`` (a file that holds a key too) they talk to nobody without it."""
    with subprocess.Popen(
        [sys.executable, "-m", "tests.support.dask_cluster", str(workers), str(certificate or "")],
        env={**os.environ, **environment},
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        stderr=subprocess.DEVNULL,
        text=True,
        start_new_session=True,
    ) as going:
        assert going.stdin is not None
        assert going.stdout is not None
        try:
            yield going.stdout.readline().strip()
        finally:
            going.stdin.close()  # which ends it


def tls_settings(certificate: Path) -> dict[str, str]:
    """Return what dask's configuration says where everybody has this one certificate."""
    roles = ("client", "scheduler", "worker")
    return {f"distributed.comm.tls.{key}": str(certificate) for key in ("ca-file", *(f"{one}.cert" for one in roles))}


if __name__ == "__main__":
    import dask
    from distributed import LocalCluster, Security

    count, named = sys.argv[1:]
    with (
        dask.config.set(tls_settings(Path(named)) if named else {}),
        LocalCluster(
            n_workers=int(count),
            threads_per_worker=1,
            dashboard_address=None,
            silence_logs=logging.ERROR,
            protocol="tls://" if named else "tcp://",
            security=Security() if named else None,
        ) as cluster,
    ):
        print(cluster.scheduler_address, flush=True)
        sys.stdin.read()
