"""Our own drawings of body plans: whole, alone, named, one ink."""

from __future__ import annotations

import re
from importlib.resources import files
from xml.etree import ElementTree

import pytest

from haulbook.problems import Refusal
from haulbook.publish.silhouettes import EGG_MASS, names, silhouette, silhouette_of
from haulbook.taxa import PACKS, load_pack

SVG = "{http://www.w3.org/2000/svg}"


def source(name):
    return files("haulbook.publish").joinpath(f"silhouettes/{name}.svg").read_text(encoding="utf-8")


def test_there_is_a_drawing_for_every_body_plan_and_for_eggs_and_no_other():
    folder = files("haulbook.publish").joinpath("silhouettes")
    assert sorted(path.name for path in folder.iterdir()) == sorted(f"{name}.svg" for name in names())
    assert len(names()) == 31


@pytest.mark.parametrize("name", names())
def test_a_drawing_is_one_fill_on_the_grid_with_a_name_and_nothing_from_outside(name):
    root = ElementTree.fromstring(source(name))
    assert root.tag == f"{SVG}svg"
    assert (root.get("viewBox"), root.get("fill"), root.get("role")) == ("0 0 96 48", "currentColor", "img")
    assert root[0].tag == f"{SVG}title"
    assert root[0].text
    assert {child.tag for child in root[1:]} == {f"{SVG}path"}
    attributes = {key for child in root[1:] for key in child.attrib}
    assert attributes <= {"d", "fill-rule"}
    text = source(name).replace('xmlns="http://www.w3.org/2000/svg"', "")
    assert not re.search(r"https?:|url\(|href|style|script|<image|<use", text)
    assert len(text) < 10_000


@pytest.mark.parametrize("pack", PACKS)
def test_every_taxon_that_a_tally_can_use_has_a_drawing(pack):
    taxa = load_pack(pack)
    bare = [
        key
        for key, taxon in taxa.taxa.items()
        if silhouette_of(key, taxa) is None and taxon.group != "higher"
    ]
    assert bare == []


@pytest.mark.parametrize(
    ("pack", "taxon", "drawing"),
    [
        ("nepacific", "bay-pipefish", "pipe"),
        ("nepacific", "threespine-stickleback", "torpedo"),
        ("nepacific", "silverspotted-sculpin", "bighead"),
        ("nepacific", "pacific-sand-lance", "torpedo"),
        ("nepacific", "sunflower-star", "star"),
        ("nwatlantic", "lumpfish", "tadpole"),
        ("nwatlantic", "horseshoe-crab", "horseshoe"),
        ("nwatlantic", "asterias", "star"),
    ],
)
def test_a_taxon_takes_the_drawing_of_its_body_else_of_its_group(pack, taxon, drawing):
    assert silhouette_of(taxon, load_pack(pack)) == drawing


def test_eggs_are_drawn_as_eggs():
    assert silhouette_of("bay-pipefish", load_pack("nepacific"), stage="egg mass") == EGG_MASS


def test_a_drawing_takes_another_name_safely_or_hides_from_screen_readers():
    named = silhouette("crab", title="<green> crab")
    assert "<title>&lt;green&gt; crab</title>" in named
    assert 'role="img"' in named
    hidden = silhouette("crab", hidden=True)
    assert 'aria-hidden="true"' in hidden
    assert "<title>" not in hidden
    assert 'role="img"' not in hidden


def test_a_drawing_that_there_is_not_is_refused_by_name():
    with pytest.raises(Refusal, match="there is no drawing 'krab'; the nearest is 'crab'"):
        silhouette("krab")


@pytest.mark.browser
def test_every_drawing_renders_with_ink_inside_its_grid(chromium):
    page = chromium.new_page(viewport={"width": 200, "height": 100})
    page.set_content("<body style='margin:0'></body>")
    for name in names():
        boxes = page.evaluate(
            """svg => { document.body.innerHTML = svg;
            return [...document.querySelectorAll('path')].map(p => { const b = p.getBBox();
              return [b.x, b.y, b.x + b.width, b.y + b.height]; }); }""",
            str(silhouette(name)),
        )
        left, top, right, bottom = (
            pick(box[i] for box in boxes) for i, pick in enumerate((min, min, max, max))
        )
        assert left >= 0, name
        assert top >= 0, name
        assert right <= 96, name
        assert bottom <= 48, name
        assert max((right - left) / 96, (bottom - top) / 48) >= 0.8, name  # it fills its grid one way
    page.close()
