"""Words of the pages of an outing."""

from __future__ import annotations

from datetime import date

from django.utils import dateformat
from django.utils.translation import gettext as _
from django.utils.translation import ngettext, pgettext

from haulbook.office.entry_words import kind_words, place_words, plainly
from haulbook.office.settle import NET, Matter, Way
from haulbook.publish.words import listed
from haulbook.station.pages.outing.at_hand import AtHand

MOST_NAMED = 4
"""Kinds that are named of a bucket with more of them."""


def state_words(state: str, versions: int, open_n: int) -> tuple[str, str]:
    """Return a state in words, and its weight."""
    if state == "open" and open_n:
        return ngettext("%(n)s thing stands open", "%(n)s things stand open", open_n) % {"n": open_n}, "near"
    words = {
        "planned": (_("planned"), ""),
        "open": (_("open"), ""),
        "closed": (_("closed, not signed"), "near"),
        "signed": (_("signed") if versions < 2 else _("signed, amended"), "done"),
        "changed since signing": (_("changed since signing"), "near"),
    }
    return words[state]


def title_of(about: AtHand) -> str:
    """Return what an outing is called on its page."""
    if about.day is None:
        return _("Outing %(outing)s") % {"outing": about.outing}
    day = long_day(about.day)
    if not about.number:
        return _("Outing of %(day)s") % {"day": day}
    return _("Outing %(n)s, %(day)s") % {"n": about.number, "day": day}


def long_day(day: date) -> str:
    """Return ``Friday 21 May 2027``."""
    # Translators: day of the week, day, month and year, as Django's date filter takes it.
    return dateformat.format(day, pgettext("date format", "l j F Y"))


def column_words() -> dict[str, str]:
    """Return the heads of the balance's fates."""
    return {
        "back": _("back alive"), "kept": _("kept"), "died": _("died"), "killed": _("killed"),
        "escaped": _("escaped"), "lost": _("lost"), "open": _("not placed"),
    }  # fmt: skip


def headline(matter: Matter, about: AtHand) -> str:
    """Return what stands open in one sentence."""
    pack, outing = about.pack, about.outing
    if matter.kind != "animals":
        lots = about.reading.account.animals
        taxa = {lot.taxon for lot in lots} | {one.taxon for one in about.reading.account.short}
        return plainly(matter.words, outing, taxa, pack)
    kinds: dict[str, int] = {}
    for row in matter.held:
        name = kind_words(row.taxon, row.stage, pack, row.unit)
        kinds[name] = kinds.get(name, 0) + row.n
    hauls = sorted({row.haul.rpartition("/")[2] for row in matter.held}, key=int)
    names = [f"{n} {name}" for name, n in kinds.items()]
    if matter.place == NET:
        words = {"what": listed(names), "hauls": listed(hauls)}
        if matter.n == 1:
            return _("%(what)s of haul %(hauls)s is not accounted for.") % words
        return _("%(what)s of haul %(hauls)s are not accounted for.") % words
    where = matter.place[:1].upper() + matter.place[1:]
    if len(names) == 1:
        return _("%(place)s still holds %(what)s.") % {"place": where, "what": names[0]}
    shown = names if len(names) <= MOST_NAMED else [*names[:MOST_NAMED], _("more")]
    told = {"place": where, "n": matter.n, "what": listed(shown)}
    return _("%(place)s still holds %(n)s: %(what)s.") % told


def whereabouts(matter: Matter, about: AtHand) -> str:
    """Return what came out of the sea and where the rest of it went, for animals of one kind that nobody placed."""
    if matter.place != NET:
        return ""
    hauls = {row.haul for row in matter.held}
    first = matter.held[0]
    out, went = 0, dict[str, int]()
    for row in about.reading.balances.of(taxon=first.taxon, stage=first.stage, unit=first.unit).rows:
        if row.haul not in hauls or row.place == matter.place:
            continue
        if row.place == "sea":
            out -= row.n
        else:
            went[row.place] = went.get(row.place, 0) + row.n
    rest = [
        _("%(n)s in %(place)s") % {"n": n, "place": place} if place.startswith(("bucket", "cooler", "tank"))
        else f"{n} {place_words(place)}"
        for place, n in went.items()
    ]  # fmt: skip
    if not rest:
        return _("%(n)s came out of the sea.") % {"n": out}
    return _("%(n)s came out of the sea: %(rest)s.") % {"n": out, "rest": listed(rest)}


def way_words(way: Way, matter: Matter) -> str:
    """Return what the button of a way says."""
    words = {
        "back": _("Put back, not called"),
        "dead-back": _("Died"),
        "dead-kept": _("Died, kept"),
        "lost": _("Lost, with its cause"),
        "tank": _("To a tank"),
        "fewer": _("Miscounted: strike %(n)s of “%(said)s”") % {"n": matter.n, "said": way.said},
        "arrived": _("Not called: enter %(n)s") % {"n": matter.n},
        "strike": _("Strike “%(said)s”") % {"said": way.said},
        "stand": _("Both stand"),
        "confirm": _("Confirm: fate unknown"),
        "keep": _("The bucket was to keep"),
        "not-left": _("It did not leave the beach then"),
        "recount": _("Counted once more"),
        "name": _("Give it its name"),
        "sign": _("Look at the difference and sign"),
    }
    if way.kind == "stand":
        return {
            "name-open": _("The name stays open"), "late-line": _("The line stands"), "gap": _("Known: it is lost"),
            "fork": _("Known: both are here"), "clock": _("Known"), "zero-and-count": _("Leave it so"),
        }.get(matter.kind, words["stand"])  # fmt: skip
    return words[way.kind]
