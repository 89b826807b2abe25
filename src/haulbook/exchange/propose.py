"""Propose a sheet map for somebody's files: what was understood, why, and what has to be asked."""

from __future__ import annotations

import re
import zoneinfo
from collections.abc import Sequence
from dataclasses import dataclass, field
from glob import escape
from pathlib import Path

from haulbook.exchange.cells import parse_count, parse_number
from haulbook.exchange.headings import meaning_of
from haulbook.exchange.profile import Profile
from haulbook.exchange.propose_columns import Draft, draft_of, known_names, spaced
from haulbook.exchange.propose_file import file_proposal
from haulbook.exchange.propose_joins import alias_sites, key_of, twice, unmatched, without_catch
from haulbook.exchange.propose_part import FileProposal
from haulbook.exchange.propose_roles import RoleGuess, roles_of
from haulbook.exchange.table import Table, read_tables
from haulbook.problems import Problem, Refusal, unknown
from haulbook.taxa import PACKS, Pack, load_pack
from haulbook.taxa.names import resolve

_LATEST_HEADER = 6
_KNOWN_ENOUGH = 2  # usual headings that make a row one of headings


@dataclass(frozen=True)
class Proposal:
    """A proposed map.

    Attributes
    ----------
    pack : str or None
        None where neither pack knows clearly more of the names.
    pack_why : str
    files : tuple of FileProposal
        One a file, or a sheet of a workbook.
    asked : tuple of Problem
        Everything a person has to say, kind ``asked``; and what is only worth knowing, kind ``note``.
    """

    pack: str | None
    pack_why: str
    files: tuple[FileProposal, ...]
    asked: tuple[Problem, ...] = field(default=())

    @property
    def questions(self) -> tuple[Problem, ...]:
        """What a person has to say."""
        return tuple(problem for problem in self.asked if problem.kind == "asked")


def propose(paths: Sequence[Path], pack: str | None = None, zone: str | None = None) -> Proposal:
    """Propose a sheet map.

    Parameters
    ----------
    paths : sequence of Path
        Files of one season, site or outing that belong together.
    pack : str or None
        Key of the pack; found from the names where not said.
    zone : str or None
        IANA zone of the clock that the times were read from; asked where not said and needed.

    Raises
    ------
    Refusal
        Where a file can't be read as a table at all, or there is no such pack or zone.
    """
    if zone is not None and zone not in zoneinfo.available_timezones():
        raise Refusal(unknown("time zone", zone, zoneinfo.available_timezones()))
    tables = [found for path in paths for found in _tables(path)]
    chosen, why, asked = _pack(tables, pack)
    drafts = alias_sites([draft_of(table, chosen, header) for table, header in tables])
    roles = roles_of(drafts)
    roles = [_not_again(i, drafts, roles) for i in range(len(drafts))]
    bearers = [
        d for d, r in zip(drafts, roles, strict=True) if r.role in ("catch", "hauls", "lengths", "effort")
    ]
    hauls = next((d for d, r in zip(drafts, roles, strict=True) if r.role in ("hauls", "effort")), None)
    key = key_of(bearers, hauls) if bearers else ()
    files = tuple(file_proposal(d, r, key, zone) for d, r in zip(drafts, roles, strict=True))
    catches = [d for d, r in zip(drafts, roles, strict=True) if r.role == "catch"]
    asked = (
        *asked,
        *(
            ()
            if catches
            else (
                Problem(
                    "asked", "no file is read as a catch: its role says why; change it if it holds animals"
                ),
            )
        ),
        *_fate(catches),
        *(problem for file in files for problem in file.asked),
        *(_lonely(catches, hauls, key) if hauls is not None and key else ()),
    )
    return Proposal(chosen.key if not any(p.column == "pack" for p in asked) else None, why, files, asked)


def _tables(path: Path) -> list[tuple[Table, int]]:
    """Return the tables of one file, each read with its headings where they seem to stand."""
    try:
        tables = read_tables(path)
    except Refusal:
        return _later_header(path, None)
    found: list[tuple[Table, int]] = []
    for table in tables:
        if _is_data(table.headings):
            found += [(again, 0) for again in read_tables(path, sheet=_only(table.sheet), header=0)]
        elif _known(table) < _KNOWN_ENOUGH:
            found += _later_header(path, table)
        else:
            found.append((table, 1))
    return found


def _only(sheet: str | None) -> str | None:
    return None if sheet is None else escape(sheet)


def _is_data(headings: Sequence[str]) -> bool:
    """Return whether what stands in the first row can't be headings: numbers, and no word of the trade."""
    bare = [re.sub(r" \(column [A-Z]+\)$", "", heading) for heading in headings]
    return not any(map(meaning_of, bare)) and any(
        isinstance(parse_number(heading), float) for heading in bare
    )


def _known(table: Table) -> int:
    """Return how many headings are usual ones."""
    return sum(meaning_of(heading) is not None for heading in table.headings)


