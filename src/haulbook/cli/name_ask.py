"""``haulbook name --ask``: the key as a conversation in the terminal."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence

import typer

from haulbook.cli.name_words import notice_words, write_down
from haulbook.identify import Identification, Model, Observation, identify
from haulbook.identify.characters import BODY_PLAN, PICTURE_GROUPS
from haulbook.identify.likelihood import Floats
from haulbook.identify.notices import Notice
from haulbook.identify.question import Question
from haulbook.identify.words import percent, short_name
from haulbook.problems import nearest

HOW = (
    "Answer with a number; two numbers where it is one of both. ? can't tell, back takes the last answer back, "
    "stop ends."
)

Step = Observation | str
"""An answer, or the character that could not be told."""


def converse(
    model: Model, before: Floats, seen: Sequence[Observation] = (), skipped: Iterable[str] = ()
) -> Identification:
    """Ask look by look until one name is sure, nothing is worth asking or the observer stops.

    Parameters
    ----------
    model : Model
    before : array, shape (ranked taxa,)
        The prior.
    seen, skipped : what was said on the command line.

    Returns
    -------
    Identification
        The last state; what to write down has been said.
    """
    steps: list[Step] = []
    told: set[Notice] = set()
    typer.echo(HOW)
    while True:
        found = identify(model, _merged(seen, steps), before, [*skipped, *_skips(steps)])
        _tell(found, steps, told)
        answer = _put(found.question) if found.question else "stop"
        if answer == "stop" or found.question is None:
            break
        if answer == "back":
            _take_back(steps)
        else:
            character = found.question.character.key
            steps.append(character if answer == "?" else Observation(character, frozenset(answer.split("|"))))
    _end(found)
    return found


def _merged(seen: Sequence[Observation], steps: Iterable[Step]) -> list[Observation]:
    """Return all observations; an answer replaces what was only ruled out before."""
    said = [each for each in steps if isinstance(each, Observation)]
    answered = {each.character for each in said}
    return [*(each for each in seen if each.character not in answered), *said]


def _skips(steps: Iterable[Step]) -> list[str]:
    return [each for each in steps if isinstance(each, str)]


def _take_back(steps: list[Step]) -> None:
    if steps:
        steps.pop()
    else:
        typer.echo("There is no answer to take back.")


def _tell(found: Identification, steps: Sequence[Step], told: set[Notice]) -> None:
    """Say the leaders, and each notice once."""
    pack = found.model.matrix.pack
    if steps and found.weighed:
        leaders = ", ".join(
            f"{short_name(pack[taxon])} {percent(chance)}" for taxon, chance in found.ranking[:3]
        )
        typer.echo(f"So far: {leaders}.")
    known = {(each.kind, each.taxon) for each in told}
    new = [each for each in found.notices if (each.kind, each.taxon) not in known]
    for line in notice_words(new, pack):
        typer.echo(f"  {line}")
    told.update(new)
    if found.question and found.question.between:
        one, other = (short_name(pack[taxon]) for taxon in found.question.between)
        typer.echo(f"{one} and {other} are close: one more look tells them apart.")


def _put(question: Question) -> str:
    """Ask one question; return states joined by ``|``, or ``?``, ``back``, ``stop``."""
    words = {state.key: state.words for state in question.character.states if state.key in question.states}
    typer.echo("")
    if question.character.key != BODY_PLAN:
        return _choose(f"{question.character.question} ({question.character.cost})", words)
    while True:
        group = _choose("Which kind of living thing is it?", {key: key for key in PICTURE_GROUPS})
        if group in ("?", "back", "stop"):
            return group
        inside = [key for each in group.split("|") for key in PICTURE_GROUPS[each] if key in words]
        answer = _choose(question.character.question, {key: words[key] for key in inside})
        if answer != "back":
            return answer


def _choose(head: str, words: dict[str, str]) -> str:
    keys = list(words)
    typer.echo(head)
    for number, key in enumerate(keys, start=1):
        typer.echo(f"  {number:2}  {words[key]}")
    while True:
        try:
            said: str = typer.prompt("", prompt_suffix="> ", default="", show_default=False)
        except typer.Abort:
            return "stop"
        answer = said.strip().casefold()
        if answer in ("?", "back", "stop"):
            return answer
        chosen = _read(answer, keys)
        if isinstance(chosen, list):
            return "|".join(chosen)
        typer.echo(chosen)


def _read(answer: str, keys: Sequence[str]) -> list[str] | str:
    """Return the states chosen, or the sentence that says what to do instead."""
    parts = re.split(r"\s*(?:,|\bor\b|\s)\s*", answer) if answer not in keys else [answer]
    chosen = []
    for part in filter(None, parts):
        if part.isdecimal() and 1 <= int(part) <= len(keys):
            chosen.append(keys[int(part) - 1])
        elif part in keys:
            chosen.append(part)
        else:
            near = nearest(part, keys, most=1)
            hint = f" Nearest: {near[0]}." if near else ""
            return f"{part!r} is none of these; say a number from 1 to {len(keys)}, ?, back or stop.{hint}"
    return list(dict.fromkeys(chosen)) or f"Say a number from 1 to {len(keys)}, ?, back or stop."


def _end(found: Identification) -> None:
    typer.echo("")
    for line in write_down(found):
        typer.echo(line)
    for each in found.contradictions:
        typer.echo(f"Does not fit: {each.message}")
    typer.echo(
        "In doubt ask the lead, keep it wet, take a picture. The permit and local rules decide what becomes of it."
    )
