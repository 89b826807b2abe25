"""``haulbook care bucket``: minutes of oxygen left, and room for more."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING, Annotated, Any

import typer

from haulbook.cli.care_options import AsJson, Salinity, Scale, Temperature, say
from haulbook.cli.common import print_json
from haulbook.problems import Refusal

if TYPE_CHECKING:
    from haulbook.care.bucket.clock import Minutes, Stress, Water
    from haulbook.care.bucket.limits import Limit
    from haulbook.care.demand import Demand
    from haulbook.cli.care_animals import Lot


def bucket(
    litres: Annotated[float, typer.Option(help="Water in the bucket, litres (not the bucket's size).")],
    temperature: Temperature,
    salinity: Salinity,
    oxygen: Annotated[
        float | None, typer.Option(help="Oxygen measured now, mg/L. Default: saturated.")
    ] = None,
    percent: Annotated[float | None, typer.Option(help="Oxygen measured now, % of saturation.")] = None,
    air: Annotated[float, typer.Option(help="Exchange with air, per hour; a lid and no pump is 0.")] = 0.0,
    load: Annotated[
        float | None, typer.Option(help="Total oxygen demand, mg/h, capture stress included.")
    ] = None,
    animals: Annotated[
        str | None,
        typer.Option(help='"n taxon length_mm; ...": length may be left out; 8cm and 12g are read too.'),
    ] = None,
    pack: Annotated[str | None, typer.Option(help="Taxon pack: nwatlantic or nepacific.")] = None,
    factor: Annotated[
        float | None,
        typer.Option(help="Fix the capture multiplier; 1 is at rest. Default: 2.4, wearing off."),
    ] = None,
    until_percent: Annotated[
        float | None, typer.Option(help="Count until this % of saturation. Default: 80.")
    ] = None,
    until_mg_l: Annotated[float | None, typer.Option(help="Count until this oxygen, mg/L.")] = None,
    carry: Annotated[float, typer.Option(help="Minutes that further animals have to be carried.")] = 60.0,
    air_temperature: Annotated[
        float | None, typer.Option(help="Air in the shade, degrees C: adds the warming limits.")
    ] = None,
    ph: Annotated[float | None, typer.Option(help="pH of the water: adds the ammonia limit.")] = None,
    scale: Scale = "nbs",
    as_json: AsJson = False,
) -> None:
    """Say how many minutes of oxygen a bucket has left, and how many more animals fit.

    Example: haulbook care bucket --litres 15 --temperature 12 --salinity 30 --pack nwatlantic
    --animals "20 cunner 80; 6 grubby"

    Example: haulbook care bucket --litres 15 --temperature 12 --salinity 30 --load 60 --air 3
    """
    from haulbook.care.bucket import clock, limits
    from haulbook.care.ranges import Within, require
    from haulbook.cli.care_animals import lots_of, total

    require(Within("time to carry", carry, 1, 60_000, " min"))
    water = _water(litres, temperature, salinity, oxygen, percent, air)
    if (load is None) == (animals is None):
        raise Refusal("give either --load in mg/h or --animals with --pack, one of the two")
    if load is not None:
        lots: list[Lot] = []
        demand, stress = _given_load(load, factor)
    else:
        lots = lots_of(animals or "", pack, temperature)
        demand = total(lots)
        stress = clock.fresh_stress() if factor is None else clock.Stress(factor)
    threshold = _threshold(water, until_percent, until_mg_l)
    listed = list(limits.oxygen_limits(water, demand, stress))
    if air_temperature is not None:
        listed += limits.warming_limits(water, air_temperature)
    if ph is not None:
        listed.append(limits.ammonia_limit(water, demand, stress, ph, scale))
    left = clock.minutes_left(water, demand, threshold, stress)
    steady = clock.steady_mg_l(water, demand, stress)
    n = sum(lot.n for lot in lots)
    room = clock.room_for(water, demand, demand.times(1.0 / n), threshold, stress, carry) if n else None
    if as_json:
        print_json(
            {
                **_minutes_json(left),
                "room_for": room,
                "steady_mg_per_l": None if steady is None else round(steady, 6),
                "load_mg_per_h": round(demand.mg_h * stress.multiplier, 6),
                "limits": [_limit_json(each) for each in listed],
            }
        )
        return
    _say_bucket(water, demand, stress, threshold, left, steady, listed)
    if room is not None:
        say(
            f"Room for {room} more of the same mean demand, carried {carry:g} min."
            if room
            else f"No room for more, to be carried {carry:g} min."
        )
    _say_animals(lots, demand)


def _water(
    litres: float,
    temperature: float,
    salinity: float,
    oxygen: float | None,
    percent: float | None,
    air: float,
) -> Water:
    from haulbook.care.bucket.clock import Water
    from haulbook.care.ranges import Within, require

    if oxygen is not None and percent is not None:
        raise Refusal("give the oxygen once: --oxygen in mg/L or --percent of saturation")
    water = Water(litres, temperature, salinity, oxygen, air)
    if percent is None:
        return water
    require(Within("oxygen", percent, 0, 200, " % of saturation", "more is a meter out of order"))
    return Water(litres, temperature, salinity, percent / 100.0 * water.saturation_mg_l, air)


def _given_load(load: float, factor: float | None) -> tuple[Demand, Stress]:
    from haulbook.care.bucket.clock import INCLUDED
    from haulbook.care.demand import spread
    from haulbook.care.planning import HOUSE
    from haulbook.care.ranges import Within, require

    if factor is not None:
        raise Refusal("--load already includes the capture multiplier: leave --factor out, or give --animals")
    require(Within("oxygen demand", load, 0, 1e6, " mg/h"))
    return spread(load, HOUSE.demand_doubt), INCLUDED


def _threshold(water: Water, until_percent: float | None, until_mg_l: float | None) -> float:
    from haulbook.care.bucket.clock import target_mg_l
    from haulbook.care.ranges import Within, require

    if until_percent is not None and until_mg_l is not None:
        raise Refusal("give one threshold: --until-percent or --until-mg-l")
    if until_mg_l is not None:
        require(Within("oxygen threshold", until_mg_l, 0, 30, " mg/L"))
        return until_mg_l
    if until_percent is None:
        return target_mg_l(water)
    require(Within("oxygen threshold", until_percent, 0, 100, " % of saturation"))
    return until_percent / 100.0 * water.saturation_mg_l


def _minutes_json(left: Minutes) -> dict[str, float | None]:
    named = {"minutes": left.middle, "minutes_low": left.low, "minutes_high": left.high}
    return {name: None if value is None else round(value, 4) for name, value in named.items()}


def _limit_json(limit: Limit) -> dict[str, Any]:
    return {
        "limit": limit.what,
        "value": round(limit.value, 6),
        "unit": limit.unit,
        **_minutes_json(limit.minutes),
        "standing": limit.standing,
    }


def _say_bucket(
    water: Water,
    demand: Demand,
    stress: Stress,
    threshold: float,
    left: Minutes,
    steady: float | None,
    listed: Iterable[Limit],
) -> None:
    from haulbook.care.bucket.clock import two_figures

    share = 100.0 * threshold / water.saturation_mg_l
    say(f"Oxygen falls to {threshold:.1f} mg/L ({share:.0f} %): {left.words()}.")
    if steady is not None:
        say(f"Air and animals balance at {steady:.1f} mg/L.")
    now, low, high = (
        two_figures(each * stress.multiplier) for each in (demand.mg_h, demand.low, demand.high)
    )
    say(f"Demand just now {now} mg/h (from {low} to {high}).")
    say(*(f"  {each.what} ({each.value:.3g} {each.unit}): {each.minutes.words()}" for each in listed))


def _say_animals(lots: list[Lot], demand: Demand) -> None:
    from haulbook.care.cautions import PUMPS
    from haulbook.cli.care_animals import cautions, company

    say(*(f"  Company: {each}" for each in company(lots)))
    say(*(f"  {each}" for each in cautions(lots)))
    say(*(f"  Rests on: {each}" for each in demand.notes))
    say(
        "Source: oxygen balance of a well-mixed bucket; Clarke & Johnston 1999 for fish at rest. "
        "A measured oxygen value goes before all of this.",
        PUMPS,
    )
