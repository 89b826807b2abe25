"""What stays: people, sites, nets, instruments, tanks. Every change is kept; what is off is said beside its field."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from haulbook.problems import Refusal
from haulbook.station.models import Change, Net, Person, Site
from haulbook.station.pages.coordinates import read_coordinate, read_shoreline, shoreline_text
from haulbook.station.store import reference

pytestmark = pytest.mark.django_db

NET = {
    "key": "n2",
    "length_m": "12",
    "height_m": "1.5",
    "mesh_mm": "6",
    "mesh_as": "stretch",
    "width_ratio": "0.7",
}
SITE = {
    "key": "lee-shore", "lat": "41 27.60 N", "lon": "71 18.60 W", "zone": "America/New_York", "depth_least_m": "0.3",
    "depth_most_m": "1.0", "shoreline": "41.460, -71.310\n41.461, -71.311", "tide_station": "8452660",
}  # fmt: skip


def test_a_net_is_added_and_the_domain_knows_it(lead):
    assert lead.post("/station/add/net/", NET).status_code == 302
    assert reference.station().nets["n2"].length_m == 12.0
    change = Change.objects.get(what="net", key="n2")
    assert (change.by, change.before, change.after["mesh_mm"]) == ("p1", None, 6.0)


def test_a_change_keeps_what_it_was_and_shows_it(lead):
    said = {"length_m": "9", "height_m": "1.5", "mesh_mm": "8", "mesh_as": "stretch", "width_ratio": "0.7"}
    lead.post("/station/net/n1/", said)
    change = Change.objects.filter(what="net", key="n1").latest("pk")
    assert (change.before["mesh_mm"], change.after["mesh_mm"]) == (6.0, 8.0)
    assert "Mesh 6.0 → 8.0" in lead.get("/station/net/n1/").content.decode()


def test_keeping_without_a_change_writes_no_history(lead):
    before = Change.objects.count()
    said = {"length_m": "9", "height_m": "1.5", "mesh_mm": "6", "mesh_as": "stretch", "width_ratio": "0.7"}
    lead.post("/station/net/n1/", said)
    assert Change.objects.count() == before


def test_what_is_off_stands_beside_its_field_and_nothing_typed_is_cleared(lead):
    answer = lead.post("/station/add/net/", {**NET, "length_m": "-3", "width_ratio": "4"})
    page = answer.content.decode()
    assert answer.status_code == 400
    assert "length_m is -3; a net has more than 0" in page
    assert 'value="4"' in page
    assert not Net.objects.filter(key="n2").exists()


def test_a_key_that_is_taken_is_refused(lead):
    assert "n1 is taken" in lead.post("/station/add/net/", {**NET, "key": "n1"}).content.decode()


def test_a_hydrometer_needs_its_calibration_pair(lead):
    answer = lead.post("/station/add/instrument/", {"key": "hyd2", "kind": "hydrometer"})
    assert "is needed for a hydrometer" in answer.content.decode()


def test_a_site_takes_degrees_and_minutes_a_shoreline_and_a_tide(lead):
    answer = lead.post("/station/add/site/", SITE)
    assert answer.status_code == 302, answer.content.decode()
    site = reference.station().sites["lee-shore"]
    assert site.position == (41.46, -71.31)
    assert site.tide.station == "8452660"
    assert Site.objects.get(key="lee-shore").shoreline == [[41.46, -71.31], [41.461, -71.311]]


def test_a_site_with_several_faults_says_them_together(lead):
    said = {
        **SITE,
        "lat": "141.4",
        "zone": "America/New_Yrk",
        "depth_least_m": "2",
        "tide_station": "nowhere",
    }
    page = lead.post("/station/add/site/", said).content.decode()
    assert "more than 90 degrees" in page
    said["lat"] = "41.4"
    page = lead.post("/station/add/site/", said).content.decode()
    assert "America/New_York" in page
    assert "write the least, then the most water" in page


def test_the_last_lead_can_neither_be_closed_nor_changed(lead):
    closed = lead.post("/station/person/p1/account/", {"act": "close"})
    assert closed.status_code == 400
    assert "p1 is the only lead" in closed.content.decode()
    changed = lead.post(
        "/station/person/p1/account/", {"account-login": "lead-p1", "account-access": "viewer"}
    )
    assert "p1 is the only lead" in changed.content.decode()
    assert Person.objects.get(key="p1").access == "lead"


def test_an_account_is_opened_with_a_link_that_lets_in_once(lead, client):
    lead.post("/station/add/person/", {"key": "p7", "role": "caller"})
    page = lead.post(
        "/station/person/p7/account/", {"account-login": "caller", "account-access": "recorder"}
    ).content.decode()
    link = page.split('href="http://testserver')[1].split('"')[0]
    assert client.get(link)["Location"] == "/"
    assert Person.objects.get(key="p7").access == "recorder"


def test_a_viewer_reads_and_changes_nothing(signed_in):
    viewer = signed_in("viewer")
    page = viewer.get("/station/net/n1/").content.decode()
    assert "Length of the corkline" in page
    assert "<button" not in page.partition("<main")[2]
    assert viewer.post("/station/net/n1/", NET).status_code == 403
    assert "This is for: lead" in viewer.post("/station/net/n1/", NET).content.decode()


@pytest.mark.parametrize(
    ("text", "sides", "degrees"),
    [
        ("41.4612", "NS", 41.4612),
        ("41 27.67 N", "NS", 41.461167),
        ("71 18 38 W", "EW", -71.310556),
        ("-71,31", "EW", -71.31),
        ("71° 18.6′ W", "EW", -71.31),
    ],
)
def test_coordinates_are_read_as_people_write_them(text, sides, degrees):
    assert read_coordinate(text, sides) == pytest.approx(degrees, abs=5e-7)


@pytest.mark.parametrize(
    ("text", "sides", "words"),
    [
        ("71.31 W", "NS", "a latitude ends in N or S"),
        ("141.0", "NS", "latitude stands first"),
        ("41 61 N", "NS", "60 or more"),
        ("-71.3 W", "EW", "a sign and a letter"),
        ("north", "NS", "is no latitude"),
    ],
)
def test_coordinates_that_cannot_be_say_how_to_mend_them(text, sides, words):
    with pytest.raises(Refusal, match=words):
        read_coordinate(text, sides)


@given(st.lists(st.tuples(st.floats(-90, 90), st.floats(-180, 180)), min_size=2, max_size=5))
def test_a_shoreline_reads_back_as_it_was_shown(points):
    rounded = [[round(lat, 6) + 0.0, round(lon, 6) + 0.0] for lat, lon in points]
    plain = [[f"{lat:.6f}", f"{lon:.6f}"] for lat, lon in rounded]
    assert read_shoreline("\n".join(", ".join(pair) for pair in plain)) == rounded
    assert shoreline_text(rounded).count("\n") == len(points) - 1


def test_geojson_is_longitude_first():
    text = '{"type": "Feature", "geometry": {"type": "LineString", "coordinates": [[-71.31, 41.46], [-71.30, 41.47]]}}'
    assert read_shoreline(text) == [[41.46, -71.31], [41.47, -71.3]]
    with pytest.raises(Refusal, match="hand in one LineString"):
        read_shoreline('{"type": "Point", "coordinates": [1, 2]}')
    with pytest.raises(Refusal, match="two points or more"):
        read_shoreline("41.46, -71.31")


def test_gear_says_where_a_net_was_last(lead):
    page = lead.get("/gear/").content.decode()
    assert "sallowhorn-cove, 2026-09-11-a" in page
    assert "the pair 60/60F on the float" in page
