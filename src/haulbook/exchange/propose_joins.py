"""Find which columns together name a haul in every file, and which keys have no partner in another file."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from haulbook.exchange.cells import CellTrouble
from haulbook.exchange.date_forms import date_text
from haulbook.exchange.headings import reduced
from haulbook.exchange.propose_columns import IGNORE, Draft
from haulbook.problems import nearest

SITE, DATE, HAUL, HAUL_NO = "site", "date", "haul", "haul_no"
Key = tuple[str, ...]
_SHORTEST_MISSPELT = 4


@dataclass(frozen=True, slots=True)
class Unmatched:
    """Keys of one file without partner in the hauls file: the part that is not there, and its nearest."""

    part: str
    value: str
    rows: int
    nearest: str | None


def alias_sites(drafts: list[Draft]) -> list[Draft]:
    """Find the site in files that head it otherwise: most of its texts are sites of another file."""
    known = {
        text.casefold()
        for draft in drafts
        if (g := draft.of(SITE))
        for text in draft.profiles[g.heading].values
    }
    return [_with_site(draft, known) for draft in drafts]


def _with_site(draft: Draft, known: set[str]) -> Draft:
    if not known or SITE in draft.words or not draft.words & {DATE, "year"}:
        return draft
    for guess in draft.all_of(IGNORE):
        profile = draft.profiles[guess.heading]
        if not profile.small_numbers and profile.share(lambda said: said.casefold() in known) >= 0.8:
            return draft.instead(guess.heading, SITE, "its cells are the sites of another file")
    return draft


def key_of(bearers: list[Draft], hauls: Draft | None) -> Key:
    """Return the parts that together name a haul in all the files that bear hauls.

    Parts are ``haul``, ``haul_no``, ``site``, ``date``, or ``=heading`` (reduced) for a column that all the
    files share under that heading. An identifier alone is enough where each of its values has one day and one
    site; numbers such as 1, 2, 3 never are, where a day or site stands beside them.
    """
    shared = [part for part in (SITE, DATE, HAUL, HAUL_NO) if all(_has(draft, part) for draft in bearers)]
    if HAUL in shared and all(_is_identifier(draft) for draft in bearers):
        return (HAUL,)
    key = [*shared]
    if hauls is not None and len(bearers) > 1:
        extras = [f"={name}" for name in _shared_headings(bearers)]
        key = [*extras, *shared]
        for extra in extras:
            fewer = tuple(part for part in key if part != extra)
            if fewer and _unique(hauls, fewer) >= _unique(hauls, tuple(key)):
                key = list(fewer)
    return tuple(key)


def headings_of(draft: Draft, key: Key) -> tuple[str, ...] | None:
    """Return the key's parts as ``haul_from`` names them in this file, in the order of its columns.

    None where the file lacks one of them.
    """
    if not all(_has(draft, part) for part in key):
        return None
    found = {part: _heading(draft, part) for part in key}
    order = list(draft.table.columns)
    fixed = {heading: order.index(heading) for heading in found.values() if heading in order}
    day = _day_headings(draft)
    place = {DATE: min((order.index(h) for h in day), default=0), "set": len(order)}
    return tuple(sorted(found.values(), key=lambda heading: fixed.get(heading, place.get(heading, 0))))


def keys_in(draft: Draft, key: Key) -> Mapping[tuple[str, ...], int]:
    """Return every key of a file with its number of rows; sets side by side in a row have one each."""
    sets = _set_numbers(draft) if HAUL_NO in key else ()
    plain = tuple(part for part in key if not (part == HAUL_NO and sets))
    parts = [_part(draft, part) for part in plain]
    row, rows = _combinations([codes for _, codes in parts])
    found: Counter[tuple[str, ...]] = Counter()
    for i, n in zip(row.tolist(), rows.tolist(), strict=True):
        said = {part: labels[codes[i]] for part, (labels, codes) in zip(plain, parts, strict=True)}
        for number in sets or ("",):
            found[tuple(said.get(part, number) for part in key)] += n
    return found


def _combinations(codes: list[NDArray[np.int32]]) -> tuple[NDArray[np.int64], NDArray[np.int64]]:
    """Return the first row of each combination of codes, and on how many rows it stands."""
    together = codes[0].astype(np.int64)
    for more in codes[1:]:
        together = np.unique(together * (int(more.max(initial=0)) + 1) + more, return_inverse=True)[
            1
        ].reshape(-1)
    _, row, rows = np.unique(together, return_index=True, return_counts=True)
    return row, rows


def unmatched(catch: Draft, hauls: Draft, key: Key) -> tuple[Unmatched, ...]:
    """Return what stands in the catch and has no haul, gathered by the part of the key that is odd."""
    known = keys_in(hauls, key)
    parts_known = [{haul[i] for haul in known} for i in range(len(key))]
    gathered: Counter[tuple[str, str]] = Counter()
    for said, rows in keys_in(catch, key).items():
        if said not in known:
            odd = next((i for i, text in enumerate(said) if text not in parts_known[i]), None)
            part, value = (key[odd], said[odd]) if odd is not None else ("/".join(key), "/".join(said))
            gathered[part, value] += rows
    return tuple(
        Unmatched(part, value, rows, _nearest(value, parts_known[key.index(part)]) if part in key else None)
        for (part, value), rows in gathered.items()
    )


def without_catch(catches: Iterable[Draft], hauls: Draft, key: Key) -> tuple[tuple[str, ...], ...]:
    """Return the hauls that no catch file has a row for."""
    caught = {said for catch in catches for said in keys_in(catch, key)}
    return tuple(said for said in keys_in(hauls, key) if said not in caught)


def twice(hauls: Draft, key: Key) -> tuple[tuple[str, ...], ...]:
    """Return the keys that stand on more than one row of the hauls file."""
    return tuple(said for said, rows in keys_in(hauls, key).items() if rows > 1)


def _nearest(value: str, known: set[str]) -> str | None:
    if len(value) < _SHORTEST_MISSPELT or value.replace("-", "").isdecimal():
        return None  # every number is like some other
    return next(iter(nearest(value, known)), None)


def _has(draft: Draft, part: str) -> bool:
    if part == HAUL_NO and _set_numbers(draft):
        return True
    if part == DATE:
        return bool(_day_headings(draft))
    if part.startswith("="):
        return any(reduced(guess.heading) == part[1:] for guess in draft.guesses)
    return draft.of(part) is not None


def _is_identifier(draft: Draft) -> bool:
    guess = draft.of(HAUL)
    if guess is None:
        return False
    named_so = guess.said.split()[-1:] in (["id"], ["key"], ["code"])
    if draft.profiles[guess.heading].small_numbers and not named_so:
        return not _has(draft, DATE) and not _has(draft, SITE)
    others = tuple(part for part in (DATE, SITE) if _has(draft, part))
    return all(_unique(draft, (HAUL, part)) == _unique(draft, (HAUL,)) for part in others)


def _unique(draft: Draft, key: Key) -> int:
    return len(keys_in(draft, key))


def _shared_headings(bearers: list[Draft]) -> list[str]:
    """Return reduced headings of columns nobody knew that stand in every file, with texts in common."""
    found = [{reduced(g.heading): g.heading for g in draft.all_of(IGNORE)} for draft in bearers]
    shared = [name for name in found[0] if all(name in other for other in found[1:])]
    return [
        name
        for name in shared
        if set.intersection(
            *(set(draft.profiles[names[name]].values) for draft, names in zip(bearers, found, strict=True))
        )
    ]


def _day_headings(draft: Draft) -> tuple[str, ...]:
    if date := draft.of(DATE):
        return (date.heading,)
    parts = [guess.heading for word in ("year", "month", "day") if (guess := draft.of(word))]
    return tuple(parts) if len(parts) == 3 or (parts and draft.of("year")) else ()


def _set_numbers(draft: Draft) -> tuple[str, ...]:
    return tuple(dict.fromkeys(guess.set_no for guess in draft.guesses if guess.set_no))


def _heading(draft: Draft, part: str) -> str:
    if part == DATE:
        return DATE
    if part == HAUL_NO and _set_numbers(draft):
        return "set"
    if part.startswith("="):
        return next(g.heading for g in draft.guesses if reduced(g.heading) == part[1:])
    guess = draft.of(part)
    return guess.heading if guess else part


def _part(draft: Draft, part: str) -> tuple[list[str], NDArray[np.int32]]:
    """Return the texts of one part of the key and which of them stands in each row."""
    if part != DATE:
        column = draft.table.columns[_heading(draft, part)]
        return [text.strip() for text in column.values], column.codes
    headings = _day_headings(draft)
    columns = [draft.table.columns[heading] for heading in headings]
    if len(columns) == 1:
        forms = draft.profiles[headings[0]].date_forms
        return [_day_label(text, forms) for text in columns[0].values], columns[0].codes
    together, codes = np.unique(np.stack([column.codes for column in columns]), axis=1, return_inverse=True)
    labels = [
        "-".join(column.values[code].strip().zfill(2) for column, code in zip(columns, combo, strict=True))
        for combo in together.T.tolist()
    ]
    return labels, codes.reshape(-1).astype(np.int32)


def _day_label(text: str, forms: tuple[str, ...]) -> str:
    day = date_text(text, forms[0]) if forms and text.strip() else text.strip()
    return text.strip() if isinstance(day, CellTrouble) else day
