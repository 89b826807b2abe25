"""Cautions stand wherever an animal is shown."""

from __future__ import annotations

from haulbook.care.cautions import NO_RELEASE, PERMIT, VETERINARIAN, caution_of, hurts
from haulbook.taxa import load_pack


def test_hazard_and_handling_come_from_the_pack():
    pack = load_pack("nwatlantic")
    said = caution_of(pack["lions-mane-jelly"], pack.lineage("lions-mane-jelly"), pack.taxa)
    assert said.hazards.startswith("STING")
    assert hurts(said)
    assert said.words().startswith("lions-mane-jelly: STING")


def test_an_animal_without_words_of_its_own_borrows_its_familys(species):
    taxa = {"brachyura": species(key="brachyura", hazards="pinch", handling="From behind.")}
    said = caution_of(species(key="some-crab"), ("brachyura", "animalia"), taxa)
    assert said.words() == "some-crab: pinch. From behind."
    assert caution_of(species(), (), taxa) is None


def test_harmless_is_no_warning(species):
    assert not hurts(caution_of(species(hazards="harmless", handling="Wet hands.")))
    assert not hurts(caution_of(species(hazards="harmless, slippery")))
    assert hurts(caution_of(species(hazards="dorsal spines")))


def test_the_deciders_are_named():
    assert "veterinarian" in VETERINARIAN
    assert "proposes no dose" in VETERINARIAN
    assert "local rules" in PERMIT
    assert "not released" in NO_RELEASE
