"""How the command as a whole starts and ends."""

from __future__ import annotations

import subprocess
import sys

import pytest

import fabricsim
from fabricsim.cli import app, main
from fabricsim.errors import NoEquilibriumError


def test_every_command_is_listed_without_being_loaded(capsys: pytest.CaptureFixture[str]) -> None:
    assert main([]) == 0
    out = capsys.readouterr().out
    assert [name for name in app.COMMANDS if f"  {name} " not in out] == []


def _end_with(problem: BaseException, monkeypatch: pytest.MonkeyPatch) -> int:
    def command() -> None:
        raise problem

    monkeypatch.setattr("fabricsim.cli.commands.schema.command.schema", command)
    return main(["schema"])


def test_no_equilibrium_ends_with_3(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> None:
    assert _end_with(NoEquilibriumError("it crawls;\ntry another seed"), monkeypatch) == 3
    assert capsys.readouterr().err == "fabricsim: it crawls; try another seed\n"


def test_control_c_ends_with_130(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> None:
    assert _end_with(KeyboardInterrupt(), monkeypatch) == 130
    assert capsys.readouterr().err.strip() == ("fabricsim: stopped by you; files are written whole or not at all")


def test_as_a_module_and_as_bad_input() -> None:
    done = subprocess.run([sys.executable, "-m", "fabricsim", "flaots"], capture_output=True, text=True, check=False)
    assert (done.returncode, done.stdout) == (2, "")
    assert done.stderr.startswith("fabricsim: ")
    assert "'flaots'" in done.stderr
    assert done.stderr.count("\n") == 1


def test_a_terminal_without_the_letters_does_not_stop_a_command() -> None:
    ask = "from fabricsim.cli.app import main; main(['--help']); print('\\u00fc')"
    env = {"PYTHONIOENCODING": "ascii", "PYTHONPATH": ":".join(path for path in sys.path if path)}
    done = subprocess.run([sys.executable, "-c", ask], env=env, capture_output=True, check=True)
    assert done.stdout.rstrip().endswith(b"?")


def test_a_scene_in_place_of_a_command_is_pointed_to_preview(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["my_hat.toml"]) == 2
    assert capsys.readouterr().err == (
        "fabricsim: 'my_hat.toml' is no command; did you mean 'fabricsim preview my_hat.toml'?\n"
    )


def test_the_version(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["--version"]) == 0
    assert capsys.readouterr().out == f"fabricsim {fabricsim.__version__}\n"
