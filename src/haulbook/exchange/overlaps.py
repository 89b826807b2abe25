"""Rows that two tables of a catch both have: a sheet of all months, a later release of the same season."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np

from haulbook.exchange.coding import combine
from haulbook.exchange.findings import Findings
from haulbook.exchange.sheet_catch import Catch, State

_SHOWN = 3


class _Group(NamedTuple):
    """Animals of one haul, name and stage in one table, and the places they stand in."""

    n: int
    at: tuple[int, ...]


_Key = tuple[str, str, str]


def ask_overlaps(catches: Sequence[Catch], findings: Findings) -> None:
    """Ask about the rows of a table whose haul, animal and stage an earlier table has too.

    They are not counted until somebody says that they are other animals: a season summed twice looks like
    twice the catch.
    """
    if len(catches) < 2:
        return
    seen: dict[_Key, tuple[Catch, int]] = {}
    for catch in catches:
        groups = _groups(catch)
        for other in dict.fromkeys(seen[key][0] for key in groups if key in seen):
            shared = {key: group for key, group in groups.items() if key in seen and seen[key][0] is other}
            _ask(catch, other, shared, {key: seen[key][1] for key in shared}, findings)
        for key, group in groups.items():
            seen.setdefault(key, (catch, group.n))


def _groups(catch: Catch) -> dict[_Key, _Group]:
    counted = np.flatnonzero(catch.state == State.COUNTED)
    if not len(counted):
        return {}
    parts = (catch.haul, catch.name, catch.stage)
    first, codes = combine([part.codes[counted] for part in parts], [len(part.values) for part in parts])
    order = np.argsort(codes, kind="stable")
    places = np.split(counted[order], np.cumsum(np.bincount(codes))[:-1])
    found: dict[_Key, _Group] = {}
    for i, at in zip(counted[first].tolist(), places, strict=True):
        key = (catch.haul[i], " ".join(catch.name[i].split()).casefold(), catch.stage[i].casefold())
        before = found.get(key, _Group(0, ()))
        found[key] = _Group(before.n + int(catch.n[at].sum()), (*before.at, *at.tolist()))
    return found


def _ask(
    catch: Catch, other: Catch, shared: dict[_Key, _Group], there: dict[_Key, int], findings: Findings
) -> None:
    at = np.array(sorted(i for group in shared.values() for i in group.at), np.int64)
    differ = [(key, group.n) for key, group in shared.items() if group.n != there[key]]
    shown = "; ".join(
        f"haul {key[0]!r}, {key[1]}: {n} here, {there[key]} there" for key, n in differ[:_SHOWN]
    )
    more = f" and {len(differ) - _SHOWN} more" if len(differ) > _SHOWN else ""
    differing = f"{len(differ)} with another number ({shown}{more})" if differ else "all with the same number"
    ask = (
        f"{len(shared)} times {other.table.label} has the same haul, animal and stage, {differing}. The same animals "
        'told twice, or others? Answer "once" or "add". Until then these rows are not counted.'
    )
    rows = sorted({catch.row(i) for i in at.tolist()})
    key = f"{catch.table.label}|{other.table.label}"
    if findings.ask("repeat", key, rows, ask, catch.table, takes=("add", "once")) != "add":
        catch.leave_open(at)
