"""The look-alike card: what tells two to five animals apart, on one page to read or print."""

from __future__ import annotations

from functools import cache

from jinja2 import Environment

from haulbook.identify import Lookalikes
from haulbook.identify.lookalike import UNKNOWN
from haulbook.identify.notices import Kind
from haulbook.identify.words import short_name
from haulbook.publish import words
from haulbook.publish.pages import environment
from haulbook.publish.silhouettes import silhouette, silhouette_of
from haulbook.taxa import Taxon

CAUTIONS = (
    "Wet hands, few seconds, back into the water between looks.",
    "Spines, pincers and stings; cuts get infected in sea water.",
    "The permit, the agency and local rules decide what may be kept, and what has to be reported.",
)
"""What belongs under every card (common practice, no source)."""

_STOP: tuple[Kind, ...] = ("hazardous", "protected")
"""Kinds that are marked as a stop; the others are marked as near."""


def lookalike_card(found: Lookalikes) -> str:
    """Return the card as one HTML document that stands alone: no script, nothing fetched.

    Parameters
    ----------
    found : Lookalikes

    Returns
    -------
    str
        UTF-8 text to be written as it is.
    """
    pack = found.pack
    drawing = {taxon: silhouette_of(taxon, pack) for taxon in found.taxa}
    return (
        _environment()
        .get_template("lookalike-card.html.j2")
        .render(
            found=found,
            taxa=[pack[taxon] for taxon in found.taxa],
            title=words.listed([short_name(pack[taxon]) for taxon in found.taxa]),
            drawing=drawing,
            drawings=sorted({name for name in drawing.values() if name}),
            handling=_handling([pack[taxon] for taxon in found.taxa]),
            unparted=[
                (short_name(pack[one]), short_name(pack[other]), pack[common] if common else None)
                for one, other, common in found.unparted
            ],
            cautions=CAUTIONS,
        )
    )


def _marks(found: Lookalikes, taxon: Taxon) -> list[tuple[str, Kind]]:
    return [("stop" if kind in _STOP else "near", kind) for kind in found.notices(taxon.key)]


def _handling(taxa: list[Taxon]) -> list[tuple[str, str]]:
    """Return names and what the pack says about handling them; the same words stand once."""
    by_text: dict[str, list[str]] = {}
    for taxon in taxa:
        said = (taxon.hazards, taxon.handling, taxon.status_note)
        text = " ".join(f"{part[:1].upper()}{part[1:].rstrip('.')}." for part in said if part)
        if text:
            by_text.setdefault(text, []).append(short_name(taxon))
    return [(words.listed(names), text) for text, names in by_text.items()]


@cache
def _environment() -> Environment:
    return environment(silhouette=silhouette, short_name=short_name, marks=_marks, unknown=UNKNOWN)
