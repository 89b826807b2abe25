"""What a call was understood as: lines to write, questions to ask, commands for the line before."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

Length = int | float
Command = str | dict[str, Any]


@dataclass(frozen=True, slots=True)
class Line:
    """Animals called in one breath that share everything said of them.

    Attributes
    ----------
    count : int or None
        None where no number was said ("a few") or two were offered.
    taxon : str or None
        Key of the pack; a group's where only a group was said. None only inside a question.
    stage : {"young", "adult", "egg mass", "larva"} or None
    fate : {"back", "kept", "dead"} or None
    place : str or None
        "bucket 2", "cooler", "cooler 1".
    length_mm : int or float or None
    doubt_about : {"name", "count"} or None
        What was said with a hedge; a hedge on a length is none.
    zero : bool
        Searched for and none there; the count is 0.
    """

    count: int | None
    taxon: str | None
    stage: str | None = None
    fate: str | None = None
    place: str | None = None
    length_mm: Length | None = None
    doubt_about: str | None = None
    zero: bool = False

    def as_json(self) -> dict[str, Any]:
        """Return the contract's shape."""
        return {
            "count": self.count,
            "taxon": self.taxon,
            "stage": self.stage,
            "fate": self.fate,
            "place": self.place,
            "length_mm": self.length_mm,
            "doubt": self.doubt_about is not None,
            "doubt_about": self.doubt_about,
            "zero": self.zero,
        }


@dataclass(frozen=True, slots=True)
class Ask:
    """A part of a call that is put back to the caller.

    Attributes
    ----------
    said : str
    about : str
        What is asked: ``name``, ``count``, ``fate``, ``place``, ``zero``, or ``words`` that were not understood.
    choices : tuple of str
        At most four taxa, likeliest first; empty where it is no question of a name.
    line : Line or None
        What is known of the animals: complete once the answer is put into it.
    """

    said: str
    about: str
    choices: tuple[str, ...] = ()
    line: Line | None = None

    def as_json(self) -> dict[str, Any]:
        """Return the contract's shape."""
        line = self.line.as_json() if self.line else None
        return {"said": self.said, "choices": list(self.choices), "about": self.about, "line": line}


@dataclass(frozen=True, slots=True)
class Answer:
    """What one call was understood as.

    Attributes
    ----------
    lines : tuple of Line
        Certain.
    asks : tuple of Ask
    commands : tuple of str or dict
        ``"undo"``, or ``amend_`` count, taxon, fate, stage or place with its value. They act on the line before
        this call.
    """

    lines: tuple[Line, ...] = ()
    asks: tuple[Ask, ...] = ()
    commands: tuple[Command, ...] = ()

    def as_json(self) -> dict[str, Any]:
        """Return the contract's shape."""
        return {
            "lines": [line.as_json() for line in self.lines],
            "asks": [ask.as_json() for ask in self.asks],
            "commands": list(self.commands),
        }
