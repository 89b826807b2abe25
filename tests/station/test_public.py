"""The public face: closed until the lead opens it, and then without a day, a place, a person or a remark.

Every book here is invented.
"""

from __future__ import annotations

import json
import math
import re
from datetime import datetime, timedelta
from importlib.resources import files
from pathlib import Path
from types import SimpleNamespace
from zoneinfo import ZoneInfo

import pytest
from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st
from jinja2 import FileSystemLoader
from markupsafe import Markup

from haulbook.custody.facts import Account, Animals, Haul
from haulbook.custody.fates import Fate
from haulbook.custody.when import When
from haulbook.gear import Net
from haulbook.office.bed import bed_of
from haulbook.office.coarse import coarse
from haulbook.office.densities import areas_of
from haulbook.office.story import is_protected, story_of
from haulbook.station.models import Settings, Site
from haulbook.station.pages.public import context_of, told
from haulbook.station.web import jinja
from haulbook.station.web.display import Display
from haulbook.taxa import load_pack

PACK = load_pack("nwatlantic")
TEMPLATES = Path(str(files("haulbook.station"))) / "templates"
COMMON = ("cunner", "northern-pipefish", "winter-flounder", "european-green-crab")
PROTECTED = ("lined-seahorse", "american-eel", "atlantic-salmon", "salmonidae", "horseshoe-crab")
REMARK, SITE, LABEL = "seen by nobody else", "quagmire", "sheet-row-"
NET = Net("n1", 9.0, 1.5, 6.0, "stretch", 0.7)


@pytest.fixture
def opened(db):
    Settings.objects.update(public=True)


def test_a_station_that_is_not_open_says_so(client, db):
    answer = client.get("/open/")
    assert answer.status_code == 404
    assert "keeps no public page" in answer.content.decode()
    assert "/open/" not in client.get("/sign-in/").content.decode()


def test_an_open_station_tells_its_story_to_everyone_and_shows_the_way_to_it(client, opened):
    page = client.get("/open/").content.decode()
    assert "The story of the bed" in page
    assert "15 outings, 60 hauls" in page
    assert re.search(r"\d[\d\u202f]* animals of \d+ kinds", page)
    assert page.count('<svg class="strip"') == 36  # twelve kinds, three years
    assert "/open/" in client.get("/sign-in/").content.decode()


def test_an_open_station_without_a_book_says_what_will_stand_there(rendered):
    assert "Nothing has been written down yet." in rendered(Account((), ()), ())


def test_the_page_asks_the_database_as_often_whatever_the_book_holds(
    client, opened, django_assert_max_num_queries
):
    client.get("/open/")
    with django_assert_max_num_queries(16):
        client.get("/open/")


def test_the_invented_season_gives_away_no_day_place_or_person(client, opened, lead):
    page = _main(client.get("/open/").content.decode())
    assert not _days(page)
    for word in (
        "sallowhorn-cove",
        *(f"p{n}" for n in range(1, 10)),
        *(one.key for one in Site.objects.all()),
    ):
        assert not re.search(rf"\b{word}\b", page), word


def test_who_is_protected_is_what_the_pack_says_itself_or_of_genus_and_family():
    assert all(is_protected(taxon, PACK) for taxon in PROTECTED)
    assert not any(is_protected(taxon, PACK) for taxon in COMMON)
    pacific = load_pack("nepacific")
    assert is_protected("coho-salmon", pacific)  # Salmonidae: "treat an unidentified ... as listed"
    assert is_protected("actinopterygii", pacific)  # "an unidentified fish may be a listed salmonid"
    assert not is_protected("shiner-perch", pacific)  # which is a fish all the same


def _main(page):
    return page[page.index("<main") : page.index("</main>")]


def _days(page):
    words = re.sub(r"<[^>]*>", " ", page)
    months = "January|February|April|June|July|August|September|October|November|December"
    return re.findall(rf"\d{{4}}-\d\d|\d\d?:\d\d|\b(?:{months})\b", words)


@pytest.fixture(scope="module")
def rendered():
    """Render the page of an account and its sites, as the station does."""
    made = jinja.environment(loader=FileSystemLoader(TEMPLATES))
    made.globals.update(asset=lambda name: f"/static/{name}", url=lambda name, **_: f"/{name}/")

    def page(account, sites):
        some = bed_of(account, areas_of(account.hauls, {"n1": NET}), PACK.is_within)
        context = {
            "me": None,
            "station": SimpleNamespace(name="Lanyard Cove Shore Station", public=True),
            "theme": "",
            "received": "",
            "display": Display(zone="America/New_York"),
            "messages": [],
            "csrf_input": Markup(""),
            "request": SimpleNamespace(path="/open/", method="GET", GET={}, get_full_path=lambda: "/open/"),
            **context_of(json.loads(json.dumps(told(story_of(account, PACK), some, PACK))), sites, PACK),
        }
        return _main(made.get_template("public/story.html").render(context))

    return page


ZONE = ZoneInfo("America/New_York")
days = st.integers(0, 3 * 365 * 24 - 1).map(
    lambda hours: datetime(2021, 1, 1, tzinfo=ZONE) + timedelta(hours=hours)
)
sites = st.lists(
    st.tuples(st.floats(-80, 80), st.floats(-179.9, 179.9), st.floats(0, 200)), min_size=1, max_size=3
)


