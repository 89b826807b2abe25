"""Clauses in short words: whom they mean, what they count, what they ask, and how their state is drawn."""

from __future__ import annotations

from datetime import date
from zoneinfo import ZoneInfo

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from haulbook.custody.fates import Fate
from haulbook.office.permit_standing import ClauseStanding, PeriodStanding
from haulbook.office.say import said
from haulbook.permit.detail import (
    AreaRule,
    BiosecurityRule,
    CarryRule,
    GearRule,
    Ground,
    HoldingRule,
    HoursRule,
    NoticeRule,
    PeopleRule,
    ReportRule,
    StopRule,
)
from haulbook.permit.measure import plain
from haulbook.permit.model import Clause, Consequence, Period, Permit, Stop
from haulbook.permit.period import INSTANT
from haulbook.permit.status import FULL, Status
from haulbook.publish.words import FATE_WORDS, listed
from haulbook.publish.words import day as day_words
from haulbook.taxa import Pack

MANY = 4
"""So many names stand in a line of a list; the rest is a number."""


def basis_words(basis: str) -> str:
    """Return what is counted, as people say it."""
    words = {
        "encountered": _("met"),
        "captured": _("captured"),
        "handled": _("handled"),
        "retained": _("kept"),
        "killed": _("killed"),
        "died": _("died"),
        "lethal": _("died or killed"),
        "sampled": _("sampled"),
    }
    return words.get(basis, basis)


def fate_words(fate: Fate) -> str:
    """Return what became of animals."""
    return FATE_WORDS[fate]


def basis_meaning(basis: str) -> str:
    """Return which fates count, by the table of fates."""
    words = {
        "encountered": _("everything met: captured, and seen to escape before landing"),
        "captured": _("everything landed, whatever became of it"),
        "handled": _("captured, without what was let go untouched out of the net"),
        "retained": _("kept alive, kept dead, killed and kept"),
        "killed": _("killed on purpose, kept or not"),
        "died": _("found or gone dead, put back or kept; a later death within the clause's window"),
        "lethal": _("died or killed"),
        "sampled": _("tissue or the like taken"),
    }
    return words.get(basis, basis)


def period_words(period: str) -> str:
    """Return the span over which a clause counts."""
    words = {
        "haul": _("a haul"),
        "outing": _("an outing"),
        "day": _("a day"),
        "calendar_year": _("a calendar year"),
        "permit_year": _("a permit year"),
        "permit_life": _("all of the permit"),
    }
    return words.get(period, period)


def kind_words(kind: str) -> str:
    """Return what kind of clause it is."""
    words = {
        "limit": _("limit"),
        "prohibit": _("prohibition"),
        "percent": _("percentage"),
        "gear": _("gear"),
        "area": _("place"),
        "hours": _("hours"),
        "people": _("people"),
        "notice": _("notice"),
        "report": _("report"),
        "stop": _("stop"),
        "holding": _("holding"),
        "biosecurity": _("cleaning"),
        "carry": _("papers to carry"),
    }
    return words.get(kind, kind)


def animals(clause: Clause, pack: Pack, *, all_names: bool = False) -> str:
    """Return which animals a clause means."""
    scope = clause.scope
    if scope.everything:
        names = _("all animals")
    elif scope.list_name and not all_names:
        names = scope.list_name.replace("-", " ").replace("_", " ")
    else:
        known = [said(taxon, pack).removesuffix(" unidentified") for taxon in scope.taxa]
        more = len(known) - MANY
        if more > 1 and not all_names:
            known = [*known[:MANY], _("%(n)s more") % {"n": more}]
        names = listed(known)
    return f"{' or '.join(scope.life_stage)} {names}" if scope.life_stage else names


def counted_as(clause: Clause | ClauseStanding) -> str:
    """Return what a clause counts, over which span."""
    basis = basis_words(str(clause.basis))
    if clause.kind == "percent":
        basis = _("%(basis)s of %(of)s") % {"basis": basis, "of": basis_words(str(clause.of))}
    return f"{basis}, {period_words(str(clause.period))}"


