"""What permits and chances say to a plan, in the words and rows of its page."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence

from haulbook.office.plan_outing import Planned
from haulbook.office.planning.catch import ENOUGH
from haulbook.office.planning.chances import DRAWS, LOOK_AHEAD, UNLIKELY, Chance, most_overall
from haulbook.office.planning.verdict import Choice
from haulbook.office.say import said
from haulbook.permit.headroom import Headroom
from haulbook.permit.model import Clause, Period
from haulbook.permit.plan import Reason
from haulbook.permit.status import FULL, Status
from haulbook.publish.account_parts import LimitLine
from haulbook.publish.plan_parts import ChanceLine, PlanFinding, Weight, in_per_cent
from haulbook.publish.words import day as say_day
from haulbook.publish.words import listed, several
from haulbook.taxa import Pack

_MAY = {
    "encountered": "be met", "captured": "be captured", "handled": "be handled", "retained": "be kept",
    "killed": "be killed", "died": "die", "lethal": "die or be killed", "sampled": "be sampled",
}  # fmt: skip
_COUNTED = {"retained": "kept", "lethal": "died or killed"}
_OF_HAUL = re.compile(r"^haul \d+: (?:set (\d+) of)?")


def findings_of(planned: Planned, pack: Pack) -> Iterator[PlanFinding]:
    """Yield what stands against going, several reasons of one clause and weight together."""
    if planned.chosen is None:
        if planned.nothing:
            yield PlanFinding("stop", (planned.nothing.message,))
        return
    groups: dict[tuple[str, str | None, str | None, int], list[Reason]] = {}
    for i, reason in enumerate(planned.chosen.reasons):
        if reason.weight != "ok":
            alone = 0 if reason.clause else i + 1
            groups.setdefault((reason.weight, reason.permit, reason.clause, alone), []).append(reason)
    for reasons in groups.values():
        yield _finding(reasons, planned, pack)


def _finding(reasons: Sequence[Reason], planned: Planned, pack: Pack) -> PlanFinding:
    weights: dict[str, Weight] = {"no-go": "stop", "limit": "near"}
    first = reasons[0]
    clause = _clause_of(first, planned)
    sentences = list(dict.fromkeys(_plain(reason) for reason in reasons))
    if clause and clause.counts:
        sentences[0] = f"{_animals(clause, pack)}: {sentences[0]}"
    return PlanFinding(
        weights.get(first.weight, "note"),
        tuple(sentences),
        clause.source.text if clause else None,
        _where(clause) if clause else (f"Permit {first.permit}" if first.permit else None),
    )


def _plain(reason: Reason) -> str:
    """Return a reason without the clause in front, which is named beside its words."""
    return reason.message.removeprefix(f"clause {reason.clause}: ")


def _clause_of(reason: Reason, planned: Planned) -> Clause | None:
    permit = next((one for one in planned.asked.permits if one.no == reason.permit), None)
    if permit is None or planned.chosen is None:
        return None
    ruling = permit.ruling(planned.chosen.window.start)
    return next((clause for clause in ruling if clause.id == reason.clause), None)


def _where(clause: Clause) -> str:
    source = clause.source
    where = [
        f"{word} {value}" for word, value in (("page", source.page), ("section", source.section)) if value
    ]
    parts = [f"Permit {clause.permit}", f"clause {clause.id}", *where]
    return f"{', '.join(parts)}, in force since {say_day(clause.effective_from.date())}"


def what_holds(chosen: Choice | None) -> Iterator[str]:
    """Yield what was checked and holds, what is said of every haul once."""
    if chosen is None:
        return
    found: dict[tuple[str | None, str], None] = {}
    for reason in chosen.reasons:
        if reason.weight == "ok":
            words = _OF_HAUL.sub(lambda hit: "sets:" if hit[1] else "", _plain(reason))
            found[reason.clause, words] = None
    for clause, words in found:
        yield f"{words} (clause {clause})" if clause else words


def is_limit(room: Headroom) -> bool:
    """Say whether a clause is a number of animals of which something is left, or none."""
    return room.state.clause.kind in ("limit", "prohibit") and room.state.clause.limit is not None


def limit_line(room: Headroom, planned: Planned, pack: Pack) -> LimitLine:
    """Return what is left of one clause, in a sentence and for its rings."""
    state, clause = room.state, room.state.clause
    basis = clause.basis.value if clause.basis else ""
    left, animals = room.left or 0, _animals(clause, pack)
    span = _span_words(clause)
    may = _MAY.get(basis, basis)
    sentence = (
        f"{left or 'no'} more may {may} {span}: {animals}" if clause.limit else f"none may {may}: {animals}"
    )
    weight: Weight | None = None
    if state.status in (Status.EXCEEDED, Status.OVER_SINCE_AMENDMENT):
        weight = "stop"
    elif clause.limit and (state.status in (Status.NEAR, Status.REACHED) or state.worst in FULL):
        weight = "near"
    return LimitLine(
        state.permit, _label(state.permit, clause, planned), sentence, animals, _COUNTED.get(basis, basis), state.n, 0,
        clause.limit or None, state.status.value, weight,
    )  # fmt: skip


def _animals(clause: Clause, pack: Pack) -> str:
    scope = clause.scope
    if scope.everything:
        names = "all animals"
    elif scope.list_name:
        names = scope.list_name.replace("-", " ").replace("_", " ")
    else:
        names = listed([said(taxon, pack).removesuffix(" unidentified") for taxon in scope.taxa])
    return f"{' or '.join(scope.life_stage)} {names}" if scope.life_stage else names


def _label(permit: str, clause: Clause, planned: Planned) -> str:
    """Name a clause: by its id, and by its permit too where the outing goes under several."""
    return clause.id if len(planned.asked.relied) == 1 else f"{permit}, {clause.id}"


def _span_words(clause: Clause) -> str:
    if clause.period is Period.HAUL:
        return "a haul"
    if clause.period is Period.OUTING:
        return "on this outing"
    if clause.period is Period.PERMIT_LIFE:
        return "under this permit"
    return "on this day" if clause.period is Period.DAY else f"this {clause.period.replace('_', ' ')}"


def chance_line(chance: Chance, planned: Planned, pack: Pack) -> ChanceLine:
    """Return one clause's chances as a row."""
    clause = chance.clause
    basis = clause.basis.value if clause.basis else ""
    counted = _COUNTED.get(basis, basis)
    if clause.kind == "percent" and clause.of and clause.percent is not None:
        counted = f"{counted} over {float(clause.percent):g} % of {clause.of.value}"
    return ChanceLine(
        _label(chance.permit, clause, planned),
        _animals(clause, pack),
        counted,
        chance.left,
        chance.by_hauls,
        chance.most,
        chance.of_choice,
    )


