"""What ``haulbook name`` and ``haulbook lookalike`` print in words."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from itertools import groupby

from haulbook.identify import SURE, Identification, Lookalikes
from haulbook.identify.characters import Character
from haulbook.identify.groups import Support
from haulbook.identify.notices import LEAST_NAMED, POSSIBLE, Notice
from haulbook.identify.words import full_name, percent, short_name
from haulbook.taxa import Pack

FULL = 3
"""Of each kind of notice so many are always said in full."""


def answer_words(found: Identification, looks: int, top: int) -> str:
    """Return the whole answer: who it may be, why, what does not fit, what to heed, what to look at next."""
    pack = found.model.matrix.pack
    lines = [f"After {looks} look{'s' if looks != 1 else ''}:"]
    if found.weighed:
        lines += [f"{percent(chance):>11}  {full_name(pack[taxon])}" for taxon, chance in found.ranking[:top]]
    lines += ["", *write_down(found)] if looks else []
    lines += _why(found)
    lines += (
        ["", *(f"Does not fit: {each.message}" for each in found.contradictions)]
        if found.contradictions
        else []
    )
    lines += ["", *notice_words(found.notices, pack)] if found.notices else []
    question = found.question
    if question:
        lines += ["", f"Look next ({question.character.cost}): {question.character.question}"]
        lines += [
            f"  --saw {question.character.key}={state.key}  {state.words}"
            for state in question.character.states
            if state.key in question.states
        ]
    return "\n".join(lines)


def write_down(found: Identification) -> list[str]:
    """Return what to write down, how sure that is, and where to leave it."""
    pack, left = found.model.matrix.pack, found.left_at
    by_body = _listed(full_name(pack[each.taxon]) for each in found.told_by_body)
    if left is None or left.rank == "kingdom":  # "animal" written down says nothing
        lines = ["No name is sure. Write down what was seen, and leave the name open."]
        return lines + ([f"Known by its body alone, and not weighed here: {by_body}."] if by_body else [])
    lines = [f"Write down: {full_name(pack[left.taxon])}, {_sure(left)}."]
    if found.sure:
        return lines
    inside = [
        (taxon, chance) for taxon, chance in found.ranking if taxon in found.model.matrix.members(left.taxon)
    ]
    if left.taxon != inside[0][0]:
        worth = [pair for pair in inside[:3] if pair[1] >= LEAST_NAMED] or inside[:1]
        likely = ", ".join(f"{short_name(pack[taxon])} {percent(chance)}" for taxon, chance in worth)
        lines.append(f"In it: {likely}. A name from these goes down only with a question mark.")
    if len(found.undecided) > 1:
        names = _listed(short_name(pack[taxon]) for taxon in found.undecided)
        lines.append(f"No look on the beach in this table parts {names} for certain.")
    if by_body:
        lines.append(f"Known by its body alone, and not weighed here: {by_body}.")
    return lines


def notice_words(notices: Iterable[Notice], pack: Pack) -> list[str]:
    """Return each notice as one line; of the many that a vague look brings, the unlikely are only named."""
    lines = []
    for kind, group in groupby(notices, key=lambda each: each.kind):
        of_kind = list(group)
        short = [
            each for each in of_kind[FULL:] if each.probability is not None and each.probability < POSSIBLE
        ]
        lines += [_notice_line(each, pack) for each in of_kind if each not in short]
        if short:
            named = ", ".join(short_name(pack[each.taxon]) for each in short)
            lines.append(f"{kind.upper()}, each under {100 * POSSIBLE:.0f} %: {named}.")
    return lines


def _notice_line(notice: Notice, pack: Pack) -> str:
    share = f", {percent(notice.probability)}" if notice.probability is not None else ""
    perhaps = "" if (notice.probability or 0) >= SURE else "may be "
    word = notice.kind.upper()
    message = re.sub(rf"^{word}\W*", "", notice.message)
    return f"{word}: {perhaps}{full_name(pack[notice.taxon])}{share}. {message[:1].upper()}{message[1:]}"


def list_words(characters: Mapping[str, Character]) -> str:
    """Return every character with its question and states."""
    lines = []
    for each in characters.values():
        lines.append(f"{each.key}: {each.question} ({each.cost})")
        lines += [f"  {each.key}={state.key}  {state.words}" for state in each.states]
    return "\n".join(lines)


def card_words(found: Lookalikes) -> str:
    """Return the look-alike card as text."""
    pack = found.pack
    lines = [_listed(full_name(pack[taxon]) for taxon in found.taxa)]
    lines += [""] if found.differences else []
    for place, each in enumerate(found.differences, start=1):
        lines.append(f"{place}. {each.character.question} ({each.character.cost})")
        lines += [f"   {short_name(pack[taxon])}: {words}" for taxon, words in each.has.items()]
        if not each.parts:
            lines.append("   A hint only: it makes one likelier, it does not decide.")
    for one, other, common in found.unparted:
        pair = f"{short_name(pack[one])} and {short_name(pack[other])}"
        leave = f"Leave them at {full_name(pack[common])}." if common else "Leave the name open."
        lines += ["", f"Nothing here parts {pair} for certain. {leave}"]
    lines.append("")
    for taxon in found.taxa:
        row = pack[taxon]
        said = [part.rstrip(".") + "." for part in (row.hazards, row.handling, row.status_note) if part]
        lines += [f"{short_name(row)}: {' '.join(said)}"] if said else []
    return "\n".join(lines)


def _why(found: Identification) -> list[str]:
    if not found.reasons:
        return []
    name = short_name(found.model.matrix.pack[found.reasons[0].taxon])
    characters = found.model.matrix.characters
    words = {"for": "for it", "against": "against it", "neither": "neither"}
    rows = [
        f"  {words[each.stance]:>10}: {characters[each.character].question} {each.seen}"
        for stance in words
        for each in found.reasons
        if each.stance == stance
    ]
    return ["", f"What speaks for and against {name}, weightiest first:", *rows]


def _sure(left: Support) -> str:
    return f"{percent(left.probability or 0)} sure"


def _listed(names: Iterable[str]) -> str:
    parts = list(names)
    return " and ".join([", ".join(parts[:-1]), parts[-1]]) if len(parts) > 1 else "".join(parts)
