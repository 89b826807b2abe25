"""Show how the files were understood: in words for a person, and as JSON."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from haulbook.exchange.cells import CellTrouble, is_missing, parse_count, parse_number
from haulbook.exchange.date_forms import read_date
from haulbook.exchange.propose import Proposal
from haulbook.exchange.propose_part import FileProposal, Word
from haulbook.exchange.propose_toml import proposal_toml
from haulbook.exchange.toml_keys import OPEN

_FIRST = 3
_NUMBERS = ("n", "n_unmeasured", "estimated", "dead")
_UNSHOWN = ("person", "remark")


def proposal_json(proposal: Proposal) -> dict[str, Any]:
    """Return the proposal as plain values: what was understood, the questions, and the map's text."""
    return {
        "pack": proposal.pack,
        "files": [_file_json(part) for part in proposal.files],
        "questions": [problem.as_json() for problem in proposal.questions],
        "notes": [problem.as_json() for problem in proposal.asked if problem.kind != "asked"],
        "map": proposal_toml(proposal),
    }


def proposal_words(proposal: Proposal) -> str:
    """Return the proposal in words, the questions last."""
    lines = [f"Pack: {proposal.pack or OPEN} ({proposal.pack_why})", ""]
    for part in proposal.files:
        lines += [*_file_words(part), ""]
    for title, kind in (("Worth knowing", "note"), ("To be said before the map is complete", "asked")):
        found = [problem for problem in proposal.asked if problem.kind == kind]
        if found:
            lines += [f"{title}:", *(f"  {i}. {problem}" for i, problem in enumerate(found, 1)), ""]
    return "\n".join(lines)


def _file_json(part: FileProposal) -> dict[str, Any]:
    table, key, date = part.draft.table, part.line("haul_from"), part.line("date")
    return {
        "file": table.file,
        "sheet": table.sheet,
        "role": part.role.role,
        "rows": part.role.rows,
        "why": part.role.why,
        "data_rows": len(table),
        "haul_from": list(key.value) if key else None,
        "date": date.value if date else None,
        "columns": {word.said: word.ours for word in _columns(part)},
        "taxa": [line.value for line in part.lines if line.key == "taxa"],
        "ignored": {word.said: word.why for word in _ignored(part)},
        "first": [{"row": row, "cells": dict(cells)} for row, cells in _first(part)],
    }


def _file_words(part: FileProposal) -> Iterator[str]:
    table = part.draft.table
    name = f"{table.file}, sheet {table.sheet}" if table.sheet else table.file
    yield f"{name}: {part.role.role} ({part.role.why}); {len(table)} rows"
    if part.role.role == "skip":
        return
    if key := part.line("haul_from"):
        yield f"  a haul is named by {' / '.join(key.value)}"
    yield f"  read: {', '.join(f'{word.said} as {word.ours}' for word in _columns(part)) or 'nothing'}"
    taxa = [line.value for line in part.lines if line.key == "taxa"]
    if taxa:
        yield f"  taxa side by side: {', '.join(taxa)}"
    if ignored := _ignored(part):
        yield f"  left out: {', '.join(word.said for word in ignored)}"
    for row, cells in _first(part):
        yield f"  row {row}: {' · '.join(f'{word} {value}' for word, value in cells)}"


def _columns(part: FileProposal) -> tuple[Word, ...]:
    return dict(part.tables).get("columns", ())


def _ignored(part: FileProposal) -> tuple[Word, ...]:
    line = part.line("ignore")
    return tuple(line.value) if line else ()


def _first(part: FileProposal) -> Iterator[tuple[int, list[tuple[str, Any]]]]:
    """Yield the first rows as understood, without people and remarks."""
    if part.role.role == "skip":
        return
    for i in range(min(_FIRST, len(part.draft.table))):
        yield int(part.draft.table.rows[i]), list(_cells(part, i))


def _cells(part: FileProposal, i: int) -> Iterator[tuple[str, Any]]:
    columns = part.draft.table.columns
    if day := _day(part, i):
        yield "date", day
    for word in _columns(part):
        text = columns[word.said][i].strip()
        if word.ours not in _UNSHOWN and not is_missing(text, _missing(part)):
            yield word.ours, _understood(part, word.ours, text)
    for line in part.lines:
        if line.key == "taxa" and not is_missing(columns[line.value][i], _missing(part)):
            yield line.value, _understood(part, "n", columns[line.value][i])


def _missing(part: FileProposal) -> tuple[str, ...]:
    line = part.line("missing")
    return tuple(line.value) if line else ()


def _understood(part: FileProposal, word: str, text: str) -> Any:
    if word in ("stage", "fate"):
        ours = {one.said: one.ours for one in dict(part.tables).get(f"{word}s", ())}
        return ours.get(text, text)
    if word in _NUMBERS:
        read: Any = parse_count(text)
    elif word in ("lat", "lon") or word.endswith(("_mm", "_cm", "_m", "_c")):
        read = parse_number(text)
    else:
        return text
    return f"{text} (not readable)" if isinstance(read, CellTrouble) else read


def _day(part: FileProposal, i: int) -> str | None:
    line, columns = part.line("date"), part.draft.table.columns
    if line is None:
        return None
    if parts := line.value.get("columns"):
        return "-".join(columns[heading][i].strip().zfill(2) for heading in parts)
    text = columns[line.value["column"]][i].strip()
    if not text or line.value["form"] in (OPEN, "yyyy"):
        return text or None
    day = read_date(text, line.value["form"])
    return f"{text} (not readable)" if isinstance(day, CellTrouble) else f"{day.day} {day:%B %Y}"
