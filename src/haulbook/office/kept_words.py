"""Says a line about a tank as its diary has it: only that tank's part, shortest words first."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from haulbook.custody.entry import Entry
from haulbook.office.entry_words import kind_words, place_words, reading_words, told
from haulbook.office.say import said
from haulbook.taxa import Pack

CARE_WORDS = {
    "fed": "fed", "ate": "ate", "refused": "refused food", "cleaned": "cleaned", "treated": "treated",
    "checked": "looked at",
}  # fmt: skip
_CAME = {"born": "born here", "brought": "brought: there already, or from another institution"}
_LEFT = {
    "dead-kept": "found dead, kept", "dead-back": "found dead, not kept", "killed-kept": "killed, kept",
    "killed-back": "killed, not kept", "given": "given away", "back": "let go into the sea", "lost": "missing",
}  # fmt: skip


def diary_words(entry: Entry, place: str, pack: Pack) -> str:
    """Return what an entry says about one tank, in one line."""
    if entry.kind == "move":
        return _move(entry, place, pack)
    if entry.kind == "redetermination":
        return _better_name(entry, place, pack)
    if entry.kind == "care":
        return _care(entry.body, pack)
    if entry.kind == "reading":
        return f"read: {reading_words(entry)} ({entry.body['instrument']})"
    if entry.kind == "counted-again":
        body = entry.body
        return f"counted: {body['n']} {kind_words(body['taxon'], body.get('stage'), pack)}"
    if entry.kind == "remark":
        return f"{entry.body['text']}"
    return told(entry, pack)


def _move(entry: Entry, place: str, pack: Pack) -> str:
    parts: dict[tuple[str, str], list[Mapping[str, Any]]] = {}
    for line in entry.body["lines"]:
        if line["to"] == place:
            parts.setdefault((_came(line["from"], entry.outing), ""), []).append(line)
        elif line["from"] == place:
            words = _LEFT.get(line["to"], f"moved to {line['to']}")
            parts.setdefault((words, line.get("cause", "")), []).append(line)
    said_parts = []
    for (words, cause), lines in parts.items():
        because = f" ({cause})" if cause else ""
        said_parts.append(f"{words}{because}: {_animals(lines, pack)}")
    return "; ".join(said_parts)


def _came(source: str, outing: str | None) -> str:
    if source in _CAME:
        return _CAME[source]
    return f"came from {place_words(source)}" + (f" of {outing}" if outing else "")


def _animals(lines: Iterable[Mapping[str, Any]], pack: Pack) -> str:
    counts: dict[str, int] = {}
    for line in lines:
        name = kind_words(line["taxon"], line.get("stage"), pack, line.get("unit", "individual"))
        counts[name] = counts.get(name, 0) + line["n"]
    return ", ".join(f"{n} {name}" for name, n in counts.items())


def _better_name(entry: Entry, place: str, pack: Pack) -> str:
    parts = []
    for line in entry.body["lines"]:
        if line["place"] == place:
            was, now = (
                kind_words(line[key]["taxon"], line[key].get("stage"), pack) for key in ("was", "now")
            )
            parts.append(f"{line['n']} {was}: they are {now}")
    return f"{'; '.join(parts)} ({entry.body['why']})"


def _care(body: Mapping[str, Any], pack: Pack) -> str:
    who = f"{said(body['taxon'], pack)}: " if "taxon" in body else ""
    more = [f"{body['g']:g} g"] if "g" in body else []
    more += [body["what"]] if "what" in body else []
    more += [f"prescribed by {body['prescribed_by']}"] if "prescribed_by" in body else []
    return f"{who}{CARE_WORDS[body['act']]}" + (f", {', '.join(more)}" if more else "")


def lot_words(haul: str, taxon: str, pack: Pack) -> str:
    """Return a lot in words: ``cunner of haul 2026-05-18-a/1``, or without a haul."""
    name = said(taxon, pack)
    return f"{name} of haul {haul}" if "/" in haul else f"{name}, out of no haul"


def tanks_of(entry: Entry) -> tuple[str, ...]:
    """Return the tanks that an entry names."""
    if entry.kind in ("move", "redetermination"):
        places = [line[key] for line in entry.body["lines"] for key in ("from", "to", "place") if key in line]
    else:
        places = [entry.body.get("place", "")]
    return tuple(dict.fromkeys(place for place in places if place.startswith("tank ")))
