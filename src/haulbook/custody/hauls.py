"""Hauls as facts: what started, landed and ended, told by one device or by several."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from haulbook.custody.bodies import GEOMETRY
from haulbook.custody.entry import Entry
from haulbook.custody.facts import Haul, Measure

INSTANTS = {"haul-started": "started", "haul-landed": "landed", "haul-ended": "ended"}


def haul_order(key: str) -> tuple[str, int]:
    """Sort key of hauls: outing, then the number as a number."""
    outing, _, number = key.rpartition("/")
    return outing, int(number)


def hauls_of(standing: Iterable[Entry], mentioned: Iterable[str]) -> tuple[Haul, ...]:
    """Return every haul that was told of, in book order.

    Where two phones told of one, the first word holds, but for the end: the last animal is dealt with when
    the last one says so. What differs is a discrepancy (``started-twice``).

    Parameters
    ----------
    standing : iterable of Entry
        Nothing struck, oldest first.
    mentioned : iterable of str
        Keys of hauls that animals came out of, whether or not anybody said when they started.
    """
    told: dict[str, dict[str, Any]] = {key: {} for key in mentioned}
    for entry in standing:
        if entry.kind == "remark" and "haul" in entry.body:
            haul = told.setdefault(entry.body["haul"], {})
            haul["remarks"] = (*haul.get("remarks", ()), entry.body["text"])
        elif entry.kind in INSTANTS:
            haul = told.setdefault(entry.body["haul"], {})
            for name, value in _told_by(entry).items():
                if name not in haul or name == "ended":
                    haul[name] = value
    return tuple(
        Haul(key=key, outing=key.rpartition("/")[0], **told[key]) for key in sorted(told, key=haul_order)
    )


def _told_by(entry: Entry) -> dict[str, Any]:
    body = entry.body
    told: dict[str, Any] = {INSTANTS[entry.kind]: entry.when}
    for name in ("label", "site", "net", "set_type", "lat", "lon", "condition", "why", "depth_m"):
        if name in body:
            told[name] = body[name]
    if "area" in body:
        told["area_m2"] = body["area"]["m2"]
    measures = {
        name: Measure(float(body[name]["m"]), body[name]["basis"]) for name in GEOMETRY if name in body
    }
    if measures:
        told["measures"] = measures
    return told
