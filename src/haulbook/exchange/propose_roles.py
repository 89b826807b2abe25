"""Guess what each file holds, from what its columns seem to be and from the files beside it."""

from __future__ import annotations

from dataclasses import dataclass

from haulbook.exchange.propose_columns import TAXON, Draft

READINGS = frozenset({"temperature_c", "salinity", "oxygen_mg_l", "oxygen_percent", "ph"})
_NUMBERS = frozenset({"n", "n_unmeasured", "estimated"})
_OF_A_HAUL = frozenset({"lat", "lon", "time", "area", "net", "condition", "success", "set_type", "remark"})
_DAY = frozenset({"date", "year"})


@dataclass(frozen=True, slots=True)
class RoleGuess:
    """What a file seems to hold, what a row of a catch is, and why."""

    role: str
    why: str
    rows: str | None = None


def roles_of(drafts: list[Draft]) -> list[RoleGuess]:
    """Return the role of each file; some only show beside the others."""
    counted = [draft for draft in drafts if _names(draft) and draft.words & _NUMBERS]
    caught = {
        text
        for draft in counted
        if (name := draft.of("name"))
        for text in draft.profiles[name.heading].values
    }
    return [_role(draft, drafts, counted, caught) for draft in drafts]


def _role(draft: Draft, drafts: list[Draft], counted: list[Draft], caught: set[str]) -> RoleGuess:
    words = draft.words
    if not draft.table.rows.size:
        return RoleGuess("skip", "has headings and nothing below them")
    if TAXON in words or (_names(draft) and words & _NUMBERS):
        return _catch(draft)
    if _names(draft) and "length" in words:
        others = any(other is not draft and "length" not in other.words for other in counted)
        if others:
            return RoleGuess("lengths", "has names and lengths, and the numbers stand in another file")
        return RoleGuess("catch", "has names and lengths: one animal a row", "animals")
    if "code" in words and _names(draft):
        return _codes(draft, caught)
    if _names(draft):
        return RoleGuess("skip", "a list of names without numbers or codes; the pack knows names")
    return _of_hauls(draft, drafts)


def _names(draft: Draft) -> bool:
    return bool(draft.words & {"name", "scientific"})


def _catch(draft: Draft) -> RoleGuess:
    if not draft.words & (_DAY | {"haul", "haul_no", "site"}):
        why = "has names and numbers but no haul, day or site: a summary, which would count the animals again"
        return RoleGuess("skip", why)
    if TAXON in draft.words:
        return RoleGuess("catch", "several headings are names of animals above numbers", "wide")
    if draft.words & {"length", "n_unmeasured"}:
        return RoleGuess(
            "catch", "has names, numbers and lengths: measured animals, and lumps of the rest", "animals"
        )
    return RoleGuess("catch", "has names and numbers", "taxa")


def _codes(draft: Draft, caught: set[str]) -> RoleGuess:
    code = draft.of("code")
    known = set(draft.profiles[code.heading].values) if code else set()
    used = len(known & caught)
    if used:
        return RoleGuess("names", f"turns codes into names; {used} of them stand in the catch")
    return RoleGuess("skip", "a list of codes that no catch here uses")


def _of_hauls(draft: Draft, drafts: list[Draft]) -> RoleGuess:
    words = draft.words
    keyed = bool(words & {"haul", "haul_no"})
    if any(guess.set_no for guess in draft.guesses) and words & (_DAY | {"site"}):
        return RoleGuess("effort", "has several sets side by side in a row")
    if (
        words & READINGS
        and not words & (_OF_A_HAUL - {"remark"})
        and (keyed or "site" in words)
        and len(drafts) > 1
    ):
        return RoleGuess("environment", "has readings of the water and a haul or site")
    if keyed or (words & _DAY and words & (_OF_A_HAUL - {"remark"} | READINGS)):
        return RoleGuess("hauls", "has hauls without animals: their day, place or effort")
    if "site" in words and "lat" in words and not words & _DAY:
        return RoleGuess("sites", "has places and no day")
    return RoleGuess("skip", "has neither hauls nor animals")
