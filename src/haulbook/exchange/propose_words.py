"""Words of sheets for life stages and fates, and what they are for us; those nobody can know are asked."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from haulbook.exchange.headings import reduced
from haulbook.exchange.toml_keys import OPEN

STAGES: Mapping[str, str] = {
    **dict.fromkeys(
        (
            "yoy",
            "young of the year",
            "young",
            "juvenile",
            "juv",
            "j",
            "juveniles",
            "fry",
            "smolt",
            "parr",
            "age 0",
            "0 plus",
        ),
        "young",
    ),
    **dict.fromkeys(("adult", "ad", "a", "adults", "mature"), "adult"),
    **dict.fromkeys(("larva", "larvae", "larval", "l", "post larva", "pl", "megalops", "glass eel"), "larva"),
    **dict.fromkeys(("egg mass", "eggs", "egg", "egg case"), "egg mass"),
    **dict.fromkeys(("mixed", "unknown", "unk", "u", "juvenile adult"), ""),
}
"""Reduced word of a sheet to our stage; ``""`` says that the word tells none. Common practice, no source."""

FATES: Mapping[str, str] = {
    **dict.fromkeys(
        (
            "back",
            "released",
            "released live",
            "released alive",
            "live release",
            "returned",
            "returned live",
            "rel",
            "thrown back",
        ),
        "back",
    ),
    **dict.fromkeys(("released in net", "left in net", "never left the net"), "back-in-net"),
    **dict.fromkeys(("escaped", "got away"), "escaped"),
    **dict.fromkeys(("kept", "kept alive", "retained alive", "retained live"), "kept"),
    **dict.fromkeys(
        ("voucher", "vouchered", "killed kept", "retained dead", "preserved", "frozen"), "killed-kept"
    ),
    **dict.fromkeys(
        ("died released", "dead released", "released dead", "dead back", "mort released"), "dead-back"
    ),
    **dict.fromkeys(("died retained", "dead retained", "dead kept", "mort kept"), "dead-kept"),
    **dict.fromkeys(("transferred", "given", "given away"), "given"),
    "lost": "lost",
}
"""Reduced word of a sheet to the place the animals went. Common practice, no source."""

CONDITION_WORDS: Mapping[int, str] = {
    1: "good", 2: "minor", 3: "poor", 4: "failed", 5: "not for density", 9: "unknown",
}  # fmt: skip

_STAGE_CHOICES = "young, adult, larva, egg mass, or empty where it tells none"
_FATE_CHOICES = (
    "back, kept, killed-kept, killed-back, dead-back, dead-kept, given, escaped, back-in-net or lost"
)


def stage_words(values: Iterable[str]) -> list[tuple[str, str, str]]:
    """Return each word of a stage column, our stage or ``"?"``, and why."""
    return [_word(said, STAGES, _STAGE_CHOICES) for said in sorted(values)]


def fate_words(values: Iterable[str]) -> list[tuple[str, str, str]]:
    """Return each word of a fate column, the place or ``"?"``, and why. A bare "dead" is asked."""
    return [_word(said, FATES, _FATE_CHOICES) for said in sorted(values)]


def _word(said: str, known: Mapping[str, str], choices: str) -> tuple[str, str, str]:
    ours = known.get(reduced(said))
    return (said, OPEN, choices) if ours is None else (said, ours, "")
