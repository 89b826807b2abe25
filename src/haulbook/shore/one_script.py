"""The page's modules as one script: a phone starts on one file, where a hundred would each ask its worker.

The modules keep to a part of the language that this reads exactly: imports by name or as a whole, exports of
functions, classes and constants where they are made, no circles. Anything else is refused, never guessed at.
"""

from __future__ import annotations

import posixpath
import re
from collections.abc import Mapping

_IMPORT = re.compile(r'^import (?:\* as (\w+)|\{([^}]*)\}) from "([^"]+)";\n', re.M)
_PASSED_ON = re.compile(r'^export \{([^}]*)\}(?: from "([^"]+)")?;\n', re.M)
_EXPORT = re.compile(r"^export (?=(?:(?:async )?function\*?|class|const) (\w+))", re.M)
_LEFT = re.compile(r"^(?:import|export)\b.*|^(?!\s*[*/]).*\bimport(?:\(|\.meta).*", re.M)


def one_script(modules: Mapping[str, str], first: str) -> str:
    """Return one script that does what a module and all that it imports do, in the order in which they would run.

    Parameters
    ----------
    modules : mapping of address to text
        Every module that may be imported; addresses relative to the page, as ``screen/main.js``.
    first : str
        Address of the module that the page starts with.

    Raises
    ------
    ValueError
        A module that is not there, a circle of imports, an import or export that this does not read.
    """
    parts: dict[str, str] = {}
    _add(modules, first, parts, ())
    return "const modules = {};\n" + "".join(parts.values())


def _add(modules: Mapping[str, str], address: str, parts: dict[str, str], above: tuple[str, ...]) -> None:
    if address in above:
        raise ValueError(f"{' imports '.join([*above, address])}: a circle")
    if address not in modules:
        raise ValueError(f"{above[-1]} imports {address}, which is not there")
    given: list[str] = []

    def module(target: str) -> str:
        found = posixpath.normpath(posixpath.join(posixpath.dirname(address), target))
        if found not in parts:
            _add(modules, found, parts, (*above, address))
        return f'modules["{found}"]'

    def imported(match: re.Match[str]) -> str:
        whole, names, target = match.groups()
        taken = whole or "{ " + names.replace(" as ", ": ").strip() + " }"
        return f"const {taken} = {module(target)};\n"

    def passed_on(match: re.Match[str]) -> str:
        names = [name.strip() for name in match[1].split(",")]
        given.extend(f"{name}: {module(match[2])}.{name}" if match[2] else name for name in names)
        return ""

    def exported(match: re.Match[str]) -> str:
        given.append(match[1])
        return ""

    text = _EXPORT.sub(exported, _PASSED_ON.sub(passed_on, _IMPORT.sub(imported, modules[address])))
    if left := _LEFT.search(text):
        raise ValueError(f"{address} has {left[0]!r}: write it as the other modules do")
    parts[address] = (
        f'modules["{address}"] = (() => {{ // {address}\n{text}return {{ {", ".join(given)} }};\n}})();\n'
    )
