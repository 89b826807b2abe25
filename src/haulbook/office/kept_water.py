"""The water of a tank: its last reading, and what that means for what lives in it."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any, Literal

from haulbook.care.bucket.ammonia import nh3_light
from haulbook.care.planning import HOUSE, LABEL, PlanningDefaults
from haulbook.care.seawater.ammonia import ammonia_fraction, nh3_mg_per_l
from haulbook.care.seawater.oxygen import oxygen_meter_corrected, oxygen_percent
from haulbook.care.tank.diary import instant_of
from haulbook.custody.entry import Entry
from haulbook.exchange.station_toml import Instrument
from haulbook.problems import Refusal

Weight = Literal["", "near", "stop"]
NO_SPECIES = (
    "No limits of single species are published for these animals: the lines are planning defaults for catch "
    "from cold water. A measured value of the station's own goes before them."
)


@dataclass(frozen=True, slots=True)
class Judged:
    """One value of a reading and what it means.

    Attributes
    ----------
    weight : {"", "near", "stop"}
        Nothing to do; look at it; act now.
    words : str
        The value, the line it is held against, and what that line rests on.
    """

    weight: Weight
    words: str


@dataclass(frozen=True, slots=True)
class WaterNow:
    """The last reading of a tank's water.

    Attributes
    ----------
    at : datetime
    instrument : str
        Its key and, where the station lists it, its kind and what it was set to.
    temperature_c, salinity, nh3_mg_l : float or None
        ``nh3_mg_l``: un-ionised ammonia; None where something that it hangs on was not read.
    judged : tuple of Judged
    """

    at: datetime
    instrument: str
    temperature_c: float | None
    salinity: float | None
    nh3_mg_l: float | None
    judged: tuple[Judged, ...]

    @property
    def weight(self) -> Weight:
        """The heaviest of what was judged."""
        found = {one.weight for one in self.judged}
        return "stop" if "stop" in found else "near" if "near" in found else ""


def water_now(
    readings: Iterable[Entry], instruments: Mapping[str, Instrument], planning: PlanningDefaults = HOUSE
) -> WaterNow | None:
    """Return the last of the readings of one place, judged; None where there is none.

    Parameters
    ----------
    readings : iterable of Entry
        Of the kind ``reading``, none of them struck.
    instruments : mapping of str to Instrument
        The station's.
    """
    last = max(readings, key=lambda entry: entry.when.sort_key(), default=None)
    if last is None:
        return None
    body, meter = last.body, instruments.get(last.body["instrument"])
    nh3, why = _ammonia(body)
    judged = [
        *_temperature(body, planning), *_salinity(body, meter), *_oxygen(body, meter, planning),
        *_ph(body), *_poison(nh3, why, planning),
    ]  # fmt: skip
    return WaterNow(
        instant_of(last), _instrument(last.body["instrument"], meter), body.get("temperature_c"),
        body.get("salinity"), nh3, tuple(judged),
    )  # fmt: skip


def _instrument(key: str, meter: Instrument | None) -> str:
    if meter is None:
        return f"{key}, not among the station's instruments"
    more = [meter.calibration, meter.scale and f"{meter.scale} scale"]
    if meter.salinity_setting is not None:
        more.append(f"set to salinity {meter.salinity_setting:g}")
    return ", ".join([f"{meter.key}: {meter.kind}", *(one for one in more if one)])


def _temperature(body: Mapping[str, Any], planning: PlanningDefaults) -> list[Judged]:
    if "temperature_c" not in body:
        return []
    value, most = body["temperature_c"], planning.warm_stop_at_c
    if value >= most:
        return [
            Judged("near", f"{value:g} °C is warm for catch from cold water ({most:g} °C or more, {LABEL})")
        ]
    return [Judged("", f"{value:g} °C, below {most:g} °C ({LABEL})")]


def _salinity(body: Mapping[str, Any], meter: Instrument | None) -> list[Judged]:
    if "salinity" not in body:
        return []
    words = f"salinity {body['salinity']:g}"
    if meter is None or meter.kind not in ("hydrometer", "refractometer"):
        return [Judged("", words)]
    if meter.kind == "hydrometer" and not meter.calibration:
        return [
            Judged("near", f"{words} by a hydrometer of unknown pair of temperatures: it may be 3 or 4 off")
        ]
    return [Judged("", f"{words} by {meter.kind}{f' {meter.calibration}' if meter.calibration else ''}")]


def _oxygen(body: Mapping[str, Any], meter: Instrument | None, planning: PlanningDefaults) -> list[Judged]:
    try:
        mg_l, corrected = _true_oxygen(body, meter)
        percent = _saturation(body, mg_l)
    except Refusal as refusal:
        return [Judged("near", f"oxygen can't be judged: {refusal}")]
    if mg_l is None and percent is None:
        return []
    words = ", ".join(
        one
        for one in (
            f"oxygen {mg_l:.1f} mg/L" if mg_l is not None else "oxygen",
            f"{percent:.0f} % of saturation" if percent is not None else "",
            corrected,
        )
        if one
    )
    low = mg_l is not None and mg_l < planning.act_mg_l
    if low or (percent is not None and percent < planning.act_percent):
        line = f"under {planning.act_percent:g} % or {planning.act_mg_l:g} mg/L"
        return [Judged("stop", f"{words}: {line}, more air now ({LABEL}, hatchery practice)")]
    if percent is None:
        return [Judged("", f"{words}; its share of saturation hangs on temperature and salinity")]
    if percent < planning.target_percent:
        return [Judged("near", f"{words}: under {planning.target_percent:g} % ({LABEL}, common practice)")]
    return [Judged("", words)]


def _true_oxygen(body: Mapping[str, Any], meter: Instrument | None) -> tuple[float | None, str]:
    """Return oxygen in mg/L as it is in the water, and a word where the meter had been set to another salinity."""
    shown = body.get("oxygen_mg_l")
    setting = meter.salinity_setting if meter is not None else None
    if shown is None or setting is None or not {"temperature_c", "salinity"} <= body.keys():
        return shown, ""
    if abs(setting - body["salinity"]) < 1.0:
        return shown, ""
    value = oxygen_meter_corrected(shown, body["temperature_c"], setting, body["salinity"])
    return value, f"the meter showed {shown:g}, set to salinity {setting:g}"


def _saturation(body: Mapping[str, Any], mg_l: float | None) -> float | None:
    if "oxygen_percent" in body:
        return float(body["oxygen_percent"])
    if mg_l is None or not {"temperature_c", "salinity"} <= body.keys():
        return None
    return oxygen_percent(mg_l, body["temperature_c"], body["salinity"])


def _ph(body: Mapping[str, Any]) -> list[Judged]:
    return [Judged("", f"pH {body['ph']:g} on the scale {body['scale']}")] if "ph" in body else []


def _ammonia(body: Mapping[str, Any]) -> tuple[float | None, str | None]:
    if "tan_mg_n_l" not in body:
        return None, None
    needed = {
        "temperature_c": "temperature",
        "salinity": "salinity",
        "ph": "pH",
        "scale": "the scale of the pH",
    }
    lacking = [words for key, words in needed.items() if key not in body]
    if lacking:
        return None, f"how much of the ammonia is toxic hangs on {', '.join(lacking)}, which was not read"
    try:
        share = ammonia_fraction(body["temperature_c"], body["salinity"], body["ph"], body["scale"].lower())
        return nh3_mg_per_l(body["tan_mg_n_l"], share), None
    except Refusal as refusal:
        return None, f"how much of the ammonia is toxic can't be said: {refusal}"


def _poison(nh3: float | None, why: str | None, planning: PlanningDefaults) -> list[Judged]:
    if nh3 is None:
        return [Judged("near", why)] if why else []
    words = f"toxic ammonia {nh3:.3f} mg NH₃/L"
    light = nh3_light(nh3, planning)
    if light == "green":
        return [Judged("", f"{words}, under {planning.ammonia_green_mg_l:g} ({LABEL})")]
    if light == "amber":
        line = f"between {planning.ammonia_green_mg_l:g} and {planning.ammonia_red_mg_l:g} ({LABEL})"
        return [Judged("near", f"{words}: {line}; change water, feed less")]
    line = f"above {planning.ammonia_red_mg_l:g}, the marine chronic criterion of WAC 173-201A-240"
    return [Judged("stop", f"{words}: {line}; change water now, feed nothing")]