def _later_header(path: Path, first: Table | None) -> list[tuple[Table, int]]:
    """Look for the headings further down: the first row with at least two words of the trade."""
    refused: Refusal | None = None
    for header in range(2, _LATEST_HEADER + 1):
        try:
            tables = read_tables(path, sheet=_only(first.sheet) if first else None, header=header)
        except Refusal as refusal:
            refused = refused or refusal
            continue
        if all(_known(table) >= _KNOWN_ENOUGH for table in tables):
            return [(table, header) for table in tables]
    if first is None and refused is not None:
        raise refused
    return [(first, 1)] if first is not None else []


def _pack(tables: Sequence[tuple[Table, int]], said: str | None) -> tuple[Pack, str, tuple[Problem, ...]]:
    """Return the pack that knows clearly more of the names, and a question where none does."""
    if said is not None:
        return load_pack(said), "as said with --pack", ()
    known = {
        key: sum(_names_known(table, header, load_pack(key)) for table, header in tables) for key in PACKS
    }
    best, second = sorted(known, key=lambda key: -known[key])[:2]
    words = ", ".join(f"{key} {known[key]}" for key in PACKS)
    if known[best] > 1.3 * known[second]:
        return load_pack(best), f"knows most of the names ({words})", ()
    asked = Problem("asked", f"which pack? Both know about as many of the names ({words})", column="pack")
    return load_pack(best), f"which one? Both know about as many of the names ({words})", (asked,)


def _names_known(table: Table, header: int, pack: Pack) -> int:
    n = 0
    for heading, column in table.columns.items():
        meaning = meaning_of(heading)
        profile = Profile(column)
        if (meaning and meaning.word in ("name", "scientific")) or (header == 0 and profile.counts < 0.2):
            n += round(known_names(profile, pack) * min(len(profile.values), 120))
    headings = table.headings if header else ()
    return n + round(sum(resolve(spaced(heading), pack).certain for heading in headings))


def _not_again(i: int, drafts: Sequence[Draft], roles: Sequence[RoleGuess]) -> RoleGuess:
    """Leave out a catch sheet that is the sum of its sister sheets: it would count everything twice."""
    if roles[i].role != "catch" or drafts[i].table.sheet is None:
        return roles[i]
    sisters = [
        j
        for j, (draft, role) in enumerate(zip(drafts, roles, strict=True))
        if j != i and role.role == "catch" and draft.table.file == drafts[i].table.file
        and draft.table.headings == drafts[i].table.headings
    ]  # fmt: skip
    if len(sisters) >= 2 and _animals(drafts[i]) == sum(_animals(drafts[j]) for j in sisters) > 0:
        return RoleGuess(
            "skip", "its animals are the sum of the other sheets: reading both would count them twice"
        )
    return roles[i]


def _animals(draft: Draft) -> int:
    number = draft.of("n")
    if number is None:
        return 0
    profile = draft.profiles[number.heading]
    pairs = zip(profile.column.values, profile.rows_of, strict=True)
    return sum(n * rows for text, rows in pairs if isinstance(n := parse_count(text), int))


def _fate(catches: Sequence[Draft]) -> tuple[Problem, ...]:
    if not catches or any("fate" in draft.words for draft in catches):
        return ()
    message = (
        "no column says what became of the animals: say default_fate in the map "
        '("back" if all went back alive); without it every animal is unaccounted'
    )
    return (Problem("asked", message, column="default_fate"),)


def _lonely(catches: Sequence[Draft], hauls: Draft, key: tuple[str, ...]) -> tuple[Problem, ...]:
    """Say which keys of the catch have no haul, and which hauls have no catch."""
    problems = []
    for catch in catches:
        if catch is hauls:
            continue
        for odd in unmatched(catch, hauls, key):
            near = f"; the nearest there is {odd.nearest!r}" if odd.nearest else ""
            what = f"{odd.part.lstrip('=')} {odd.value!r} ({_many(odd.rows)})"
            message = f"{what} has no haul in {hauls.table.file}{near}"
            problems.append(Problem("asked", message, catch.table.file, catch.table.sheet))
    if hauls not in catches and (repeated := twice(hauls, key)):
        message = (
            f"{_many(len(repeated), 'haul')} on more than one row ({_shown(repeated)}): is their key whole?"
        )
        problems.append(Problem("asked", message, hauls.table.file, hauls.table.sheet))
    empty = without_catch(catches, hauls, key)
    if empty:
        message = f"{_many(len(empty), 'haul')} without a row in the catch ({_shown(empty)}): empty, or not entered?"
        problems.append(Problem("note", message, hauls.table.file, hauls.table.sheet))
    return tuple(problems)


def _shown(hauls: Sequence[tuple[str, ...]]) -> str:
    return ", ".join("/".join(haul) for haul in hauls[:5]) + (" ..." if len(hauls) > 5 else "")


def _many(n: int, what: str = "row") -> str:
    return f"{n} {what}" if n == 1 else f"{n} {what}s"
