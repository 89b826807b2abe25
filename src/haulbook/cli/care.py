"""``haulbook care``: sea water and the ration; bucket and acclimation stand beside this file."""

from __future__ import annotations

from typing import Annotated

import typer

from haulbook.cli.care_acclimate import acclimate
from haulbook.cli.care_bucket import bucket
from haulbook.cli.care_options import AsJson, Salinity, Scale, Temperature, say, settle
from haulbook.cli.common import print_json
from haulbook.problems import Refusal


def register(app: typer.Typer) -> None:
    """Add ``care`` and its commands."""
    care = typer.Typer(
        name="care",
        help="Sea water, the bucket's clock, the way home, the ration.\n\n"
        "haulbook reckons; the permit, local rules and a veterinarian decide.",
        no_args_is_help=True,
    )
    for command in (oxygen, salinity, ammonia, bucket, acclimate, ration):
        care.command()(command)
    app.add_typer(care)


def oxygen(
    temperature: Temperature,
    salinity: Salinity,
    pressure: Annotated[float, typer.Option(help="Barometer at the water, hPa.")] = 1013.25,
    as_json: AsJson = False,
) -> None:
    """Say how much oxygen water holds in balance with air.

    Example: haulbook care oxygen --temperature 12 --salinity 30
    """
    from haulbook.care import seawater

    mg = seawater.oxygen_mg_per_l(temperature, salinity, pressure)
    umol = seawater.oxygen_umol_per_kg(temperature, salinity) * seawater.pressure_factor(
        temperature, pressure
    )
    if as_json:
        print_json({"mg_per_l": round(mg, 6), "umol_per_kg": round(umol, 6)})
        return
    say(
        f"Water of {temperature:g} °C and salinity {salinity:g} holds {mg:.2f} mg/L of oxygen "
        f"({umol:.1f} µmol/kg) under air at {pressure:g} hPa.",
        f"80 % of that is {0.8 * mg:.2f} mg/L, 60 % is {0.6 * mg:.2f} mg/L.",
        "Source: Benson & Krause 1984 (mg/L); Garcia & Gordon 1992 (µmol/kg).",
        "A meter set to another salinity shows another number: look what it is set to.",
    )


def salinity(
    temperature: Annotated[float, typer.Option(help="Temperature of the sample, degrees C.")],
    reading: Annotated[
        float | None, typer.Option(help="Hydrometer reading, specific gravity as 1.022.")
    ] = None,
    calibration: Annotated[
        str | None, typer.Option(help="Mark on the float: 60/60F, 15/4, 20/20 or 25/25.")
    ] = None,
    conductivity: Annotated[
        float | None, typer.Option(help="Conductivity at the sample's own temperature, mS/cm.")
    ] = None,
    as_json: AsJson = False,
) -> None:
    """Say the salinity behind a hydrometer or a conductivity reading.

    Example: haulbook care salinity --reading 1.022 --temperature 10 --calibration 60/60F

    Example: haulbook care salinity --conductivity 35 --temperature 12
    """
    if conductivity is not None and calibration is not None:
        raise Refusal("--calibration is the mark on a hydrometer: give it with --reading, not --conductivity")
    if conductivity is not None and reading is None:
        found = _by_conductivity(conductivity, temperature)
        source = "PSS-78. Switch off any 25 °C compensation of the meter first."
    elif reading is not None and conductivity is None:
        found = _by_hydrometer(reading, temperature, calibration)
        source = "EOS-80 density (Millero & Poisson 1981) and the expansion of the glass."
    else:
        raise Refusal("give either --reading of a hydrometer or --conductivity, one of the two")
    middle, low, high = found
    if as_json:
        rounded = None if middle is None else round(middle, 6)
        print_json({"salinity": rounded, "low": round(low, 6), "high": round(high, 6)})
    else:
        word = "Salinity" if middle is None else f"Salinity {middle:.1f},"
        say(f"{word} from {low:.1f} to {high:.1f} at {temperature:g} °C.", f"Source: {source}")
    settle([_WHICH_FLOAT] if middle is None else [])