def so_far(now: PeriodStanding, clause: ClauseStanding) -> str:
    """Return the count as a figure; a percentage with what it is of."""
    if clause.kind != "percent":
        return str(now.n)
    if not now.d:
        return f"{now.n} / 0"
    return f"{100 * now.n / now.d:.1f}\u00a0%"


def limit_words(clause: Clause | ClauseStanding) -> str:
    """Return the number that a clause sets."""
    if clause.kind == "percent":
        percent = clause.percent
        return f"{percent if percent is None or isinstance(percent, str) else plain(percent)}\u00a0%"
    return _("no number") if clause.limit is None else str(clause.limit)


def state_of(now: PeriodStanding) -> tuple[str, str]:
    """Return the weight and the word of a state: what is certain first, then what may be."""
    status = Status(now.status)
    words = {
        Status.OPEN: _("open"),
        Status.NEAR: _("near"),
        Status.REACHED: _("reached"),
        Status.EXCEEDED: _("exceeded"),
        Status.CLOSED: _("closed"),
        Status.PENDING: _("too few to judge"),
        Status.OVER_SINCE_AMENDMENT: _("over since amendment"),
    }
    if status in (Status.EXCEEDED, Status.OVER_SINCE_AMENDMENT):
        return "stop", words[status]
    if status not in FULL and Status(now.worst) in FULL:
        return "near", _("%(status)s, perhaps %(worst)s") % {
            "status": words[status],
            "worst": words[Status(now.worst)],
        }
    return ("near" if status in (Status.NEAR, Status.REACHED) else ""), words[status]


def left_sentence(clause: ClauseStanding, permit: Permit) -> str:
    """Return what may still be done under a clause, as one sentence."""
    now, until = clause.now, day_words(clause.now.last)
    may = {
        "encountered": _("be met"),
        "captured": _("be captured"),
        "handled": _("be handled"),
        "retained": _("be kept"),
        "killed": _("be killed"),
        "died": _("die"),
        "lethal": _("die or be killed"),
        "sampled": _("be sampled"),
    }.get(clause.basis, clause.basis)
    if clause.kind == "percent":
        return _("%(n)s of %(d)s %(basis)s; %(limit)s is the limit of %(period)s.") % {
            "n": now.n,
            "d": now.d or 0,
            "basis": basis_words(clause.basis),
            "limit": limit_words(clause),
            "period": period_words(clause.period),
        }
    if clause.kind == "prohibit" or clause.limit == 0:
        return _("None may %(may)s.") % {"may": may}
    if clause.limit is None:
        return _("Allowed without a number.")
    left = now.left or 0
    if now.over:
        return ngettext("%(num)s too many.", "%(num)s too many.", now.over) % {"num": now.over}
    span = now.words if now.label else period_words(clause.period)
    told = {"num": left or _("No"), "may": may, "until": until, "words": span}
    if clause.period == "day":
        return _("%(num)s more may %(may)s on %(words)s.") % told
    if clause.period in ("haul", "outing"):
        return _("%(num)s more may %(may)s in %(words)s.") % told
    return _("%(num)s more may %(may)s until %(until)s.") % told


