"""The schedule from transport water to a tank's water, with ammonia looked at first."""

from __future__ import annotations

from dataclasses import dataclass

from haulbook.care.acclimation.mixing import drip, drip_flow_most, drip_hours
from haulbook.care.bucket.change import after_change
from haulbook.care.planning import HOUSE, LABEL, PlanningDefaults
from haulbook.care.ranges import Within, require
from haulbook.care.seawater.ammonia import ammonia_fraction, nh3_mg_per_l

FLOAT_MIN = (15, 30)
"""Minutes to float a closed container in the tank: at least 15 (FAO small-scale aquaponics), at most 30."""

UNMEASURED = "Ammonia was not looked at: measure the transport water's total ammonia and the tank's pH first."
"""What has to be said beside a schedule without that measurement."""

LONGEST_DRIP_H = 168.0
"""A drip that takes more than a week is a tap set wrong."""

PH_APART = 0.5
"""A larger step in pH asks for a day rather than hours (FAO small-scale aquaponics)."""


@dataclass(frozen=True, slots=True)
class Bath:
    """Water as measured: temperature -2 to 35 °C, salinity 0 to 42, pH (5 to 10) where measured."""

    temperature_c: float
    salinity: float
    ph: float | None = None

    def __post_init__(self) -> None:
        ranges = [
            Within("temperature", self.temperature_c, -2, 35, " °C"),
            Within("salinity", self.salinity, 0, 42),
        ]
        if self.ph is not None:
            ranges.append(Within("pH", self.ph, 5, 10))
        require(*ranges)


@dataclass(frozen=True, slots=True)
class Step:
    """What to do at a minute, and the water the animals are in afterwards."""

    at_min: float
    swap_l: float
    temperature_c: float
    salinity: float

    @property
    def clock(self) -> str:
        """Hours and minutes from the start, ``2:05``, to the nearest minute."""
        hours, minutes = divmod(round(self.at_min), 60)
        return f"{hours}:{minutes:02d}"


@dataclass(frozen=True, slots=True)
class Schedule:
    """The way home.

    Attributes
    ----------
    route : {"none needed", "swaps", "drip", "short"}
        ``short``: float to match temperature, move by wet net; a long stay at the tank's pH would poison.
    hours : float
    steps : tuple of Step
        Oldest first; the last one is within the planning default of the tank's water.
    findings : tuple of str
        What a person has to settle before starting.
    nh3_mg_l : float or None
        Un-ionised ammonia that the transport water would hold at the tank's pH; None where nobody measured.
    """

    route: str
    hours: float
    steps: tuple[Step, ...]
    findings: tuple[str, ...] = ()
    nh3_mg_l: float | None = None


def nh3_at_tank_ph(transport: Bath, tank: Bath, tan_mg_n_l: float, scale: str) -> float | None:
    """Return un-ionised ammonia (mg NH3/L) of the transport water once it has the tank's pH; None without pH.

    Taken at the warmer and the fresher of the two waters, where the share is highest.
    """
    if tank.ph is None:
        return None
    warmer = max(transport.temperature_c, tank.temperature_c)
    fresher = min(transport.salinity, tank.salinity)
    fraction = ammonia_fraction(warmer, fresher, tank.ph, scale)
    return nh3_mg_per_l(tan_mg_n_l, fraction)


def schedule(
    transport: Bath,
    tank: Bath,
    litres: float,
    *,
    flow_l_h: float | None = None,
    tan_mg_n_l: float | None = None,
    scale: str = "nbs",
    planning: PlanningDefaults = HOUSE,
) -> Schedule:
    """Return the schedule for ``litres`` of transport water; with ``flow_l_h`` a drip, else part changes.

    Each part change swaps a share of the water after a rest of ``share * difference / rate``, the slower of
    temperature and salinity, so that the mean rate stays within both limits (planning defaults).

    Raises
    ------
    Refusal
        Water volume 0.1 to 10 000 L, flow 0.01 to 10 000 L/h, or a bath outside its range; a drip of more
        than a week.
    """
    require(
        Within("water volume", litres, 0.1, 10_000, " L"),
        Within("flow", 1.0 if flow_l_h is None else flow_l_h, 0.01, 10_000, " L/h"),
    )
    nh3 = None if tan_mg_n_l is None else nh3_at_tank_ph(transport, tank, tan_mg_n_l, scale)
    findings = _findings(transport, tank, planning)
    if nh3 is not None and nh3 > planning.ammonia_red_mg_l:
        short = (
            f"at the tank's pH the transport water would hold {nh3:.3f} mg NH3/L, above "
            f"{planning.ammonia_red_mg_l:g} ({LABEL}): take the short route, float {FLOAT_MIN[0]} to "
            f"{FLOAT_MIN[1]} min, move by container or wet hand net, discard the transport water"
        )
        return Schedule("short", FLOAT_MIN[1] / 60.0, (), (short, *findings), nh3)
    gaps = (abs(transport.temperature_c - tank.temperature_c), abs(transport.salinity - tank.salinity))
    if max(gaps) <= planning.acclimation_none_within:
        return Schedule("none needed", 0.0, (), findings, nh3)
    if flow_l_h is not None:
        return _drip(transport, tank, litres, flow_l_h, findings, nh3, planning)
    steps = _swaps(transport, tank, litres, planning)
    return Schedule("swaps", steps[-1].at_min / 60.0, steps, findings, nh3)


