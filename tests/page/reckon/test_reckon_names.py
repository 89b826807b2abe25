"""What is said of animals on the screen."""

from __future__ import annotations

import pytest

pytestmark = pytest.mark.browser


@pytest.mark.parametrize(
    ("animals", "words"),
    [
        ({"n": 4, "taxon": "rock-gunnel"}, "4 rock gunnel"),
        ({"n": 1, "taxon": "winter-flounder", "stage": "young"}, "1 winter flounder, young"),
        ({"n": 1, "taxon": "palaemon", "stage": "egg mass"}, "1 egg mass of grass shrimp"),
        ({"n": 2, "taxon": "palaemon", "unit": "egg_mass"}, "2 egg masses of grass shrimp"),
        ({"n": 3, "taxon": "palaemon", "unit": "colony"}, "3 colonies of grass shrimp"),
        ({"n": 250, "taxon": "palaemon", "unit": "gram"}, "250 g of grass shrimp"),
        ({"n": 2, "taxon": "?slimy"}, "2 “slimy”"),
        ({"n": 2, "taxon": "not-in-this-kit"}, "2 not-in-this-kit"),
    ],
)
def test_animals_are_said_with_number_name_and_stage(js, case, animals, words):
    whole = {"stage": None, "unit": "individual", **animals}
    assert js("reckon/names.js", "m.animalsInWords(data[0], data[1])", [case("kit"), whole]) == words