_WHICH_FLOAT = (
    "which calibration pair is printed on the float: 60/60F, 15/4, 20/20 or 25/25? "
    "The same reading means salinities that lie far apart"
)


def _by_conductivity(conductivity: float, temperature: float) -> tuple[float | None, float, float]:
    from haulbook.care import seawater
    from haulbook.care.planning import HOUSE

    low, high = seawater.conductivity_low_high(conductivity, temperature, HOUSE.conductivity_doubt)
    return seawater.salinity_from_conductivity(conductivity, temperature), low, high


def _by_hydrometer(
    reading: float, temperature: float, calibration: str | None
) -> tuple[float | None, float, float]:
    from haulbook.care import seawater
    from haulbook.care.planning import HOUSE

    low, high = seawater.hydrometer_low_high(reading, temperature, calibration, HOUSE.hydrometer_graduation)
    if calibration is None:
        return None, low, high
    return seawater.salinity_from_hydrometer(reading, temperature, calibration), low, high


def ammonia(
    temperature: Temperature,
    salinity: Salinity,
    ph: Annotated[float, typer.Option(help="pH as measured.")],
    scale: Scale,
    tan: Annotated[
        float | None,
        typer.Option(help="Total ammonia as nitrogen, mg N/L."),
    ] = None,
    as_json: AsJson = False,
) -> None:
    """Say which share of ammonia is un-ionised, the poisonous form, and how much that is.

    Example: haulbook care ammonia --temperature 12 --salinity 30 --ph 8.0 --scale nbs --tan 0.84
    """
    from haulbook.care import seawater
    from haulbook.care.bucket.ammonia import nh3_light
    from haulbook.care.cautions import VETERINARIAN
    from haulbook.care.planning import HOUSE, LABEL

    fraction = seawater.ammonia_fraction(temperature, salinity, ph, scale)
    nh3 = None if tan is None else seawater.nh3_mg_per_l(tan, fraction)
    if as_json:
        print_json({"fraction": round(fraction, 8), "nh3_mg_per_l": None if nh3 is None else round(nh3, 8)})
        return
    say(f"{100.0 * fraction:.3g} % of the ammonia is un-ionised at pH {ph:g} ({scale}), {temperature:g} °C.")
    if nh3 is not None:
        say(
            f"That is {nh3:.4f} mg NH3/L: {nh3_light(nh3)} (amber from {HOUSE.ammonia_green_mg_l:g}, "
            f"red above {HOUSE.ammonia_red_mg_l:g}, {LABEL})."
        )
    say(
        "Source: Bower & Bidwell 1978 as fitted (nbs); Clegg & Whitfield 1995 (total).",
        "In sea water the same pH number means 8 to 28 % more on the total scale than on nbs.",
        VETERINARIAN,
    )


def ration(
    grams: Annotated[float, typer.Option(help="Mass of the animals together, g.")],
    temperature: Temperature,
    as_json: AsJson = False,
) -> None:
    """Say how much wet food a day to start from.

    Example: haulbook care ration --grams 240 --temperature 12
    """
    from haulbook.care.bucket.clock import two_figures
    from haulbook.care.cautions import VETERINARIAN
    from haulbook.care.planning import LABEL
    from haulbook.care.tank.live_food import RULE, START
    from haulbook.care.tank.ration import ration_g_per_day, ration_share

    per_day, share = ration_g_per_day(grams, temperature), ration_share(temperature)
    if as_json:
        print_json(
            {"g_per_day": round(per_day, 6), "percent_per_day": round(100.0 * share, 6), "standing": LABEL}
        )
        return
    say(
        f"{two_figures(per_day)} g of wet food a day, {100.0 * share:.1f} % of {grams:g} g ({LABEL}).",
        "Watch it taken; take out what is left; less when they refuse.",
        START,
        RULE,
        "Source: 2 % at 12 °C, hobby and farm guidance; change with warmth by Clarke & Johnston 1999.",
        VETERINARIAN,
    )
