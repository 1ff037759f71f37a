"""How a command ends, whatever happens: with one line on standard error, never a traceback, and a status.

    0    done
    1    a fault of fabricsim's own, or of the machine: no memory, no room for what is printed
    2    something that was given can't be used
    3    no equilibrium was found
    130  stopped by Ctrl-C (128 and the signal's number, as shells count)
    141  whoever read the output had enough of it, as ``head`` does

With ``FABRICSIM_TRACEBACK=1`` in the environment a fault also shows where it came from, for whoever mends it.
"""

from __future__ import annotations

import errno
import io
import os
import signal
import sys
import traceback
from collections.abc import Callable, Sequence
from contextlib import suppress
from pathlib import Path
from types import FrameType
from typing import Any, NoReturn

from fabricsim.errors import FabricsimError, one_line, shortened

FAULT, INTERRUPTED, ENOUGH = 1, 130, 141
TRACEBACK = "FABRICSIM_TRACEBACK"
STOPPED = "stopped by you; files are written whole or not at all"
_OF_THE_MACHINE = (
    errno.ENOSPC,
    errno.EDQUOT,
    errno.EROFS,
    errno.EMFILE,
    errno.ENFILE,
    errno.ENOMEM,
    errno.EIO,
    errno.EACCES,
    errno.EPERM,
)
"""What the system refuses for reasons of its own."""


def ended(work: Callable[[], int], words: Sequence[str]) -> int:
    """Do the ``work`` that the ``words`` of a command line ask for; return the exit status, all said that is wrong."""
    try:
        try:
            status = work()
            sys.stdout.flush()
        except SystemExit as problem:  # what prints tables ends so when nobody reads on
            if not isinstance(problem.__context__, BrokenPipeError):
                raise
            return ENOUGH
        return status
    except FabricsimError as problem:
        return _say(str(problem), problem.exit_status)
    except KeyboardInterrupt:
        return _say(STOPPED, INTERRUPTED)
    except MemoryError:
        return _say("the memory ran out; close other programs, or try a smaller piece", FAULT)
    except OSError as problem:
        if _Printed.failed:
            if problem.errno == errno.EPIPE:
                return ENOUGH
            return _say(f"what is printed can't be written ({problem.strerror}); make room, or print elsewhere", FAULT)
        if problem.errno in _OF_THE_MACHINE:
            at = f" '{problem.filename}'" if problem.filename else ""
            return _say(f"the system stops it:{at} ({problem.strerror}); see to that, and ask again", FAULT)
        return _fault(problem, words)
    except Exception as problem:  # whatever it is, whoever asked shall read a sentence
        return _fault(problem, words)
    finally:
        if _Printed.failed:
            _print_nowhere()


def _say(text: str, status: int) -> int:
    """Print ``text`` as one line that can't upset a terminal; return ``status``."""
    with suppress(OSError, ValueError):  # nowhere to say it: the status does
        print(f"fabricsim: {one_line(text)}", file=sys.stderr, flush=True)
    return status


def _fault(problem: Exception, words: Sequence[str]) -> int:
    """Say that ``problem`` is nobody's fault but fabricsim's, and what to report; return the status."""
    import fabricsim

    if os.environ.get(TRACEBACK, "0") not in ("", "0"):
        traceback.print_exception(problem)
    ours = Path(fabricsim.__file__).parent
    frames = traceback.extract_tb(problem.__traceback__)
    frame = next((one for one in reversed(frames) if Path(one.filename).is_relative_to(ours)), None)
    where = f" at {Path(frame.filename).relative_to(ours).as_posix()}, line {frame.lineno}" if frame is not None else ""
    what = f"{type(problem).__name__}{where} ({shortened(str(problem), 120)})"
    python = ".".join(map(str, sys.version_info[:3]))
    return _say(
        f"a fault of fabricsim's own, not of yours. Please report this line, and the scene if you may: '"
        f"{shortened(' '.join(['fabricsim', *words]), 200)}' ended in {what}; fabricsim {fabricsim.__version__}, "
        f"Python {python}, {sys.platform}. {TRACEBACK}=1 shows more",
        FAULT,
    )


# ---- standard output -----------------------------------------------------------------------------


class _Printed(io.FileIO):
    """Standard output that notes when it fails: what prints into it forgets what it could not write."""

    failed = False

    def write(self, data: Any, /) -> int:
        try:
            return super().write(data)
        except OSError:
            _Printed.failed = True
            raise


def own_streams() -> None:
    """See to standard output and standard error, in a process that is the command's alone.

    Where one of them is closed something is put in its place, so that no file takes its number: what is printed then
    fails as on a full disk, and what is said is lost.
    """
    for number, name, way in ((1, "stdout", os.O_RDONLY), (2, "stderr", os.O_WRONLY)):
        if getattr(sys, name) is None:
            with suppress(OSError):
                hole = os.open(os.devnull, way)
                if hole != number:
                    os.dup2(hole, number)
                    os.close(hole)
                setattr(sys, name, open(number, "w", encoding="utf-8", closefd=False))  # noqa: SIM115
    out = sys.stdout
    if isinstance(out, io.TextIOWrapper) and not out.isatty():
        raw = io.BufferedWriter(_Printed(out.fileno(), "wb", closefd=False))
        sys.stdout = io.TextIOWrapper(raw, out.encoding, out.errors, line_buffering=out.line_buffering)


def _print_nowhere() -> None:
    """Let go of what can't be written, or Python complains of it as it ends."""
    with suppress(OSError, ValueError):
        nowhere = os.open(os.devnull, os.O_WRONLY)
        os.dup2(nowhere, sys.stdout.fileno())
        os.close(nowhere)


# ---- Ctrl-C --------------------------------------------------------------------------------------


class Stop:
    """What Ctrl-C does: the first stops the work, which may have to wind up; the next ends the process at once."""

    def __init__(self) -> None:
        self.asked = False

    def __call__(self, number: int, frame: FrameType | None) -> None:
        if self.asked:
            self._end()
        self.asked = True
        raise KeyboardInterrupt

    def install(self) -> None:
        """Do so from now on, to the end of the process."""
        with suppress(ValueError):  # not in the main thread: then Ctrl-C is not for us
            signal.signal(signal.SIGINT, self)

    def _end(self) -> NoReturn:
        from fabricsim.cli.shell.outputs import drop_drafts

        drop_drafts()
        with suppress(OSError, ValueError):
            if sys.stderr.isatty():
                os.write(2, b"\x1b[?25h\n")  # a bar may have hidden the cursor (ECMA-48, DECTCEM)
        os._exit(INTERRUPTED)
