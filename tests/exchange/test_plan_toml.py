"""The example of the joints page reads; everything wrong with a plan is said at once. All figures invented."""

from __future__ import annotations

from datetime import date, datetime, timedelta, timezone
from pathlib import Path

import pytest

from haulbook.exchange.plan_toml import Bucket, check_plan, read_plan
from haulbook.exchange.station_toml import read_station
from haulbook.problems import Refusal

GOOD = """
outing = "2027-05-14-a"
site = "cove"
date = 2027-05-14
hauls = 3
permits = ["EX-27-014"]
nets = ["n1"]
crew = ["p1", "p3"]
people_present = 8
buckets = [
  {place = "bucket 1", purpose = "keep", litres = 14, air_per_h = 3.0},
  {place = "bucket 2", purpose = "hold", litres = 14},
]
looked_for = ["northern-pipefish", "rock-gunnel"]
keep_device = "d1"
paper = [{permit = "EX-27-014", act = "notice-sent", at = 2027-05-12T09:00:00-04:00}]
"""


@pytest.fixture
def plan(tmp_path):
    def read(text=GOOD):
        path = tmp_path / "P.toml"
        path.write_text(text, encoding="utf-8")
        return read_plan(path)

    return read


def test_the_example_reads_as_written(plan):
    read = plan()
    assert (read.outing, read.date, read.hauls, read.people_present) == (
        "2027-05-14-a",
        date(2027, 5, 14),
        3,
        8,
    )
    assert read.buckets == (Bucket("bucket 1", "keep", 14, 3.0), Bucket("bucket 2", "hold", 14, None))
    assert read.looked_for == ("northern-pipefish", "rock-gunnel")
    assert read.paper[0].at == datetime(2027, 5, 12, 9, tzinfo=timezone(timedelta(hours=-4)))


@pytest.mark.parametrize(
    ("written", "instead", "says"),
    [
        (
            "keep_device",
            "keep_phone",
            "keep_phone: there is no key 'keep_phone'; the nearest is 'keep_device'",
        ),
        (
            'purpose = "keep"',
            'purpose = "kept"',
            "buckets.1.purpose: there is no word 'kept'; the nearest is 'keep'",
        ),
        ('place = "bucket 2"', 'place = "bucket 1"', "buckets.2.place: there already is a 'bucket 1'"),
        ('place = "bucket 2"', 'place = "pail 2"', "buckets.2.place: is 'pail 2'; write bucket or cooler"),
        ("2027-05-12T09:00:00-04:00", "2027-05-12T09:00:00", "paper.1.at: write a moment with its offset"),
        ("2027-05-12T09:00:00-04:00", '"soon"', "paper.1.at: write a moment with its offset"),
        (
            'permit = "EX-27-014"',
            'permit = "EX-27-041"',
            "paper.1.permit: there is no permit of this plan 'EX-27-041'",
        ),
        (
            "date = 2027-05-14",
            "date = 2027-05-15",
            "date: is 2027-05-15, but the outing is called 2027-05-14-a",
        ),
        ("date = 2027-05-14", "", "date: is needed"),
        ('"2027-05-14-a"', '"14 May"', "outing: is '14 May'; write the local date and a letter"),
        ("hauls = 3", "hauls = 0", "hauls: is 0; it is at least 1"),
        ("hauls = 3", "hauls = 2.5", "hauls: is 2.5; write a whole number"),
        ("people_present = 8", "people_present = 1", "people_present: is 1; it is at least 2"),
        ('crew = ["p1", "p3"]', "crew = []", "crew: is empty; name at least one"),
        ('crew = ["p1", "p3"]', 'crew = ["p1", "p1"]', "crew: names 'p1' twice"),
        ("litres = 14,", "litres = 0,", "buckets.1.litres: is 0; it has to be above 0"),
        ("paper = [{", "paper = 3 #", "paper: write a list of tables"),
    ],
)
def test_each_slip_is_named_by_file_and_dotted_key(plan, written, instead, says):
    assert written in GOOD
    with pytest.raises(Refusal) as refused:
        plan(GOOD.replace(written, instead, 1))
    assert says in str(refused.value)
    assert "P.toml" in str(refused.value)


def test_all_slips_are_said_together(plan):
    with pytest.raises(Refusal) as refused:
        plan(GOOD.replace("hauls = 3", "hauls = 0").replace("site =", "sites =").replace('"hold"', '"held"'))
    columns = {problem.column for problem in refused.value.problems}
    assert columns == {"hauls", "sites", "site", "buckets.2.purpose"}


def test_a_plan_is_checked_against_its_station(plan):
    station = read_station(Path(__file__).resolve().parents[2] / "src/haulbook/demo/papers/station.toml")
    check_plan(plan(GOOD.replace('"cove"', '"sallowhorn-cove"')), station, "P.toml")
    with pytest.raises(Refusal) as refused:
        check_plan(plan(GOOD.replace('"n1"', '"n7"').replace('"p3"', '"p8"')), station, "P.toml")
    said = str(refused.value)
    assert "column site: there is no site 'cove'" in said
    assert "column nets: there is no net 'n7'" in said
    assert "column crew: there is no person 'p8'" in said
