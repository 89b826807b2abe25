"""How the places of a sheet are called on the page. The same words stand on the printed sheet."""

from __future__ import annotations

from django.utils.functional import Promise
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy as later

from haulbook.gear.shapes import LETTERS
from haulbook.office.compare_typings import LINE
from haulbook.office.typed_sheet import ALL, BASIS, NONE

COLUMNS: dict[str, Promise] = {
    "back": later("back"),
    "kept": later("kept"),
    "dead-back": later("dead, put back"),
    "dead-kept": later("dead, kept"),
    "killed-kept": later("killed, kept"),
    "killed-back": later("killed, back"),
    "back-in-net": later("let go in the net"),
    "escaped": later("escaped"),
    "given": later("given"),
    "lost": later("lost"),
    "net": later("no fate"),
}
"""Columns of numbers."""
PLACES: dict[str, Promise] = {
    "name": later("name, as written"),
    "stage": later("stage"),
    **COLUMNS,
    "how": later("how"),
    "length_type": later("what"),
    "lengths": later("lengths, mm"),
    "remark": later("remark"),
    ALL: later("all"),
    LINE: later("the whole line"),
}
HEAD: dict[str, Promise] = {
    "started": later("Net in the water"),
    "landed": later("Net on the beach"),
    "ended": later("Last animal"),
    "site": later("Site"),
    "net": later("Net"),
    "set_type": later("How the net was set"),
    "area_m2": later("Area said by the sheet"),
    "depth_m": later("Depth"),
    "condition": later("How the haul went"),
    "why": later("Why"),
    "temperature_c": later("Water"),
    "salinity": later("Salinity"),
    "instrument": later("With"),
    "keep_place": later("Kept in bucket"),
    "left_beach": later("It left the beach"),
    "lengths_are": later("Lengths are"),
    "none_of": later("Searched for, none found, besides"),
    "remark": later("Remarks on the haul"),
}
GEOMETRY: dict[str, Promise] = {
    "w": later("w, width between the wing ends"),
    "d": later("d, distance hauled"),
    "c": later("c, between the landing points"),
    "b": later("b, greatest reach"),
    "D": later("D, offset from the water line"),
    "L": later("L, net in the water"),
}
"""Lengths of the set; the letters are those of ``haulbook.gear``."""
CONDITIONS: dict[str, Promise] = {
    "1": later("1 good"),
    "2": later("2 minor fault"),
    "3": later("3 poor"),
    "4": later("4 failed"),
    "5": later("5 no measure"),
    "9": later("9 not known"),
}
SET_TYPES: dict[str, Promise] = {
    "straight": later("straight"),
    "quarter": later("quarter"),
    "semicircle": later("semicircle"),
    "segment": later("segment"),
    "half_ellipse": later("half ellipse"),
    "trapezoid": later("trapezoid"),
    "given": later("area given"),
    "rectangle_half_disc": later("rectangle and half disc"),
}
"""Ways of setting the net whose area follows from what stands on a sheet."""
MEASURED: dict[str, Promise] = {"measured": later("measured"), "assumed": later("assumed")}


def place_words(place: str) -> str:
    """Return how a place of head, line or sums is called."""
    if place in BASIS.values():
        return _("{length}: measured or assumed").format(length=GEOMETRY[place.partition("_")[0]])
    if place.startswith(NONE):
        return _("searched for, none found")
    found = HEAD.get(place) or GEOMETRY.get(place) or PLACES.get(place)
    return str(found) if found is not None else place


def line_place_words(place: str) -> str:
    """Return how a place of a line is called."""
    return str(PLACES.get(place, place))


assert set(GEOMETRY) == set(LETTERS), "every length of a set has a word here"  # noqa: S101