def asks(clause: Clause) -> str:
    """Return what a clause asks that does not count animals."""
    match clause.detail:
        case GearRule() as rule:
            return listed(list(_gear(rule))) or _("as the words say")
        case AreaRule(inside, outside):
            within = _("within %(where)s") % {"where": _ground(inside)} if inside else ""
            beyond = _("not within %(where)s") % {"where": _ground(outside)} if outside else ""
            return "; ".join(filter(None, [within, beyond]))
        case HoursRule(start, end):
            return _("the whole haul between %(start)s and %(end)s") % {"start": start, "end": end}
        case PeopleRule(any_of, least):
            one = _("one of %(people)s") % {"people": listed(list(any_of))} if any_of else ""
            many = ngettext("at least %(num)s person", "at least %(num)s people", least) % {"num": least}
            return "; ".join(filter(None, [one, many if least else ""]))
        case NoticeRule(lead_h, to, receipt):
            words = _("word to %(to)s at least %(h)s h before the first haul") % {
                "to": to or _("the agency"),
                "h": plain(lead_h),
            }
            return f"{words}{_(', and its receipt') if receipt else ''}"
        case ReportRule(days_after, month_day):
            life = clause.period is Period.PERMIT_LIFE
            span = _("the permit") if life else period_words(str(clause.period))
            if days_after is not None:
                words = ngettext(
                    "report within %(num)s day of the end of %(span)s",
                    "report within %(num)s days of the end of %(span)s",
                    days_after,
                )
                return words % {"num": days_after, "span": span}
            month, day = month_day or (12, 31)
            due = day_words(date(2001, month, day)).removesuffix(" 2001")
            return _("report due on %(day)s after the end of %(span)s") % {
                "day": due,
                "span": span,
            }
        case HoldingRule(until, _days, release):
            held = _("the end of the permit") if until == "end" else day_words(until)
            back = _("may be let go again") if release else _("may not be let go again")
            return _("held until %(end)s; what was held %(back)s") % {"end": held, "back": back}
        case BiosecurityRule(do, before, dry_h):
            dry = _(", then %(h)s h dry") % {"h": plain(dry_h)} if dry_h is not None else ""
            when = _("before the next site") if before == "site" else _("before a release")
            return f"{do}{dry}, {when}"
        case StopRule(when, notify):
            return when + (_("; tell %(who)s") % {"who": notify} if notify else "")
        case CarryRule(papers):
            return listed([paper.replace("_", " ") for paper in papers])
    return ""


def follows(clause: Clause) -> list[tuple[str, str]]:
    """Return what follows at a clause, as (when, what)."""
    heads = (
        (_("at the first one"), clause.on_any),
        (_("when it is reached"), clause.on_reach),
        (_("when it is exceeded"), clause.on_exceed),
    )
    return [(head, _consequence(what)) for head, what in heads if what is not None]


def in_force_words(clause: Clause, zone: ZoneInfo) -> str:
    """Return from when to when a version rules, local to the permit."""
    first = day_words(clause.effective_from.astimezone(zone).date())
    if clause.effective_to is None:
        return _("from %(first)s on") % {"first": first}
    last = (clause.effective_to - INSTANT).astimezone(zone).date()
    return _("%(first)s to %(last)s") % {"first": first, "last": day_words(last)}


def where_words(clause: Clause) -> str:
    """Return where a clause stands in the permit."""
    source = clause.source
    where = [
        _("page %(page)s") % {"page": source.page} if source.page else "",
        _("section %(section)s") % {"section": source.section} if source.section else "",
    ]
    return ", ".join(filter(None, where))


def _gear(rule: GearRule) -> list[str]:
    found = []
    for value, words in (
        (rule.length_max_m, _("net of at most %(n)s m")),
        (rule.height_max_m, _("at most %(n)s m deep")),
    ):
        if value is not None:
            found.append(words % {"n": plain(value)})
    for value, words in (
        (rule.mesh_min_mm, _("mesh of at least %(n)s mm")),
        (rule.mesh_max_mm, _("mesh of at most %(n)s mm")),
    ):
        if value is not None:
            found.append(words % {"n": plain(value)})
    if rule.types:
        found.append(" or ".join(rule.types))
    if rule.hauls_max is not None:
        words = ngettext("at most %(num)s set %(per)s", "at most %(num)s sets %(per)s", rule.hauls_max)
        per = _("a day") if rule.per == "day" else _("an outing")
        found.append(words % {"num": rule.hauls_max, "per": per})
    return found


def _ground(ground: Ground) -> str:
    return listed(list(ground.sites)) or _("a drawn area")


def _consequence(what: Consequence) -> str:
    stops = {
        Stop.TAXON: _("no more of these"),
        Stop.HAUL: _("the haul ends"),
        Stop.OUTING: _("the outing ends"),
        Stop.PERMIT: _("work under the permit ends"),
    }
    parts = [stops.get(what.stop, "")]
    if what.notify:
        parts.append(_("tell %(who)s") % {"who": what.notify})
    if what.within_h is not None:
        parts.append(_("within %(h)s h") % {"h": plain(what.within_h)})
    if what.written_within_d is not None:
        parts.append(_("in writing within %(d)s days") % {"d": what.written_within_d})
    return ", ".join(filter(None, parts)) or _("nothing is said")
