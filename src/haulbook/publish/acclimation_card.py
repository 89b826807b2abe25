"""The acclimation card: the schedule on a sheet to hang by the tank and write readings on."""

from __future__ import annotations

import json
from importlib.resources import files
from typing import Any

from haulbook.care.acclimation.schedule import Bath, Schedule
from haulbook.care.cautions import NO_RELEASE, PERMIT, VETERINARIAN
from haulbook.care.planning import LABEL
from haulbook.care.tank.checks import AFTER_H
from haulbook.care.tank.live_food import RULE, START
from haulbook.problems import Refusal, unknown

PAPERS = {"a4": "a4", "letter": "us-letter"}

_RULES = (
    "Air on throughout; lid on; shade. Write every reading down, also a bad one.",
    "Gasping, rolling or lying: stop, more air, and ask. A measured value goes before this card.",
    "Then move the animals by wet hand net or container. Never pour transport water into the exhibit.",
)


def acclimation_card(
    transport: Bath, tank: Bath, litres: float, made: Schedule, *, paper: str = "a4"
) -> bytes:
    """Return the card as PDF.

    Parameters
    ----------
    transport, tank : Bath
        The two waters as measured.
    litres : float
        Transport water.
    made : Schedule
        From `care.acclimation.schedule.schedule` for just these.
    paper : {"a4", "letter"}

    Raises
    ------
    Refusal
        Another paper, or the extra ``reports`` is not installed.
    """
    if paper not in PAPERS:
        raise Refusal(unknown("paper", paper, PAPERS))
    try:
        import typst
    except ImportError:
        raise Refusal("the card needs the extra 'reports': pip install 'haulbook[reports]'") from None
    template = files("haulbook.publish").joinpath("templates/acclimation-card.typ").read_bytes()
    card = card_content(transport, tank, litres, made) | {"paper": PAPERS[paper]}
    pdf: bytes = typst.compile(template, sys_inputs={"card": json.dumps(card)}, ignore_system_fonts=True)
    return pdf


def card_content(transport: Bath, tank: Bath, litres: float, made: Schedule) -> dict[str, Any]:
    """Return what stands on the card, as plain words."""
    drip = made.route == "drip"
    return {
        "title": "Acclimation card",
        "summary": _summary(made, litres),
        "findings": list(made.findings),
        "waters": [_water_row("transport", transport), _water_row("tank", tank)],
        "steps_title": "Drip" if drip else "Part changes" if made.steps else "Steps",
        "swap_head": "dripped, L" if drip else "swap, L",
        "steps": [
            [
                step.clock,
                f"{step.swap_l:.1f}",
                f"{step.temperature_c:.1f}",
                f"{step.salinity:.1f}",
            ]
            for step in made.steps
        ],
        "rules": list(_RULES),
        "checks": [f"{hours} h" for hours in AFTER_H],
        "cautions": [START, RULE, PERMIT, NO_RELEASE, VETERINARIAN],
        "source": f"Mixing laws; rates, steps and limits are house values ({LABEL}), open to change.",
    }


def _summary(made: Schedule, litres: float) -> str:
    if made.route == "none needed":
        return f"{litres:g} L of transport water: the two waters are alike, no acclimation needed."
    if made.route == "short":
        return f"{litres:g} L of transport water: the short route, because of ammonia."
    how = "drip with overflow" if made.route == "drip" else "part changes"
    unmeasured = ". Ammonia was not measured" if made.nh3_mg_l is None else ""
    return f"{litres:g} L of transport water, {how}, {made.hours:.1f} h{unmeasured}."


def _water_row(name: str, bath: Bath) -> list[str]:
    ph = "" if bath.ph is None else f"{bath.ph:g}"
    return [name, f"{bath.temperature_c:.1f}", f"{bath.salinity:.1f}", ph, "", ""]
