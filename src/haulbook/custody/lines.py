"""The lines of a move and of a redetermination: n animals, each line complete in itself."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from haulbook.custody.checks import (
    GOOD,
    Check,
    flag,
    from_place,
    haul,
    held_place,
    measure,
    one_of,
    or_null,
    record,
    some,
    taxon,
    text,
    whole,
)
from haulbook.custody.ids import is_id
from haulbook.custody.places import SINKS, SOURCES, is_inside

STAGES = ("larva", "young", "adult", "egg mass")
UNITS = ("individual", "egg_mass", "colony", "blade", "gram")
SEXES = ("female", "male", "hermaphrodite")
COUNT_BASES = ("counted", "expanded", "judged")

stage = one_of(*STAGES)
unit = one_of(*UNITS)


def estimate_of(subsample: Mapping[str, Any]) -> int:
    """Return the number that counted scoops stand for: all scoops times the mean of the counted, rounded up.

    Source: Cochran (1977), Sampling Techniques, ch. 2: M times the sample mean. Rounded up, because
    a permit counts whole animals.
    """
    counted: list[int] = subsample["counted"]
    scoops: int = subsample["of"]
    return -(-scoops * sum(counted) // len(counted))


def stage_and_unit(said: Mapping[str, Any]) -> tuple[str | None, str]:
    """Return stage and unit of a line: an egg mass counts in its own unit, whichever of the two was said."""
    if said.get("stage") == "egg mass" or said.get("unit") == "egg_mass":
        return "egg mass", "egg_mass"
    return said.get("stage"), said.get("unit", "individual")


def _eggs_agree(line: Mapping[str, Any], where: str) -> str | None:
    if line.get("stage") == "egg mass" and line.get("unit", "egg_mass") != "egg_mass":
        return f"{where}, unit is {line['unit']!r}; egg masses count in egg_mass"
    if line.get("unit") == "egg_mass" and line.get("stage", "egg mass") != "egg mass":
        return f"{where}, stage is {line['stage']!r} beside the unit egg_mass; its stage is 'egg mass'"
    return None


def _scoops_fit(subsample: Mapping[str, Any], where: str) -> str | None:
    if len(subsample["counted"]) > subsample["of"]:
        return f"{where} counted {len(subsample['counted'])} scoops of only {subsample['of']}"
    return None


_subsample = record(
    {"method": one_of("scoops"), "of": whole(1), "counted": some(whole(0), "scoop")},
    {"batch": text},
    _scoops_fit,
)


def _expanded_by_its_scoops(line: Mapping[str, Any], where: str) -> str | None:
    subsample, basis = line.get("subsample"), line.get("basis")
    if subsample is None:
        if basis == "expanded" and line["from"] in SOURCES:
            return (
                f"{where} is expanded but lacks subsample; say which scoops were counted, or call it judged"
            )
        return None
    if basis != "expanded":
        return f"{where} has a subsample, so its basis is 'expanded', not {basis or 'counted'!r}"
    estimate = estimate_of(subsample)
    if line["n"] != estimate:
        counted = " ".join(str(n) for n in subsample["counted"])
        return (
            f"{where}, n is {line['n']}; {subsample['of']} scoops, of which the counted held {counted}, "
            f"make {estimate} (rounded up)"
        )
    return None


def _length_names_its_type(line: Mapping[str, Any], where: str) -> str | None:
    if ("length_mm" in line) != ("length_type" in line):
        missing = "length_type" if "length_mm" in line else "length_mm"
        return f"{where} lacks {missing}; a length says what was measured (as total, fork, carapace width)"
    return None


def _way_is_open(line: Mapping[str, Any], where: str) -> str | None:
    start, end = line["from"], line["to"]
    if start == end:
        return f"{where} goes from {start} to {end}: nothing moved; leave it out"
    if end == "escaped" and start != "sea":
        return (
            f"{where} escapes from {start}; escaped means before landing, from sea: "
            "one that got away later is lost, with its cause"
        )
    if end == "back-in-net" and start not in ("sea", "net"):
        return f"{where} goes back in the net from {start}; that is for animals never taken out: sea or net"
    if end == "lost" and "cause" not in line:
        return f"{where} lacks cause; say how they were lost (jumped out, miscounted ...)"
    return None


def _sea_is_in_a_haul(line: Mapping[str, Any], where: str) -> str | None:
    if line["from"] == "sea" and "/" not in line["haul"]:
        return f"{where}, haul is {line['haul']!r}; what comes from the sea came in a haul, as 2027-05-14-a/1"
    return None


def _haul_or_entry(value: Any, where: str) -> Iterable[str]:
    return GOOD if isinstance(value, str) and is_id(value) else haul(value, where)


def _to_place(value: Any, where: str) -> Iterable[str]:
    if isinstance(value, str) and (is_inside(value) or value in SINKS):
        return GOOD
    if value in SOURCES:
        return (f"{where} is {value!r}, where animals only come from; put back alive is 'back'",)
    return held_place(value, where)


move_line: Check = record(
    {"taxon": taxon, "n": whole(1), "from": from_place, "to": _to_place, "haul": _haul_or_entry},
    {
        "haul_assumed": flag,
        "said": text,
        "stage": stage,
        "sex": one_of(*SEXES),
        "unit": unit,
        "basis": one_of(*COUNT_BASES),
        "subsample": _subsample,
        "length_mm": measure("millimetres", above=0),
        "length_type": text,
        "origin": one_of("wild", "hatchery"),
        "mark": text,
        "berried": flag,
        "doubt": one_of("name", "count"),
        "cause": text,
    },
    _eggs_agree,
    _expanded_by_its_scoops,
    _length_names_its_type,
    _way_is_open,
    _sea_is_in_a_haul,
)

_identity = record({"taxon": taxon}, {"stage": or_null(stage)})


def _names_a_change(line: Mapping[str, Any], where: str) -> str | None:
    was, now = line["was"], line["now"]
    if (was["taxon"], was.get("stage")) == (now["taxon"], now.get("stage")):
        return f"{where} turns {was['taxon']} into itself: nothing changed; leave it out"
    units = {stage_and_unit({**line, "stage": side.get("stage")})[1] for side in (was, now)}
    if len(units) > 1:
        return (
            f"{where} turns animals into egg masses or back, which count in another unit: "
            "strike the line and enter it again"
        )
    return None


redetermination_line: Check = record(
    {
        "place": held_place,
        "haul": _haul_or_entry,
        "n": whole(1),
        "was": _identity,
        "now": _identity,
    },
    {"unit": unit},
    _names_a_change,
)
