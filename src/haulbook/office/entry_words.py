"""Says an entry in words: what was called, and what was understood by it."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from typing import Any

from haulbook.custody.entry import Entry
from haulbook.office.say import said
from haulbook.publish.words import UNIT_WORDS, listed
from haulbook.taxa import Pack

PLACE_WORDS = {
    "sea": "out of the sea", "back": "back alive", "back-in-net": "let go in the net", "dead-back": "back dead",
    "dead-kept": "kept dead", "killed-kept": "killed and kept", "killed-back": "killed, not kept",
    "escaped": "escaped", "given": "given away", "lost": "lost",
}  # fmt: skip
"""Places as people say them; inside places are called by their names."""
ACT_WORDS = {
    "set-up": "set up", "water-changed": "water changed", "air": "air", "lid": "lid on", "purpose": "purpose",
    "left-beach": "left the beach",
}  # fmt: skip
MEASURED = {
    "temperature_c": ("", "°C"), "salinity": ("salinity ", ""), "oxygen_mg_l": ("oxygen ", "mg/L"),
    "oxygen_percent": ("oxygen ", "%"), "ph": ("pH ", ""), "tan_mg_n_l": ("ammonia nitrogen ", "mg/L"),
}  # fmt: skip
"""What a reading holds: word before, unit after."""


def kind_words(taxon: str, stage: str | None, pack: Pack, unit: str = "individual") -> str:
    """Return a taxon with its stage, and its unit where that is no animal."""
    words = f"{said(taxon, pack)}, {stage}" if stage else said(taxon, pack)
    return words if unit in ("individual", "egg_mass") else f"{words} ({UNIT_WORDS[unit]})"


def place_words(place: str) -> str:
    """Return a place as people say it."""
    return PLACE_WORDS.get(place, place)


def haul_words(haul: str, outing: str | None) -> str:
    """Return ``haul 3`` for a haul of the outing that is spoken of, else its whole key."""
    of, _, number = haul.rpartition("/")
    return f"haul {number}" if of == outing else haul


def quoted(entry: Entry) -> str:
    """Return what was called or written, in its own words; empty where nobody said anything."""
    body = entry.body
    if entry.kind in ("remark", "move") and body.get("text"):
        return f"{body['text']}"
    if entry.kind != "move":
        return ""
    return ", ".join(dict.fromkeys(f"{line['said']}" for line in body["lines"] if line.get("said")))


def told(entry: Entry, pack: Pack) -> str:
    """Return what an entry says, in one line."""
    make = _TOLD.get(entry.kind)
    return make(entry, pack) if make else entry.kind.replace("-", " ")


def shown_words(of: Entry | None, outing: str, pack: Pack) -> str:
    """Return what a photo of a line shows: ``1 northern pipefish, haul 1``.

    Parameters
    ----------
    of : Entry or None
        The line; None while it has not come in.
    outing : str
        The outing that is spoken of.
    pack : Pack
    """
    if of is None:
        return "a line that is not here yet"
    hauls: dict[str, list[str]] = {}
    for haul, animals in _animals(of, pack):
        hauls.setdefault(haul, []).append(animals)
    if not hauls:
        return told(of, pack)
    return "; ".join(f"{listed(every)}, {haul_words(haul, outing)}" for haul, every in hauls.items())


def _animals(of: Entry, pack: Pack) -> list[tuple[str, str]]:
    """Return the hauls and animals that a line speaks of."""
    body = of.body
    if of.kind == "move":
        return [
            (one["haul"], f"{one['n']} {kind_words(one['taxon'], one.get('stage'), pack)}")
            for one in body["lines"]
        ]
    if of.kind == "redetermination":
        return [
            (one["haul"], f"{one['n']} {kind_words(one['now']['taxon'], one['now'].get('stage'), pack)}")
            for one in body["lines"]
        ]
    if of.kind in ("lengths", "present"):
        return [(body["haul"], kind_words(body["taxon"], body.get("stage"), pack))]
    return []


def plainly(words: str, outing: str, taxa: Iterable[str], pack: Pack) -> str:
    """Say taxa by their names and hauls by their numbers in a sentence that has their keys."""
    words = re.sub(rf"{re.escape(outing)}/(\d+)", r"haul \1", words).replace(f" of {outing}", "")
    for taxon in sorted(taxa, key=len, reverse=True):
        words = re.sub(rf"(?<![\w?-]){re.escape(taxon)}(?![\w-])", said(taxon, pack), words)
    return words[:1].upper() + words[1:]


def _move(entry: Entry, pack: Pack) -> str:
    parts = []
    for line in entry.body["lines"]:
        name = kind_words(line["taxon"], line.get("stage"), pack, line.get("unit", "individual"))
        start = "" if line["from"] == "sea" else f" from {place_words(line['from'])}"
        cause = f" ({line['cause']})" if line.get("cause") else ""
        way = f"{haul_words(line['haul'], entry.outing)}, {line['n']} {name}{start}: {place_words(line['to'])}{cause}"
        parts.append(way)
    return "; ".join(parts)


def _redetermination(entry: Entry, pack: Pack) -> str:
    parts = []
    for line in entry.body["lines"]:
        was, now = (kind_words(line[key]["taxon"], line[key].get("stage"), pack) for key in ("was", "now"))
        parts.append(
            f"{haul_words(line['haul'], entry.outing)}, {line['n']} {was}, {place_words(line['place'])}: {now}"
        )
    return f"{'; '.join(parts)}. {entry.body['why']}"


def _haul(entry: Entry, pack: Pack) -> str:
    body = entry.body
    act = {
        "haul-started": "net in the water",
        "haul-landed": "net on the beach",
        "haul-ended": "last animal dealt with",
    }
    more = [f"{key.replace('_', ' ')} {_plain(body[key])}" for key in body if key != "haul"]
    return f"{haul_words(body['haul'], entry.outing)}: {act[entry.kind]}" + (
        f"; {', '.join(more)}" if more else ""
    )


def _plain(value: Any) -> str:
    if isinstance(value, Mapping):
        return (
            f"{value['m']:g} m {value['basis']}" if "m" in value else f"{value['m2']:g} m² {value['basis']}"
        )
    return f"{value:g}" if isinstance(value, float) else f"{value}"


def _lengths(entry: Entry, pack: Pack) -> str:
    body = entry.body
    name = kind_words(body["taxon"], body.get("stage"), pack)
    mm = ", ".join(f"{one:g}" for one in body["mm"])
    return f"{haul_words(body['haul'], entry.outing)}, {name}: {body['length_type']} length {mm} mm"


def _seen(entry: Entry, pack: Pack) -> str:
    body, haul = entry.body, haul_words(entry.body["haul"], entry.outing)
    if entry.kind == "present":
        return f"{haul}: {said(body['taxon'], pack)} seen, not counted"
    return f"{haul}: searched for {listed([said(one, pack) for one in body['taxa']])}, none found"


def _place(entry: Entry, pack: Pack) -> str:
    body = entry.body
    more = [f"to {body['purpose']}"] if "purpose" in body else []
    more += [f"{body['litres']:g} L"] if "litres" in body else []
    more += [f"air {body['air_per_h']:g} changes an hour"] if "air_per_h" in body else []
    return ", ".join([f"{body['place']}: {ACT_WORDS.get(body['act'], body['act'])}", *more])


def reading_words(entry: Entry) -> str:
    """Return what was read, with its units."""
    parts = []
    for key, (before, unit) in MEASURED.items():
        if key in entry.body:
            parts.append(f"{before}{entry.body[key]:g}{' ' if unit else ''}{unit}")
    return ", ".join(parts)


def _reading(entry: Entry, pack: Pack) -> str:
    body = entry.body
    where = body.get("place") or haul_words(body["haul"], entry.outing)
    return f"{where}: {reading_words(entry)} ({body['instrument']})"


def _counted(entry: Entry, pack: Pack) -> str:
    body = entry.body
    return f"{body['place']} counted again: {body['n']} {kind_words(body['taxon'], body.get('stage'), pack)}"


def _strike(entry: Entry, pack: Pack) -> str:
    n = len(entry.body["entries"])
    return f"{'one line' if n == 1 else f'{n} lines'} struck: {entry.body['reason']}"


def _settled(entry: Entry, pack: Pack) -> str:
    body = entry.body
    what = body["key"].partition(":")[0].replace("-", " ")
    return f"settled, {what}: {body['answer']} ({body['why']})"


def _remark(entry: Entry, pack: Pack) -> str:
    where = entry.body.get("place") or (
        haul_words(entry.body["haul"], entry.outing) if "haul" in entry.body else ""
    )
    return f"remark, {where}" if where else "remark"


def _picture(entry: Entry, pack: Pack) -> str:
    return f"photo of another line, {max(1, round(entry.body['bytes'] / 1000))} kB"


def _paper(entry: Entry, pack: Pack) -> str:
    body = entry.body
    clause = f", clause {body['clause']}" if "clause" in body else ""
    return f"permit {body['permit']}{clause}: {body['act'].replace('-', ' ')}"


def _signed(entry: Entry, pack: Pack) -> str:
    covers = ", ".join(f"{device} to {seq}" for device, seq in sorted(entry.body["covers"].items()))
    return f"signed by the {entry.body['role']}: {covers}"


def _closed(entry: Entry, pack: Pack) -> str:
    return f"closed: {entry.body['remark']}" if "remark" in entry.body else "closed"


_TOLD = {
    "move": _move, "redetermination": _redetermination, "haul-started": _haul, "haul-landed": _haul,
    "haul-ended": _haul, "lengths": _lengths, "present": _seen, "searched-and-none": _seen, "place": _place,
    "reading": _reading, "counted-again": _counted, "strike": _strike, "settled": _settled, "remark": _remark,
    "picture": _picture, "paper": _paper, "outing-signed": _signed, "outing-closed": _closed,
}  # fmt: skip
