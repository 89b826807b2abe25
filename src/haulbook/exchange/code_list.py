"""Code lists: what a recorder's code stands for, and which codes of a catch stand in no list."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass, field

from haulbook.exchange.findings import Findings
from haulbook.exchange.joins import nearest_key, places_by_code
from haulbook.exchange.sheet_catch import NO_NAME, Catch, State
from haulbook.exchange.sheet_map import FileMap
from haulbook.exchange.table import Table


@dataclass(frozen=True, slots=True)
class Code:
    """What a code stands for.

    Attributes
    ----------
    names : tuple of str
        Ways to say it, likeliest to be known first: scientific name, common name, higher group.
    members : tuple of str
        Scientific names of a group's members, where the list gives them.
    """

    names: tuple[str, ...]
    members: tuple[str, ...] = ()


@dataclass(slots=True)
class CodeList:
    """All codes of all lists that were handed in."""

    codes: dict[str, Code] = field(default_factory=dict)

    def add(self, more: Mapping[str, Code]) -> None:
        """Take another list; the first meaning of a code holds."""
        self.codes = {**more, **self.codes}

    def names_of(self, written: str) -> tuple[str, ...]:
        """Return what to look up for a name as written: what its code stands for, or itself."""
        code = self.codes.get(written.strip())
        return code.names if code and code.names else (written,)


def codes_of(table: Table, part: FileMap, findings: Findings) -> dict[str, Code]:
    """Return the codes of a table; one that stands twice with another meaning is told."""
    cells = {word: [table.columns[h] for h, said in part.columns.items() if said == word] for word in (
        "code", "name", "scientific", "higher", "members")}  # fmt: skip
    found: dict[str, Code] = {}
    for i, row in enumerate(table.rows.tolist()):
        said = {
            word: " ".join(" ".join(column[i].split()) for column in columns).strip()
            for word, columns in cells.items()
        }
        code = said["code"] or said["name"]
        names = tuple(dict.fromkeys(n for n in (said["scientific"], said["name"], said["higher"]) if n))
        members = tuple(member.replace("_", " ") for member in said["members"].split())
        if code and (group := _group(members, said)):
            findings.tell(
                "note",
                f"code {code!r} stands for {group}: no species of its own when taxa are counted",
                table,
                row,
            )
        if code and found.setdefault(code, Code(names, members)) != Code(names, members):
            findings.tell(
                "altered",
                f"code {code!r} stands here again with another meaning; the first is kept",
                table,
                row,
            )
    return found


def _group(members: tuple[str, ...], said: Mapping[str, str]) -> str:
    """Return in words which group a code stands for, "" for a species."""
    if members:
        return f"a group of {len(set(members))}"
    if said["higher"] and not said["scientific"]:
        return f"more than a species ({said['higher']})"
    return "more than a species" if re.search(r"\b(?:spp?|unid\w*)\b\.?", said["scientific"], re.I) else ""


def tell_unlisted(catches: Iterable[Catch], codes: CodeList, findings: Findings) -> None:
    """Ask about each name of a catch that stands in no code list, where any was handed in."""
    if not codes.codes:
        return
    listed = list(codes.codes)
    spelt = {name.casefold() for code in codes.codes.values() for name in code.names}
    strange: dict[str, tuple[Catch, list[int]]] = {}
    for catch in catches:
        for name, rows in _rows_of(
            catch, lambda name: name not in codes.codes and name.casefold() not in spelt
        ):
            strange.setdefault(name, (catch, []))[1].extend(rows)
    for name, (catch, rows) in strange.items():
        near = nearest_key(name, listed)
        hint = f" The nearest there is {near!r}." if near else ""
        ask = (
            f"{name!r} stands on {len(rows)} rows and in no code list.{hint} Which taxon is it? "
            "Answer with its key in the pack. Until then it stays a taxon of its own."
        )
        findings.ask("name", name, rows, ask, catch.table, catch.part.heading_of("name"))


def _rows_of(catch: Catch, wanted: Callable[[str], bool]) -> Iterator[tuple[str, list[int]]]:
    """Yield each wanted name of a catch as written, with the rows on which animals have it."""
    names = catch.name.values
    codes = [code for code, name in enumerate(names) if name != NO_NAME and wanted(name.strip())]
    for code, places in places_by_code(catch.name.codes, codes).items():
        at = places[catch.state[places] <= State.PRESENT]
        if len(at):
            yield names[code], [catch.row(i) for i in at.tolist()]
