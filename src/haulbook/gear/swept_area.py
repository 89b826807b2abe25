"""From what was measured at a haul to the area it swept, with what that area rests on."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Literal, Protocol

from haulbook.gear.net import Net
from haulbook.gear.polygon import polygon_area_m2
from haulbook.gear.shapes import LETTERS, SET_TYPES, SHAPES, largest_enclosed
from haulbook.problems import Problem, Refusal, unknown

Basis = Literal["measured", "assumed"]


class Length(Protocol):
    """A length in metres and whether somebody measured it at this haul."""

    @property
    def m(self) -> float: ...  # noqa: D102
    @property
    def basis(self) -> Basis: ...  # noqa: D102


@dataclass(frozen=True, slots=True)
class Area:
    """The area that one haul swept.

    Attributes
    ----------
    m2 : float
        Square metres, 0 or more.
    basis : {"measured", "assumed", "given"}
        ``assumed`` as soon as one length in it was assumed; ``given``: somebody said the number.
    cv : float or None
        Coefficient of variation from those of the lengths; None where none was handed in.
    notes : tuple of str
        What a reader of any density made from it must know.
    """

    m2: float
    basis: Literal["measured", "assumed", "given"]
    cv: float | None = None
    notes: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class _Used:
    m: float
    basis: Basis
    note: str | None = None


def swept_area(
    set_type: str | None,
    measures: Mapping[str, Length],
    net: Net | None = None,
    *,
    corners: Sequence[tuple[float, float]] = (),
    given_m2: float | None = None,
    said_by: str | None = None,
    override: str | None = None,
    cvs: Mapping[str, float] | None = None,
) -> Area:
    """Return the area swept by a haul.

    Parameters
    ----------
    set_type : str or None
        One of `SET_TYPES`; None where nobody said, which is refused.
    measures : mapping of letter to Length
        Letters ``w d c b D L`` as in `shapes.LETTERS`, metres. ``rectangle_half_disc`` takes its reach as
        ``b``, or as ``d`` where a sheet calls it so.
    net : Net or None
        For ``L`` where the net in the water was not measured, and for its width ratio where ``w`` was not;
        both make the area ``assumed``. A density never comes from net length without that flag.
    corners : sequence of (latitude, longitude)
        For ``polygon``.
    given_m2, said_by
        For ``given``: the number and who said so. Beside another set type it is compared with the
        computed area.
    override : str or None
        Why a width beyond the net's length stands all the same.
    cvs : mapping of letter to float, optional
        Coefficients of variation of the lengths used; first-order (delta method), so that for a straight haul
        CV²(A) = CV²(w) + CV²(d).

    Raises
    ------
    Refusal
        A length is missing, zero or negative, impossible beside another, or the set type is unknown; all
        problems together.
    """
    if set_type is None:
        raise Refusal("nobody said how the net was set, so there is no area; name the set type")
    if set_type not in SET_TYPES:
        raise Refusal(unknown("set type", set_type, SET_TYPES))
    if set_type == "given":
        return _given(given_m2, said_by)
    _refuse_unreal(measures)
    if set_type == "polygon":
        area = Area(polygon_area_m2(corners), "measured")
        area = _noted(area, _coarse_gps(area.m2))
    else:
        area = _from_lengths(set_type, measures, net, override, cvs or {})
    return area if given_m2 is None else _noted(area, _compared(area.m2, given_m2))


def _given(given_m2: float | None, said_by: str | None) -> Area:
    if given_m2 is None:
        raise Refusal("set type given needs the area itself in m², and who said so")
    if not 0 < given_m2 < math.inf:
        raise Refusal(f"the given area is {given_m2:g} m²; a haul sweeps more than 0")
    return Area(
        given_m2, "given", notes=(f"area given by {said_by}" if said_by else "area given, nobody named",)
    )


def _refuse_unreal(measures: Mapping[str, Length]) -> None:
    problems = [
        Problem("refused", unknown("measure", letter, LETTERS), column=letter)
        for letter in measures
        if letter not in LETTERS
    ]
    problems += [
        Problem(
            "refused",
            f"{LETTERS[letter]} ({letter}) is {length.m:g} m; a length is more than 0",
            column=letter,
        )
        for letter, length in measures.items()
        if letter in LETTERS and not 0 < length.m < math.inf
    ]
    if problems:
        raise Refusal(problems)


def _from_lengths(
    set_type: str,
    measures: Mapping[str, Length],
    net: Net | None,
    override: str | None,
    cvs: Mapping[str, float],
) -> Area:
    shape = SHAPES[set_type]
    used = {letter: _length(letter, set_type, measures, net) for letter in shape.needs}
    missing = [letter for letter, length in used.items() if length is None]
    if missing:
        raise Refusal(
            [Problem("refused", _missing(letter, set_type, net), column=letter) for letter in missing]
        )
    lengths = {letter: length for letter, length in used.items() if length is not None}
    metres = {letter: length.m for letter, length in lengths.items()}
    in_water = _length("L", set_type, measures, net)
    notes = _check_against_net(set_type, metres, in_water.m if in_water else None, override)
    m2 = shape.formula(**metres)
    if set_type == "half_ellipse" and in_water and m2 > largest_enclosed(in_water.m) * (1 + 1e-9):
        raise Refusal(
            f"chord {metres['c']:g} m and reach {metres['b']:g} m make {m2:.1f} m², but {in_water.m:g} m of "
            f"net close off at most {largest_enclosed(in_water.m):.1f} m²; measure again"
        )
    basis: Basis = "assumed" if any(length.basis == "assumed" for length in lengths.values()) else "measured"
    notes += [length.note for length in lengths.values() if length.note]
    return Area(m2, basis, _cv(shape.formula, metres, m2, cvs), tuple(notes))


def _length(letter: str, set_type: str, measures: Mapping[str, Length], net: Net | None) -> _Used | None:
    """Return the length that stands behind a letter: measured at the haul, else from the net and flagged."""
    if letter in measures:
        found = measures[letter]
        note = None if found.basis == "measured" else f"{LETTERS[letter]} of {found.m:g} m was assumed"
        return _Used(found.m, found.basis, note)
    if letter == "b" and set_type == "rectangle_half_disc" and "d" in measures:
        return _length("d", set_type, measures, net)
    if net is None:
        return None
    if letter == "L":
        return _Used(
            net.length_m,
            "assumed",
            f"all {net.length_m:g} m of net {net.key} taken to have been in the water",
        )
    if letter == "w" and net.width_ratio is not None:
        length = measures["L"].m if "L" in measures else net.length_m
        return _Used(
            length * net.width_ratio,
            "assumed",
            f"width not measured: {net.width_ratio:g} of {length:g} m assumed, the same for every such haul "
            f"of net {net.key}, so more hauls do not average the error out",
        )
    return None


def _missing(letter: str, set_type: str, net: Net | None) -> str:
    say = f"set type {set_type} needs the {LETTERS[letter]} ({letter}), in m"
    if letter == "w":
        why = f"net {net.key} has no width ratio to assume" if net else "no net is named"
        return f"{say}; it was not measured and {why}"
    if letter == "L":
        return f"{say}; it was not measured and no net is named"
    return f"{say}; it was not measured"


def _check_against_net(
    set_type: str, metres: Mapping[str, float], in_water_m: float | None, override: str | None
) -> list[str]:
    """Refuse what the net cannot do; return the note of an overridden width."""
    w, c, b = metres.get("w"), metres.get("c"), metres.get("b")
    problems: list[str] = []
    notes: list[str] = []
    if w is not None and in_water_m is not None and w > in_water_m:
        if override:
            notes.append(f"width {w:g} m is beyond the {in_water_m:g} m net, kept because: {override}")
        else:
            problems.append(
                f"width {w:g} m is wider than the {in_water_m:g} m net; correct it, or keep it and say why"
            )
    if (
        set_type in ("segment", "half_ellipse")
        and c is not None
        and in_water_m is not None
        and c > in_water_m
    ):
        problems.append(
            f"the landing points lie {c:g} m apart, farther than {in_water_m:g} m of net can reach"
        )
    if set_type == "rectangle_half_disc" and b is not None and w is not None and b < w / 2:
        problems.append(
            f"a reach of {b:g} m is less than half the width of {w:g} m, so no half disc fits; "
            "name another set type"
        )
    if problems:
        raise Refusal([Problem("refused", problem) for problem in problems])
    return notes


def _cv(
    formula: Callable[..., float], metres: Mapping[str, float], m2: float, cvs: Mapping[str, float]
) -> float | None:
    """Return the first-order CV of the area, CV²(A) = Σ (∂ln A/∂ln x)²·CV²(x), by central differences."""
    given = {letter: cv for letter, cv in cvs.items() if letter in metres}
    if not given or m2 == 0:
        return None
    step = 1e-5
    total = 0.0
    for letter, cv in given.items():
        up = formula(**{**metres, letter: metres[letter] * (1 + step)})
        down = formula(**{**metres, letter: metres[letter] * (1 - step)})
        total += ((up - down) / (2 * step * m2) * cv) ** 2
    return math.sqrt(total)


def _noted(area: Area, note: str | None) -> Area:
    return area if note is None else Area(area.m2, area.basis, area.cv, (*area.notes, note))


def _coarse_gps(m2: float) -> str | None:
    """Return the caution for small polygons (our own rule: corners within 1 m, phones give 3 to 5)."""
    if m2 >= 200:
        return None
    return "corners must be within 1 m; a phone's GPS (3 to 5 m) is too coarse below about 200 m²"


def _compared(m2: float, given_m2: float) -> str | None:
    if abs(m2 - given_m2) <= max(0.5, 0.01 * m2):
        return None
    return f"the sheet says {given_m2:g} m², the lengths give {m2:.1f} m²; the lengths were used"
