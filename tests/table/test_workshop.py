"""What jobs are called, what they are given, and which of their files are had."""

from __future__ import annotations

import asyncio
from collections.abc import Coroutine
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from typing import Any

import pytest

from fabricsim.errors import InputError
from fabricsim.table.jobs.work import Errand, _surroundings
from fabricsim.table.serving.workshop import MOST_WAITING, Workshop, file_name
from tests.table.test_drafts import draft


def run(asked: Coroutine[Any, Any, None]) -> None:
    """Run it in a thread of its own: in this one the browser of other tests may have its loop."""
    with ThreadPoolExecutor(1) as apart:
        apart.submit(asyncio.run, asked).result()


@pytest.mark.parametrize(
    ("title", "name"),
    [
        ("Seed-head hat band", "seed-head-hat-band"),
        ("Mütze  für Åse!", "mutze-fur-ase"),
        ("帽子", "piece"),
        ("", "piece"),
        ("../x" * 40, "-".join("x" * 40)[:60]),
    ],
)
def test_files_are_called_after_the_piece_on_every_system(title: str, name: str) -> None:
    assert file_name(title) == name


def test_a_command_prints_plain_text_on_every_system() -> None:
    given = _surroundings({"PATH": "here", "COLUMNS": "40"})
    assert given.pop("COLUMNS") != "40"
    assert given == {"PATH": "here", "PYTHONUTF8": "1", "NO_COLOR": "1", "PYTHONSAFEPATH": "1"}


def test_a_file_is_had_by_the_key_of_its_job_and_none_from_elsewhere(tmp_path: Path) -> None:
    async def ask() -> None:
        shop = Workshop(lambda told: None)
        job = Errand(1, "draw", ["draw"], tmp_path / "1", "key")
        job.folder.mkdir()
        (job.folder / "picture.png").write_bytes(b"made")
        (tmp_path / "other.txt").write_bytes(b"not made")
        shop._jobs[1] = job
        assert shop.file("key", "picture.png") == (job.folder / "picture.png").resolve()
        for key, name in (("another", "picture.png"), ("key", "../other.txt"), ("key", "."), ("key", "none.png")):
            assert shop.file(key, name) is None
        await shop.emptied()

    run(ask())


def test_only_so_many_jobs_wait_and_what_is_stopped_before_it_began_says_so() -> None:
    told: list[object] = []

    async def ask() -> None:
        shop = Workshop(told.append)
        for _ in range(MOST_WAITING):
            shop.ask("floats", {}, draft())
        with pytest.raises(InputError, match=rf"^job: given one more; allowed: at most {MOST_WAITING} at a time; stop"):
            shop.ask("floats", {}, draft())
        with pytest.raises(InputError, match=r"^command: given 'table'"):
            shop.ask("table", {}, draft())
        shop.stop(99)
        shop.end()
        await shop.emptied()
        assert not shop._folder.exists()

    run(ask())
    begun = [(one.kind, one.job, one.command) for one in told[:MOST_WAITING]]  # type: ignore[attr-defined]
    assert begun == [("progress", number + 1, "floats") for number in range(MOST_WAITING)]