def _findings(transport: Bath, tank: Bath, planning: PlanningDefaults) -> tuple[str, ...]:
    found = []
    gap = abs(transport.salinity - tank.salinity)
    if gap > planning.acclimation_salinity_most:
        found.append(
            f"salinity differs by {gap:.1f}, more than {planning.acclimation_salinity_most:g} in one go "
            f"({LABEL}): stop half-way, hold a day or longer, ask a veterinarian or a keeper of that species"
        )
    if transport.ph is not None and tank.ph is not None and abs(transport.ph - tank.ph) > PH_APART:
        found.append(
            f"pH differs by {abs(transport.ph - tank.ph):.1f}, more than {PH_APART:g}: "
            "plan for a day, not for hours (FAO small-scale aquaponics), unless ammonia forbids it"
        )
    return tuple(found)


def _swaps(transport: Bath, tank: Bath, litres: float, planning: PlanningDefaults) -> tuple[Step, ...]:
    share = planning.acclimation_swap
    temperature, salinity, minutes = transport.temperature_c, transport.salinity, 0.0
    steps: list[Step] = []
    while (
        max(abs(temperature - tank.temperature_c), abs(salinity - tank.salinity)) > planning.acclimation_close
    ):
        rest_h = share * max(
            abs(temperature - tank.temperature_c) / planning.acclimation_c_per_h,
            abs(salinity - tank.salinity) / planning.acclimation_salinity_per_h,
        )
        minutes += rest_h * 60.0
        temperature = after_change(temperature, tank.temperature_c, share)
        salinity = after_change(salinity, tank.salinity, share)
        steps.append(Step(minutes, share * litres, temperature, salinity))
    return tuple(steps)


def _drip(
    transport: Bath,
    tank: Bath,
    litres: float,
    flow_l_h: float,
    findings: tuple[str, ...],
    nh3: float | None,
    planning: PlanningDefaults,
) -> Schedule:
    pairs = (
        (transport.temperature_c, tank.temperature_c, planning.acclimation_c_per_h, "temperature"),
        (transport.salinity, tank.salinity, planning.acclimation_salinity_per_h, "salinity"),
    )
    for start, target, rate, what in pairs:
        most = drip_flow_most(start, target, litres, rate)
        if most is not None and flow_l_h > most * (1.0 + 1e-9):
            first = abs(start - target) * flow_l_h / litres
            steep = (
                f"{flow_l_h:g} L/h changes {what} by {first:.1f} per hour at first, "
                f"more than {rate:g} ({LABEL}): open the tap to {most:.1f} L/h at most"
            )
            findings = (*findings, steep)
    hours = max(
        drip_hours(start, target, planning.acclimation_close, litres, flow_l_h)
        for start, target, _, _ in pairs
    )
    require(Within("the length of that drip,", hours, 0, LONGEST_DRIP_H, " h", "open the tap further"))
    marks = [each * 0.5 for each in range(1, int(hours / 0.5) + 1)]
    if not marks or marks[-1] < hours:
        marks.append(hours)
    steps = tuple(
        Step(
            mark * 60.0,
            flow_l_h * (mark - before),
            drip(mark, transport.temperature_c, tank.temperature_c, litres, flow_l_h),
            drip(mark, transport.salinity, tank.salinity, litres, flow_l_h),
        )
        for before, mark in zip([0.0, *marks], marks, strict=False)
    )
    return Schedule("drip", hours, steps, findings, nh3)
