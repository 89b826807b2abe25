"""``haulbook care acclimate``: the way from transport water to tank water."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from haulbook.cli.care_options import AsJson, Scale, say, settle
from haulbook.cli.common import print_json
from haulbook.problems import Refusal

if TYPE_CHECKING:
    from haulbook.care.acclimation.schedule import Bath, Schedule


def acclimate(
    from_: Annotated[str, typer.Option("--from", help="Transport water: temperature,salinity as 16,26.")],
    to: Annotated[str, typer.Option(help="Tank water: temperature,salinity as 11,32.")],
    litres: Annotated[float, typer.Option(help="Transport water, litres.")],
    flow: Annotated[
        float | None, typer.Option(help="Drip with overflow at this flow, L/h. Default: part changes.")
    ] = None,
    tan: Annotated[float | None, typer.Option(help="Total ammonia of the transport water, mg N/L.")] = None,
    transport_ph: Annotated[float | None, typer.Option(help="pH of the transport water.")] = None,
    tank_ph: Annotated[float | None, typer.Option(help="pH of the tank.")] = None,
    scale: Scale = "nbs",
    card: Annotated[Path | None, typer.Option(help="Write a card to print and log on: FILE.pdf.")] = None,
    paper: Annotated[str, typer.Option(help="Paper of the card: a4 or letter.")] = "a4",
    as_json: AsJson = False,
) -> None:
    """Lay out the steps from transport water to tank water, ammonia looked at first.

    Example: haulbook care acclimate --from 16,26 --to 11,32 --litres 12

    Example: haulbook care acclimate --from 16,26 --to 11,32 --litres 12 --tan 2 --tank-ph 8.1 --card card.pdf
    """
    from haulbook.care.acclimation.schedule import schedule

    if tan is not None and tank_ph is None:
        raise Refusal("the ammonia check needs the tank's pH beside --tan: give --tank-ph")
    transport, tank = _bath("--from", from_, transport_ph), _bath("--to", to, tank_ph)
    made = schedule(transport, tank, litres, flow_l_h=flow, tan_mg_n_l=tan, scale=scale)
    if card is not None:
        from haulbook.publish.acclimation_card import acclimation_card

        try:
            card.write_bytes(acclimation_card(transport, tank, litres, made, paper=paper))
        except OSError as error:
            raise Refusal(f"the card can't be written to {card}: {error.strerror}") from None
    if as_json:
        steps = [
            {
                "at_min": round(step.at_min, 4),
                "swap_l": round(step.swap_l, 6),
                "temperature": round(step.temperature_c, 6),
                "salinity": round(step.salinity, 6),
            }
            for step in made.steps
        ]
        print_json({"hours": round(made.hours, 6), "steps": steps})
    else:
        _say_schedule(made, card)
    settle(made.findings)


def _bath(option: str, text: str, ph: float | None) -> Bath:
    from haulbook.care.acclimation.schedule import Bath

    try:
        temperature, salinity = (float(part) for part in text.split(","))
    except ValueError:
        raise Refusal(f"{option} {text!r}: write temperature and salinity as 16,26") from None
    return Bath(temperature, salinity, ph)


def _say_schedule(made: Schedule, card: Path | None) -> None:
    from haulbook.care.acclimation.schedule import FLOAT_MIN, UNMEASURED
    from haulbook.care.cautions import NO_RELEASE, VETERINARIAN

    if made.route == "none needed":
        say("The two waters are alike: no acclimation is needed.")
    elif made.route == "short":
        say(
            f"The short route: float the closed container {FLOAT_MIN[0]} to {FLOAT_MIN[1]} minutes, move the "
            "animals at once, discard the transport water."
        )
    else:
        word = "swap" if made.route == "swaps" else "has dripped"
        say(f"{made.hours:.1f} h in {len(made.steps)} steps, air on throughout, each reading written down.")
        say(
            *(
                f"  {step.clock}  {word} {step.swap_l:.1f} L  "
                f"{step.temperature_c:.1f} °C  salinity {step.salinity:.1f}"
                for step in made.steps
            )
        )
    if made.steps and made.nh3_mg_l is None:
        say(UNMEASURED)
    say(
        "Move the animals by wet hand net or container; transport water never goes into the exhibit.",
        "Look at them again after 24, 48 and 72 hours.",
        "Source: mixing laws; rates are planning defaults.",
        VETERINARIAN,
        NO_RELEASE,
    )
    if card is not None:
        say(f"Card: {card}")
