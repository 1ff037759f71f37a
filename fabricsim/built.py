"""Compiled code that is built along with the package where there is a C compiler, and called through ctypes.

``FABRICSIM_COMPILED=no`` leaves all of it out, ``FABRICSIM_COMPILED=required`` makes it an error that it is missing.
"""

from __future__ import annotations

import ctypes
import os
from collections.abc import Callable
from importlib.machinery import EXTENSION_SUFFIXES
from pathlib import Path

SWITCH = "FABRICSIM_COMPILED"


def built(beside: str, name: str, fits: Callable[[ctypes.CDLL], bool]) -> ctypes.CDLL | None:
    """Return the library ``name`` that ``setup.py`` built beside a module's file; None where there is none, or it isn't
    wanted.

    ``fits`` is handed a library, says what its functions take, and returns whether it was built for what is handed
    over. Raises ImportError where one is required and missing.
    """
    wish = os.environ.get(SWITCH, "")
    if wish == "no":
        return None
    for suffix in EXTENSION_SUFFIXES:
        try:
            library = ctypes.CDLL(str(Path(beside).with_name(name + suffix)))
            if not fits(library):
                continue
        except (OSError, AttributeError):  # built for another machine, or not by us
            continue
        return library
    if wish == "required":
        raise ImportError(f"{SWITCH}=required, but there is no compiled {name} beside {beside}")
    return None
