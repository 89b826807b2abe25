"""What can be looked at on an animal: the question, the answers it can have, and when it may be asked."""

from __future__ import annotations

import csv
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from importlib.resources import files

COSTS: Mapping[str, float] = {"easy on the beach": 1.0, "needs hand lens": 3.0, "needs lab": 10.0}
"""How dear a look is, in beach looks. House values (common practice, no source), open to change."""

BEACH = "easy on the beach"
BODY_PLAN = "body_plan"

PICTURE_GROUPS: Mapping[str, tuple[str, ...]] = {
    "fish": ("pipe", "ribbon", "seahorse", "flat", "deep", "bighead", "torpedo", "tadpole", "ball"),
    "crabs and shrimps": ("crab", "hermit", "lobster", "horseshoe", "shrimp", "bug"),
    "soft and shelled animals": (
        "slug",
        "snail",
        "cap",
        "two_shells",
        "squid",
        "octopus",
        "star",
        "urchin",
        "disc",
        "cucumber",
        "worm",
        "anemone",
        "jelly",
    ),
    "plants": ("blade", "weed"),
}
"""Body plans as they are offered: thirty are too many for one list."""


@dataclass(frozen=True, slots=True)
class State:
    """One answer: its key in the data and what it looks like in plain words."""

    key: str
    words: str


@dataclass(frozen=True, slots=True)
class Condition:
    """A character that must have been answered by one of these states before another may be asked."""

    character: str
    states: frozenset[str]


@dataclass(frozen=True, slots=True)
class Character:
    """One thing to look at.

    Attributes
    ----------
    key, question : str
    kind : {"look", "count", "measure", "behaviour"}
    cost : str
        A key of `COSTS`.
    states : tuple of State
        All answers that there are, in the order in which they are offered.
    conditions : tuple of Condition
        All must hold; none means that it can be asked of any animal.
    """

    key: str
    question: str
    kind: str
    cost: str
    states: tuple[State, ...]
    conditions: tuple[Condition, ...]

    @property
    def state_keys(self) -> tuple[str, ...]:
        """Keys of the states, in their order."""
        return tuple(state.key for state in self.states)

    def words(self, states: frozenset[str]) -> str:
        """Return these states in plain words, joined by "or"."""
        return " or ".join(state.words for state in self.states if state.key in states)


@cache
def load_characters() -> Mapping[str, Character]:
    """Return every character by key, in file order: one list for both packs.

    Source: the project's own table of characters, compiled from the keys and family pages that its rows and
    the look-alike pages name (``docs/reference/identify.md``).
    """
    rows: dict[str, list[dict[str, str]]] = {}
    for row in read_table("characters"):
        rows.setdefault(row["character"], []).append(row)
    return {key: _character(key, group) for key, group in rows.items()}


def read_table(name: str) -> list[dict[str, str]]:
    """Return the rows of a packaged table: ``characters`` or the cells of a pack."""
    text = files("haulbook.identify").joinpath(f"data/{name}.csv").read_text(encoding="utf-8")
    return list(csv.DictReader(text.splitlines()))


def _character(key: str, rows: list[dict[str, str]]) -> Character:
    first = rows[0]
    states = tuple(State(row["state"], row["state_explanation"]) for row in rows)
    return Character(key, first["question"], first["kind"], first["cost"], states, _conditions(first))


def _conditions(row: dict[str, str]) -> tuple[Condition, ...]:
    found = []
    if row["ask_when_body_plan"] != "always":
        found.append(Condition(BODY_PLAN, frozenset(row["ask_when_body_plan"].split("|"))))
    for text in filter(None, (part.strip() for part in row["ask_when_also"].split(";"))):
        character, states = text.split("=")
        found.append(Condition(character, frozenset(states.split("|"))))
    return tuple(found)
