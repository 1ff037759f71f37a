"""Nothing of the user's is ever lost: what may be written over, and files that all come about or none."""

from __future__ import annotations

import os
import signal
import stat
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest
from PIL import Image

from fabricsim.cli import app, main
from fabricsim.cli.shell.batch import Batch
from fabricsim.cli.shell.outputs import (
    Output,
    files_for_output,
    prepare_folder,
    together,
    write_bytes_atomically,
    write_text_atomically,
)
from fabricsim.errors import InputError
from tests.support.little import little

QUICK = ("floats", "yarn", "rounds", "difficulty", "colours", "catches")
"""Commands that answer at once, each through the same door as all others."""
ROWS = 'rows = ["..b...", ".b.b..", "b...b.", ".b.b..", "..b..."]'
KNITTER = "bending_against_stretch = 1.5\n" + "".join(
    f'[{part}]\nvalue = {value}\nlow = {value}\nhigh = {value}\nknown = "measured"\n'
    for part, value in (("slack", 0.0), ("stretch", 1.0), ("bending", 1.0), ("weight", 1.0))
)


@pytest.fixture
def scene(tmp_path: Path) -> Path:
    path = tmp_path / "my.toml"
    path.write_text(little(), encoding="utf-8")
    return path


def _refused(words: list[object], capsys: pytest.CaptureFixture[str]) -> str:
    """Run a command that must refuse, before it works, and return why."""
    assert main([str(word) for word in words]) == 2
    said = capsys.readouterr()
    assert said.out == ""
    assert said.err.count("\n") == 1
    return said.err.removeprefix("fabricsim: ").rstrip("\n")


# ---- over nothing that is read -------------------------------------------------------------------


