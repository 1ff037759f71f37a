"""Compiled code: found where it was built, left aside where it is not wanted, an error where it is required."""

from __future__ import annotations

import os
import subprocess
import sys
from types import ModuleType

import pytest

from fabricsim.built import SWITCH, built
from fabricsim.mechanics import compiled
from fabricsim.render.trace import depth_buffer

MODULES = [compiled, depth_buffer]
"""Those that have something compiled beside them."""


def load(module: ModuleType) -> object:
    return built(str(module.__file__), module.LIBRARY, module._fits)


@pytest.mark.parametrize("module", MODULES)
def test_a_library_of_another_layout_is_left_aside(module: ModuleType, monkeypatch: pytest.MonkeyPatch) -> None:
    if module.LOADED is None:
        pytest.skip("no compiler was at hand, or it is switched off")
    monkeypatch.setenv(SWITCH, "")
    assert load(module) is not None
    monkeypatch.setattr(module, "LAYOUT", module.LAYOUT + 1)
    assert load(module) is None


@pytest.mark.parametrize("module", MODULES)
def test_its_absence_is_an_error_where_it_is_required(module: ModuleType, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(module, "LIBRARY", "_of_nowhere")
    monkeypatch.setenv(SWITCH, "")
    assert load(module) is None
    monkeypatch.setenv(SWITCH, "required")
    with pytest.raises(ImportError, match="FABRICSIM_COMPILED=required"):
        load(module)


@pytest.mark.parametrize("module", MODULES)
def test_it_can_be_switched_off(module: ModuleType) -> None:
    code = f"from {module.__name__} import LOADED; assert LOADED is None"
    subprocess.run([sys.executable, "-c", code], env={**os.environ, SWITCH: "no"}, check=True)
