"""The browser's modules put together to one script, for a page that must hold all it needs."""

from __future__ import annotations

import posixpath
import re
from collections import Counter
from importlib.resources import files

_IMPORT = re.compile(r'^import \{[^}]*\} from "([^"]+)";\n', re.MULTILINE)
_MADE = re.compile(r"^(?:export )?(?:async )?(?:const|let|class|function) (\w+)", re.MULTILINE)
_EXPORT = re.compile(r"^export ", re.MULTILINE)


def one_script(module: str) -> str:
    """Return the script of a ``module``, such as ``alone/page.js``, and of all that it imports, before who needs it.

    Only what our modules do is understood: names imported in braces, exports where they are made. They come to share
    one scope, so no name may be made twice: ``ValueError`` if one is.
    """
    modules: dict[str, str] = {}
    _gather(module, modules)
    twice = [name for name, many in Counter(_MADE.findall("\n".join(modules.values()))).items() if many > 1]
    if twice:
        raise ValueError(f"made in several modules: {', '.join(sorted(twice))}")
    return '(function () {\n"use strict";\n' + "\n".join(modules.values()) + "}());\n"


def _gather(module: str, modules: dict[str, str]) -> None:
    """Add a module to those found, after those that it imports."""
    text = (files("fabricsim.render.browser") / module).read_text(encoding="utf-8")
    for needed in _IMPORT.findall(text):
        path = posixpath.normpath(posixpath.join(posixpath.dirname(module), needed))
        if path not in modules:
            _gather(path, modules)
    modules[module] = _EXPORT.sub("", _IMPORT.sub("", text))
