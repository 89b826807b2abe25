"""Haul keys of one file met with those of another: what has no partner is asked, never joined by likeness."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping, Sequence

import numpy as np
from numpy.typing import NDArray

from haulbook.exchange.coding import Coded, Codes, merged
from haulbook.exchange.findings import Findings
from haulbook.exchange.table import Table

OWN = "own"
"""Answer to a key without partner: it is a haul of its own."""

_LIKE_ENOUGH = 75  # of 100; below, a suggestion would only mislead


def places_by_code(codes: Codes, wanted: Iterable[int]) -> Mapping[int, NDArray[np.int64]]:
    """Return for each wanted code the places where it stands, with one sort for all of them."""
    wanted = sorted(set(wanted))
    if not wanted:
        return {}
    at = np.flatnonzero(np.isin(codes, wanted))
    order = at[np.argsort(codes[at], kind="stable")]
    bounds = np.searchsorted(codes[order], [*wanted, wanted[-1] + 1])
    return {code: order[bounds[i] : bounds[i + 1]] for i, code in enumerate(wanted)}


def nearest_key(key: str, known: Sequence[str]) -> str | None:
    """Return the known key most like ``key``, the first of equals; None where none is like it."""
    from rapidfuzz import fuzz, process

    found = process.extractOne(key, known, scorer=fuzz.ratio, score_cutoff=_LIKE_ENOUGH)
    return found[0] if found else None


def settle_keys(
    haul: Coded, known: Collection[str], free: Collection[str], table: Table, findings: Findings, what: str
) -> Coded:
    """Ask about each haul key that has no partner, and rename those that somebody answered.

    Parameters
    ----------
    haul : Coded
        Key of each row's haul in ``table``.
    known : collection of str
        Keys of the other file.
    free : collection of str
        Those among which the nearest is looked for.
    what : str
        What follows while nobody answers, as "its animals count as a haul of their own".
    """
    strange = [code for code, key in enumerate(haul.values) if key and key not in known]
    if not strange:
        return haul
    places = places_by_code(haul.codes, strange)
    strange = [code for code in strange if len(places[code])]
    if len(strange) > 3 and not any(key in known for key in haul.values):
        _none_fits(haul.values[strange[0]], len(strange), min(known, default=None), table, findings)
        return haul
    names, nearby = list(haul.values), sorted(free)
    for code in strange:
        key = names[code]
        near = nearest_key(key, nearby)
        rows = table.rows[places[code]].tolist()
        nearest = f"; the nearest without a partner is {near!r}" if near else ""
        ask = (
            f"Haul {key!r} stands here on {_many(len(rows), 'row')} and nowhere in the other files{nearest}. "
            f"Which haul is it? Answer with its key, or {OWN!r} where it is a haul of its own. Until then {what}."
        )
        answer = findings.ask("haul-key", f"{table.label}|{key}", rows, ask, table)
        if answer in known:
            names[code] = answer
        elif answer not in (None, OWN):
            findings.misfit(
                f"{table.label}|{key}", answer, f"the key of a haul of the other files, or {OWN!r}"
            )
    return merged(names, haul.codes)


def _none_fits(here: str, how_many: int, there: str | None, table: Table, findings: Findings) -> None:
    findings.tell(
        "asked",
        f"none of its {how_many} haul keys is in the other files: here {here!r}, there {there!r}; "
        "see haul_from in the map",
        table,
    )


def _many(n: int, thing: str) -> str:
    return f"{n} {thing}" if n == 1 else f"{n} {thing}s"
