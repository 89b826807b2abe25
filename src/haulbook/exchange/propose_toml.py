"""Write a proposed map as TOML: every guess with its reason beside it, every open point as a choice."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from glob import escape
from itertools import groupby
from pathlib import Path
from typing import Any

import tomlkit

from haulbook.exchange.propose import Proposal
from haulbook.exchange.propose_part import FileProposal, Line, Word
from haulbook.exchange.toml_keys import OPEN
from haulbook.problems import Refusal

HEAD = """\
# A sheet map as proposed from the files themselves. Every line says why; check it, it is yours to change.
# Where "?" stands a person has to say: nothing is read until then. Lines that begin with # are offers.
"""


def proposal_toml(proposal: Proposal) -> str:
    """Return the text of the map."""
    lines = [HEAD, _pair("pack", proposal.pack or OPEN, proposal.pack_why)]
    if any(problem.column == "default_fate" for problem in proposal.asked):
        lines += [
            "# What became of the animals? No column says it. Without this line every animal is unaccounted.",
            '# default_fate = "back"',
        ]
    parts = ["\n".join(lines) + "\n", *(_file(part) for part in proposal.files)]
    return "\n".join(parts)


def write_map(path: Path, proposal: Proposal) -> None:
    """Write the map; a file that has something in it is refused, since somebody may have answered in it."""
    if path.exists() and path.stat().st_size:
        raise Refusal(f"{path} exists and may hold answers; move it away or write the map to another name")
    try:
        path.write_text(proposal_toml(proposal), encoding="utf-8", newline="\n")
    except OSError as error:
        raise Refusal(f"{path} could not be written: {error.strerror}") from None


def _file(part: FileProposal) -> str:
    table, lines = part.draft.table, ["[[file]]", _pair("name", escape(part.draft.table.file))]
    if table.sheet is not None:
        lines.append(_pair("sheet", escape(table.sheet)))
    lines.append(_pair("role", part.role.role, part.role.why))
    if part.role.role != "skip":
        if part.role.rows:
            lines.append(_pair("rows", part.role.rows))
        if part.draft.header != 1:
            why = (
                "no headings: columns are called by their letter"
                if part.draft.header == 0
                else "the headings stand there"
            )
            lines.append(_pair("header", part.draft.header, why))
        lines += _settings(part.lines)
        for name, words in part.tables:
            lines += ["", f"[file.{name}]", *_words(words)]
        for no, words in part.sets:
            lines += ["", "[[file.set]]", _pair("no", no), "[file.set.columns]", *_words(words)]
    return "\n".join(lines) + "\n"


def _settings(lines: Iterable[Line]) -> list[str]:
    written: list[str] = []
    for key, group in groupby(lines, key=lambda line: line.key):
        found = list(group)
        if key in ("ignore", "taxa"):
            written += _list(key, found)
            continue
        for line in found:
            if line.off:
                written += [f"# {line.why}", f"# {_pair(key, line.value)}"]
            else:
                written += [_pair(key, line.value, line.why), *(f"#   {choice}" for choice in line.choices)]
    return written


def _list(key: str, lines: list[Line]) -> list[str]:
    words = lines[0].value if key == "ignore" else [Word(line.value, None, line.why) for line in lines]
    rows = [f"    {_text(word.said)},{_comment(word.why)}" for word in words]
    return [f"{key} = [", *rows, "]"]


def _words(words: Iterable[Word]) -> list[str]:
    return [_pair(word.said, word.ours, word.why) for word in words]


def _pair(key: str, value: Any, why: str = "") -> str:
    return f"{tomlkit.key(key).as_string()} = {_text(value)}{_comment(why)}"


def _text(value: Any) -> str:
    if isinstance(value, Mapping):
        inner = ", ".join(f"{key} = {_text(one)}" for key, one in value.items())
        return f"{{{inner}}}"
    if isinstance(value, (list, tuple)):
        return f"[{', '.join(map(_text, value))}]"
    return str(tomlkit.item(value).as_string())


def _comment(why: str) -> str:
    return f"  # {' '.join(why.split())}" if why else ""