def chances_said(planned: Planned, chances: Sequence[Chance]) -> Iterator[str]:
    """Yield what the chances say and stand on, or why there are none."""
    forecast, hauls = planned.forecast, planned.asked.hauls
    n, month = len(forecast.hauls), f"{planned.day.day:%B}"
    if not forecast.enough:
        yield (
            f"{several(n, 'comparable haul')} in the book (this site and net, {month} or a month beside it); "
            f"{ENOUGH} are needed, so no probability is given."
        )
        return
    most = most_overall(chances)
    if most is not None:
        worst = max((one for one in chances if not one.of_choice), key=lambda one: one.after(hauls))
        bound = f"{100 * UNLIKELY:g} %"
        at_most = f"At most {several(most, 'haul')}" if most else "Not even 1 haul"
        if most >= LOOK_AHEAD:
            at_most = f"{LOOK_AHEAD} hauls and perhaps more"
        yield (
            f"{at_most} keep{'s' if most < 2 else ''} every clause that the catch decides below {bound}. With "
            f"{several(hauls, 'haul')} the likeliest to be overstepped is clause {worst.clause.id}: "
            f"{in_per_cent(worst.after(hauls))} %."
        )
    if any(chance.of_choice for chance in chances):
        yield (
            "A choice: what is kept or killed people decide. The figure is that of going on as before; stop at the "
            "limit."
        )
    yield (
        f"From {n} comparable hauls (this site and net, {month} or a month beside it, any year) by a gamma-Poisson "
        f"predictive per kind of animal, {DRAWS} draws."
    )
    yield "Hauls of one tide share schools and crew: the true chance can be higher. It is an estimate, not a promise."