@pytest.mark.parametrize("command", QUICK)
@pytest.mark.parametrize("force", [[], ["--force"]])
def test_no_answer_goes_over_the_scene(
    command: str, force: list[str], scene: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    told = _refused([command, scene, "--out", scene, *force], capsys)
    assert told == f"--out: given '{scene}', which is read here; allowed: another file; name another file"
    assert scene.read_text(encoding="utf-8") == little()


def _hard_link(scene: Path) -> Path:
    os.link(scene, scene.with_name("link.txt"))
    return scene.with_name("link.txt")


def _symlink(scene: Path) -> Path:
    scene.with_name("soft.txt").symlink_to(scene)
    return scene.with_name("soft.txt")


@pytest.mark.parametrize(
    "other",
    [_hard_link, _symlink, lambda scene: scene.parent / ".." / scene.parent.name / scene.name],
    ids=["hard link", "symlink", "roundabout"],
)
def test_the_scene_is_seen_under_any_name(
    other: Callable[[Path], Path], scene: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = other(scene)
    assert "which is read here" in _refused(["floats", scene, "--out", path, "--force"], capsys)
    assert scene.read_text(encoding="utf-8") == little()


def test_the_scene_is_seen_by_a_short_name(
    scene: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.chdir(scene.parent)
    assert "'my.toml', which is read here" in _refused(["floats", "./my.toml", "--out", "my.toml"], capsys)


@pytest.mark.parametrize("name", ["chart.txt", "chart.png", "hands.toml", "bodies.toml"])
def test_no_answer_goes_over_what_the_scene_names(
    name: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (tmp_path / "chart.txt").write_text("..b...\n.b.b..\n", encoding="utf-8")
    picture = Image.new("RGB", (2, 1), (0xEE, 0xEA, 0xE0))
    picture.putpixel((0, 0), (0x1D, 0x2B, 0x4F))
    picture.save(tmp_path / "chart.png")
    (tmp_path / "hands.toml").write_text(KNITTER, encoding="utf-8")
    (tmp_path / "bodies.toml").write_text("[[bodies]]\npart = 'head'\nname = 'me'\ncm = 56\n", encoding="utf-8")
    drawn = {"chart.txt": 'file = "chart.txt"', "chart.png": 'image = "chart.png"'}.get(name, ROWS)
    text = 'knitter = "hands.toml"\n' + little().replace(ROWS, drawn) + '[sizes]\nfile = "bodies.toml"\n'
    (tmp_path / "my.toml").write_text(text, encoding="utf-8")
    before = (tmp_path / name).read_bytes()
    told = _refused(["floats", tmp_path / "my.toml", "--out", tmp_path / name, "--force"], capsys)
    assert told.startswith(f"--out: given '{tmp_path / name}', which is read here")
    assert (tmp_path / name).read_bytes() == before


def test_neither_a_study_nor_what_was_measured_is_written_over(
    scene: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    study, swatch = tmp_path / "study.toml", tmp_path / "swatch.toml"
    study.write_text('scenes = ["my.toml"]\nslack = [0, 0.1]\n', encoding="utf-8")
    swatch.write_text("[colourwork]\nstitches = 12\nwidth_cm = 5.0\n", encoding="utf-8")
    assert "which is read here" in _refused(["compare", "--study", study, "--out", study, "--force"], capsys)
    asked: list[object] = ["calibrate", scene, "--measured", swatch, "--out", swatch, "--force"]
    assert "which is read here" in _refused(asked, capsys)


def test_a_preview_spares_a_chart_that_lies_where_it_draws(
    scene: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    picture = Image.new("RGB", (2, 1), (0xEE, 0xEA, 0xE0))
    picture.putpixel((0, 0), (0x1D, 0x2B, 0x4F))
    picture.save(tmp_path / "face.png")
    scene.write_text(little().replace(ROWS, 'image = "face.png"'), encoding="utf-8")
    assert "face.png', which is read here" in _refused(["preview", scene, "--out", tmp_path], capsys)
    assert {one.name for one in tmp_path.iterdir()} == {"face.png", "my.toml"}


def test_two_outputs_never_share_a_name(scene: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    small, capital = tmp_path / "it.svg", tmp_path / "IT.svg"
    told = _refused(["stretch", scene, "--plots", small, "--out", small], capsys)
    assert told == f"--out: given '{small}', which --plots names too; allowed: a file of its own; name another file"
    # where capitals count not, both are one file
    assert "which --plots names too" in _refused(["stretch", scene, "--plots", small, "--out", capital], capsys)
    assert list(tmp_path.iterdir()) == [scene]


# ---- over nothing of another kind, unasked -------------------------------------------------------


def test_a_file_of_another_kind_is_replaced_only_by_force(
    scene: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    picture, other = tmp_path / "cat.txt", tmp_path / "other.csv"
    Image.new("RGB", (2, 2)).save(picture, "PNG")
    other.write_text(little(title="Another"), encoding="utf-8")
    before = picture.read_bytes()
    assert _refused(["floats", scene, "--out", picture], capsys) == (
        f"--out: given '{picture}', which is there and is a PNG; allowed: a new file, or a text file to write over; "
        "name another file, or add --force if that may go"
    )
    assert "which is there and is a scene; allowed: a new file, or a table in CSV" in _refused(
        ["floats", scene, "--out", other], capsys
    )
    assert picture.read_bytes() == before
    assert main(["floats", str(scene), "--out", str(picture), "--force"]) == 0
    assert "Little check" in picture.read_text(encoding="utf-8")


def test_answers_of_one_kind_follow_each_other(scene: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    for name in ("a.txt", "a.json", "a.csv"):
        for command in QUICK:
            assert main([command, str(scene), "--out", str(tmp_path / name)]) == 0, (command, name)
    (tmp_path / "empty.json").touch()
    assert main(["floats", str(scene), "--out", str(tmp_path / "empty.json")]) == 0


def test_a_scene_written_by_hand_is_replaced_only_by_force(
    scene: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    other = tmp_path / "other.toml"
    other.write_text(little(title="Another"), encoding="utf-8")
    assert "which is there and is a scene; allowed: a new file;" in _refused(
        ["catches", scene, "--write", other], capsys
    )
    assert main(["catches", str(scene), "--write", str(other), "--force"]) == 0
    assert "Little check" in other.read_text(encoding="utf-8")


@pytest.mark.parametrize("command", app.COMMANDS)
def test_every_command_tells_of_force(command: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert main([command, "--help"]) == 0
    said = " ".join(capsys.readouterr().out.split())
    assert "--force Write even over a file of another kind, or over a scene; never over one that is read." in said


# ---- what is no file, links and modes ------------------------------------------------------------


@pytest.mark.skipif(sys.platform == "win32", reason="needs devices of POSIX")
def test_devices_and_pipes_are_left_what_they_are(
    scene: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    pipe = tmp_path / "pipe"
    os.mkfifo(pipe)
    ours, theirs = os.openpty()  # a device of our own, in a folder where no file can take its place
    device = Path(os.ttyname(theirs))
    for path in (device, pipe):
        assert _refused(["floats", scene, "--out", path, "--force"], capsys) == (
            f"--out: given '{path}', no file but a device or a pipe; allowed: a file; name one, or leave the option out"
        )
    assert stat.S_ISFIFO(pipe.stat().st_mode)
    assert stat.S_ISCHR(device.stat().st_mode)
    os.close(ours)
    os.close(theirs)


def test_a_file_that_is_printed_to_is_not_pulled_away(scene: Path, tmp_path: Path) -> None:
    printed = tmp_path / "printed.txt"
    for target in ("/dev/stdout", str(printed)):
        with printed.open("w", encoding="utf-8") as file:
            asked = [sys.executable, "-m", "fabricsim", "floats", str(scene), "--out", target]
            done = subprocess.run(asked, stdout=file, stderr=subprocess.PIPE, text=True, check=False)
        assert (done.returncode, printed.read_text(encoding="utf-8")) == (2, "")
        assert f"'{target}', where printing goes; allowed: another file" in done.stderr


def test_a_link_stays_and_what_it_leads_to_is_replaced(scene: Path, tmp_path: Path) -> None:
    (tmp_path / "there").mkdir()
    for name in ("real.txt", "new.txt"):  # that is there, and that is not yet
        real, link = tmp_path / "there" / name, tmp_path / f"to_{name}"
        link.symlink_to(real)
        if name == "real.txt":
            real.write_text("an old answer,\nin two lines of text\n", encoding="utf-8")
        assert main(["floats", str(scene), "--out", str(link)]) == 0
        assert link.is_symlink()
        assert "Little check" in real.read_text(encoding="utf-8")
        assert not real.is_symlink()


def test_a_ring_of_links_is_refused(scene: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (tmp_path / "a.txt").symlink_to(tmp_path / "b.txt")
    (tmp_path / "b.txt").symlink_to(tmp_path / "a.txt")
    assert _refused(["floats", scene, "--out", tmp_path / "a.txt"], capsys).startswith("--out: given ")


def test_a_file_that_may_not_be_written_to_is_not(
    scene: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    kept = tmp_path / "kept.txt"
    kept.write_text("the last word, in two\nlines of text\n", encoding="utf-8")
    kept.chmod(0o444)
    told = _refused(["floats", scene, "--out", kept, "--force"], capsys)
    assert told.startswith(f"--out: given '{kept}', which may not be written to; allowed: a file that can be written;")
    assert kept.read_text(encoding="utf-8").startswith("the last word")


def test_a_file_keeps_its_mode_and_a_new_one_has_the_usual(scene: Path, tmp_path: Path) -> None:
    old, new = tmp_path / "old.json", tmp_path / "new.json"
    old.write_text("{}", encoding="utf-8")
    old.chmod(0o640)
    before = os.umask(0o027)
    try:
        for path in (old, new):
            assert main(["floats", str(scene), "--out", str(path)]) == 0
    finally:
        os.umask(before)
    assert [stat.S_IMODE(path.stat().st_mode) for path in (old, new)] == [0o640, 0o640]
    old.chmod(0o666)
    assert main(["floats", str(scene), "--out", str(old)]) == 0
    assert stat.S_IMODE(old.stat().st_mode) == 0o666


@pytest.mark.skipif(not hasattr(os, "geteuid"), reason="needs users")
def test_a_folder_that_can_not_be_searched_is_told_in_one_line(scene: Path, tmp_path: Path) -> None:
    if os.geteuid() == 0:
        pytest.skip("nothing is closed to root")
    closed = tmp_path / "closed"
    closed.mkdir(mode=0)
    with pytest.raises(InputError, match=r"--out: given '.*/closed/it\.txt' \(Permission denied\)"):
        write_text_atomically(closed / "it.txt", "text")


def test_a_look_that_is_refused_is_told_in_one_line(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    # a stand-in for a folder that can't be searched, which stops everyone but root
    looked = Path.stat

    def closed(self: Path, *, follow_symlinks: bool = True) -> os.stat_result:
        if self.name == "it.txt":
            raise PermissionError(13, "Permission denied", str(self))
        return looked(self, follow_symlinks=follow_symlinks)

    monkeypatch.setattr(Path, "stat", closed)
    with pytest.raises(InputError, match=r"--out: given '.*it\.txt' \(Permission denied\)"):
        write_text_atomically(tmp_path / "it.txt", "text")


# ---- all or none ---------------------------------------------------------------------------------

NAMES = ("a.txt", "b.txt", "c.txt", "d.txt")


def _write_all(folder: Path) -> None:
    with files_for_output(*(Output(folder / "sub" / name) for name in NAMES)):
        for name in NAMES:
            write_text_atomically(folder / "sub" / name, f"new {name}, and some\nwords")


def _left(folder: Path) -> dict[str, str]:
    return {one.relative_to(folder).as_posix(): one.read_text() for one in folder.rglob("*") if one.is_file()}


def _full(old: Callable[..., object], third: int) -> Callable[..., object]:
    """Return ``old``, failing the third time as on a full disk."""
    times = 0

    def failing(*given: object) -> object:
        nonlocal times
        times += 1
        if times == third:
            raise OSError(28, "No space left on device")
        return old(*given)

    return failing


@pytest.mark.parametrize("owner", ["fsync", "replace", "interrupt"])
def test_a_failure_at_the_third_file_leaves_all_as_they_were(
    owner: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def fail() -> None:
        if owner == "interrupt":
            monkeypatch.setattr(os, "fsync", lambda number: signal.raise_signal(signal.SIGINT))
        else:
            target = os if owner == "fsync" else Path
            monkeypatch.setattr(target, owner, _full(getattr(target, owner), 3))

    expected = KeyboardInterrupt if owner == "interrupt" else InputError
    fail()
    with pytest.raises(expected):
        _write_all(tmp_path)
    monkeypatch.undo()
    assert list(tmp_path.iterdir()) == []  # not even the folder
    (tmp_path / "sub").mkdir()
    before = {f"sub/{name}": f"old {name}, and some\nwords" for name in NAMES[:3]}
    for name, text in before.items():
        (tmp_path / name).write_text(text, encoding="utf-8")
    fail()
    with pytest.raises(expected):
        _write_all(tmp_path)
    monkeypatch.undo()
    assert _left(tmp_path) == before
    _write_all(tmp_path)
    assert _left(tmp_path) == {f"sub/{name}": f"new {name}, and some\nwords" for name in NAMES}


def test_where_files_have_one_name_only_they_come_back_too(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def no_links(*given: object) -> None:
        raise OSError(1, "Operation not permitted")

    for name in NAMES:
        (tmp_path / name).write_text("old", encoding="utf-8")
    batch = Batch()
    for name in NAMES:
        batch.draft(tmp_path / name, b"new")
    monkeypatch.setattr(os, "link", no_links)
    monkeypatch.setattr(Path, "replace", _full(Path.replace, 5))  # each is moved away, then its draft in
    with pytest.raises(OSError, match="No space left"):
        batch.move()
    monkeypatch.undo()
    batch.drop()
    assert _left(tmp_path) == dict.fromkeys(NAMES, "old")


def test_control_c_while_files_are_moved_waits_until_all_are(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    moved = Path.replace

    def interrupted(self: Path, target: Path) -> Path:
        signal.raise_signal(signal.SIGINT)
        return moved(self, target)

    monkeypatch.setattr(Path, "replace", interrupted)
    with pytest.raises(KeyboardInterrupt):
        _write_all(tmp_path)
    assert len(_left(tmp_path)) == len(NAMES)
    assert signal.getsignal(signal.SIGINT) is signal.default_int_handler


def test_data_are_on_the_disk_before_a_file_has_its_name(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    done: list[str] = []
    synced, moved = os.fsync, Path.replace

    def sync(number: int) -> None:
        done.append("folder" if stat.S_ISDIR(os.fstat(number).st_mode) else "data")
        synced(number)

    def move(self: Path, target: Path) -> Path:
        done.append("move")
        return moved(self, target)

    monkeypatch.setattr(os, "fsync", sync)
    monkeypatch.setattr(Path, "replace", move)
    with together():
        write_text_atomically(tmp_path / "a.txt", "a")
        write_bytes_atomically(tmp_path / "b.txt", b"b")
    assert done == ["data", "data", "move", "move", "folder"]


def test_a_folder_that_was_there_stays(tmp_path: Path) -> None:
    (tmp_path / "mine").mkdir()
    deep = tmp_path / "mine" / "a" / "b"

    def work() -> None:
        with files_for_output(Output(deep / "c.txt")):
            assert deep.is_dir()
            raise ZeroDivisionError

    with pytest.raises(ZeroDivisionError):
        work()
    assert list(tmp_path.rglob("*")) == [tmp_path / "mine"]


def test_several_files_of_a_command_come_about_together(
    scene: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    asked = ["catches", scene, "--map", tmp_path / "map.svg", "--write", tmp_path / "new.toml"]
    monkeypatch.setattr(Path, "replace", _full(Path.replace, 3))
    told = _refused([*asked, "--out", tmp_path / "plan.txt"], capsys)
    assert "No space left on device" in told
    monkeypatch.undo()
    assert list(tmp_path.iterdir()) == [scene]


def test_a_folder_is_made_and_kept(tmp_path: Path) -> None:
    made = prepare_folder(tmp_path / "a" / "b")
    assert made.is_dir()
