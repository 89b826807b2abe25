"""The shell of the shore page: every file that a phone keeps so that the page opens without a signal.

The list stands in one place. The station answers ``shell.json`` with it, and the page's worker keeps a copy of what
it names under its digest: any changed byte is a new shell. The modules go along as one script.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from hashlib import sha256
from importlib.resources import files
from importlib.resources.abc import Traversable
from typing import Any

from haulbook.shore.one_script import one_script

PAGE = "./"
"""Address of the page itself, beside ``index.html``."""

WORKER = "sw.js"
"""The worker: the browser keeps it by itself, and it keeps the rest."""

SCRIPT = "page.js"
"""All modules as one; they stay beside it, each at its own address, for who looks for a mistake."""

_FIRST = "screen/main.js"


@dataclass(frozen=True, slots=True)
class Shell:
    """What a phone keeps.

    Attributes
    ----------
    digest : str
        SHA-256 over names and bytes.
    files : tuple of str
        Addresses relative to the page, sorted; the page itself first.
    """

    digest: str
    files: tuple[str, ...]

    def as_json(self) -> dict[str, Any]:
        """Return the content of ``shell.json``."""
        return {"digest": self.digest, "files": list(self.files)}


@cache
def page_files() -> Mapping[str, bytes]:
    """Return the files of the page folder by address, the worker and the one script among them."""
    found = dict(_walk(files("haulbook.shore").joinpath("page"), ""))
    modules = {address: content.decode() for address, content in found.items() if _is_module(address)}
    return {**found, SCRIPT: one_script(modules, _FIRST).encode()}


def shell(beside: Mapping[str, bytes]) -> Shell:
    """Return the shell of the page folder and of what the station serves beside it.

    Parameters
    ----------
    beside : mapping of address to bytes
        ``tokens.css`` and ``silhouettes.svg``, as they are served.
    """
    here = {address: content for address, content in page_files().items() if not _is_module(address)}
    kept = {**here, **beside}
    total = sha256()
    for address in sorted(kept):
        total.update(f"{address}\n{len(kept[address])}\n".encode())
        total.update(kept[address])
    return Shell(total.hexdigest(), (PAGE, *sorted(kept.keys() - {WORKER, "index.html"})))


def sprite(drawings: Mapping[str, str]) -> str:
    """Return drawings as one sheet, each a symbol ``plan-NAME`` in the ink of the text around its use.

    Parameters
    ----------
    drawings : mapping of name to SVG text
        Each with a ``viewBox``; titles are left out, since words stand beside every drawing on the page.
    """
    symbols = "".join(_symbol(name, text) for name, text in drawings.items())
    return f'<svg xmlns="http://www.w3.org/2000/svg" width="0" height="0">{symbols}</svg>\n'


def _is_module(address: str) -> bool:
    return address.endswith(".js") and address not in (WORKER, SCRIPT)


def _symbol(name: str, text: str) -> str:
    box = re.search(r'viewBox="([^"]+)"', text)
    inside = re.sub(
        r"<title>.*?</title>", "", text[text.index(">", text.index("<svg")) + 1 : text.rindex("</svg>")]
    )
    view = f' viewBox="{box.group(1)}"' if box else ""
    return f'<symbol id="plan-{name}"{view} fill="currentColor">{inside.strip()}</symbol>'


def _walk(folder: Traversable, prefix: str) -> list[tuple[str, bytes]]:
    found: list[tuple[str, bytes]] = []
    for one in sorted(folder.iterdir(), key=lambda each: each.name):
        if one.is_dir():
            found += _walk(one, f"{prefix}{one.name}/")
        elif not one.name.startswith("."):
            found.append((f"{prefix}{one.name}", one.read_bytes()))
    return found