@st.composite
def hauls(draw):
    made = []
    for i, at in enumerate(draw(st.lists(days, min_size=2, max_size=8, unique=True))):
        outing = f"{at:%Y-%m-%d}-{'abcdefgh'[i]}"
        made.append(
            Haul(
                key=f"{outing}/1", outing=outing, label=f"{LABEL}{i}", site=f"{SITE}-{i % 3}", net="n1",
                set_type="given", landed=When(at.isoformat()), condition=1, area_m2=draw(st.floats(20, 300)),
                lat=draw(st.floats(-80, 80)), lon=draw(st.floats(-179, 179)), remarks=(REMARK,),
            )
        )  # fmt: skip
    return tuple(made)


def lot(haul, taxon, n):
    return Animals(haul.key, taxon, n, Fate.RELEASED_ALIVE, "back", haul.landed, said=REMARK, cause=REMARK)


@st.composite
def catches(draw, of):
    kinds = st.sampled_from(COMMON)
    return tuple(
        lot(haul, taxon, draw(st.integers(1, 60)))
        for haul in of
        for taxon in draw(st.sets(kinds, min_size=1, max_size=3))
    )


QUICK = settings(max_examples=30, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])


@QUICK
@given(st.data(), hauls(), sites)
def test_no_day_person_remark_or_key_is_told_whatever_was_found(rendered, data, hauls, sites):
    animals = data.draw(catches(hauls))
    rare = data.draw(
        st.lists(st.tuples(st.sampled_from(hauls), st.sampled_from(PROTECTED), st.integers(1, 3)))
    )
    animals += tuple(lot(*one) for one in rare)
    page = rendered(Account(hauls, animals), sites)
    assert not _days(page)
    told = (REMARK, SITE, LABEL, *(haul.key for haul in hauls), *(haul.outing for haul in hauls))
    assert not [word for word in told if word in page]
    for position in (*sites, *((haul.lat, haul.lon, 0) for haul in hauls)):
        assert not [one for one in position[:2] if f"{abs(one):.4f}" in page]
    assert ("No position is told." in page) == (bool(rare) or not any(coarse(*one) for one in sites))


def test_the_two_names_of_one_meridian_are_one_cell():
    """180° east and 180° west are the same meridian (ISO 6709): both sides of it tell the same cell."""
    assert coarse(10.0, -179.99, 50) == coarse(10.0, 179.99, 50) == coarse(10.0, -180.0, 50)
    assert coarse(10.0, -179.99, 50).lon == 180


@QUICK
@given(st.data(), hauls(), sites)
def test_every_position_of_a_wide_enough_square_gives_the_same_page(rendered, data, hauls, sites):
    """What the page says of a place is true of everything within half the allowed width around what it says."""
    account = Account(hauls, data.draw(catches(hauls)))
    page = rendered(account, sites[:1])
    km = sites[0][2]
    found = re.search(r"around ([\d.]+)° (north|south), ([\d.]+)° (east|west)", page)
    assume(found is not None)
    north = float(found[1]) * (1 if found[2] == "north" else -1)
    east = float(found[3]) * (1 if found[4] == "east" else -1)
    half = 0.499 * max(km, 1.0)
    up, right = data.draw(st.floats(-half, half)), data.draw(st.floats(-half, half))
    other_lat = north + up / 111.195
    other_lon = (east + right / (111.195 * math.cos(math.radians(north))) + 180) % 360 - 180
    assert rendered(account, [(other_lat, other_lon, km)]) == page


@QUICK
@given(st.data(), hauls(), sites, st.sampled_from(PROTECTED))
def test_where_and_when_in_a_year_a_protected_animal_was_found_changes_nothing(
    rendered, data, hauls, sites, taxon
):
    animals = data.draw(catches(hauls))
    here = data.draw(st.sampled_from(hauls))
    there = data.draw(
        st.sampled_from([one for one in hauls if one.landed.first_day.year == here.landed.first_day.year])
    )
    n = data.draw(st.integers(1, 5))
    one = rendered(Account(hauls, (*animals, lot(here, taxon, n))), sites)
    other = rendered(Account(hauls, (*animals, lot(there, taxon, n))), sites)
    assert one == other
    assert PACK[taxon].scientific_name in one


@given(st.floats(-90, 90), st.floats(-180, 180), st.floats(0, 500), st.floats(1, 3))
def test_a_wider_cell_never_tells_more(lat, lon, km, wider):
    cell, wide = coarse(lat, lon, km), coarse(lat, lon, km * wider)
    assert wide is None or (cell is not None and wide.km >= cell.km * 0.999)
    for one in (cell, wide):
        assert one is None or abs(float(one.lat) - lat) * 111.195 <= one.km / 2 * 1.01


def test_a_haul_without_a_year_and_a_name_that_is_open_stand_in_no_list():
    dated = Haul("a/1", "a", landed=When("2026"))
    bare = Haul("b/1", "b")
    story = story_of(Account((dated, bare), (lot(dated, "?blob", 2), lot(bare, "cunner", 3))), PACK)
    assert (story.outings, story.animals, story.open_names, story.kinds) == ({"2026": 1}, 2, 1, ())
