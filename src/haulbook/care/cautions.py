"""The usual cautions: what can hurt a hand, how to hold, and who decides where haulbook does not."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Protocol


class TaxonCautions(Protocol):
    """The part of a taxon that cautions come from; fields as in the taxon pack."""

    @property
    def key(self) -> str:
        """The pack's key."""

    @property
    def hazards(self) -> str | None:
        """What can hurt a person."""

    @property
    def handling(self) -> str | None:
        """How to hold it."""


@dataclass(frozen=True, slots=True)
class Caution:
    """What to mind with an animal wherever it is shown; each None where the pack says nothing."""

    taxon: str
    hazards: str | None
    handling: str | None

    def words(self) -> str:
        """Return both on one line."""
        said = [each.rstrip(".") + "." for each in (self.hazards, self.handling) if each]
        return f"{self.taxon}: {' '.join(said)}"


_NO_HAZARD = ("none", "harmless", "no sting", "does not sting")

HAND_RULES = (
    "Wet hands without sunscreen or repellent; support the body; no fingers in gills or eyes.",
    "At most 15 s in air (planning default). Never bend a pipefish.",
    "Herring, silversides and surfperch shed scales: pour or scoop, do not net twice.",
)

PEOPLE = (
    "Cover cuts and wear gloves: infections enter through cuts and spine punctures. Wash after handling.",
    "A lump weeks later, or fast-spreading pain or fever: a doctor the same day; say fish and sea water.",
    "Weak immunity or liver disease: no wet handling.",
    "Sting or bite with trouble to breathe: call emergency help. First aid by the poison centre's text.",
    "Cold water: lifejacket, wader belt, a buddy; hands fail within 2 to 15 min.",
)

PERMIT = (
    "The permit, the agency and local rules decide what may be kept, moved or put back; "
    "their text goes before haulbook."
)
NO_RELEASE = "An animal that has been in captivity is not released unless the permit says so."
VETERINARIAN = (
    "Illness, medicines, baths, anaesthesia and killing are a veterinarian's decision; "
    "haulbook records them and proposes no dose."
)
PUMPS = "Pumps fade as batteries die: look at the bucket and at the meter, never at the clock alone."


def caution_of(
    taxon: TaxonCautions, lineage: Iterable[str] = (), taxa: Mapping[str, TaxonCautions] | None = None
) -> Caution | None:
    """Return what to mind with a taxon; None where neither it nor an ancestor says anything.

    Parameters
    ----------
    taxon : TaxonCautions
    lineage : iterable of str
        Ancestor keys, parent first; the nearest that says something lends its words.
    taxa : mapping of str to TaxonCautions
        The pack's taxa, to look ancestors up in.
    """
    family = [taxon, *((taxa or {})[key] for key in lineage if key in (taxa or {}))]
    hazards = next((each.hazards for each in family if each.hazards), None)
    handling = next((each.handling for each in family if each.handling), None)
    if hazards is None and handling is None:
        return None
    return Caution(taxon.key, hazards, handling)


def hurts(caution: Caution) -> bool:
    """Return whether the hazard is one to warn a person of, rather than a word that there is none."""
    return bool(caution.hazards) and not (caution.hazards or "").lower().startswith(_NO_HAZARD)
