"""Permit files: what is read, and what is refused with its place and all at once."""

from __future__ import annotations

from datetime import UTC, date, datetime
from fractions import Fraction
from pathlib import Path

import pytest

from haulbook.custody.fates import Basis
from haulbook.exchange.permit_toml import read_permit
from haulbook.permit.detail import AreaRule, ClockTime, GearRule, HoursRule
from haulbook.permit.model import Period, Stop
from haulbook.problems import Refusal
from haulbook.taxa import load_pack

PACK = load_pack("nwatlantic")
HEAD = """
no = "EX-27-014"
holder = "the station"
zone = "America/New_York"
valid_from = 2027-04-01
valid_to = 2028-03-31
people = ["p1", "p3"]

[lists.sculpins]
checked = 2027-03-02
members = ["cottidae", "myoxocephalus", "grubby", "shorthorn-sculpin", "longhorn-sculpin", "sea-raven"]
"""
CLAUSE = """
[[clause]]
id = "4b"
version = 1
effective_from = 2027-04-01T00:00:00-04:00
kind = "limit"
scope = {list = "sculpins", life_stage = ["young"]}
basis = "retained"
limit = 4
period = "outing"
on_reach = {stop = "taxon"}
source = {page = 3, text = "verbatim sentence"}
confirmed_by = ["p1", "p2"]
"""


@pytest.fixture
def read(tmp_path):
    def reader(*parts, pack=PACK):
        path = tmp_path / "permit.toml"
        path.write_text("\n".join(parts), encoding="utf-8")
        return read_permit(path, pack)

    return reader


@pytest.fixture
def refused(read):
    def refuser(*parts):
        with pytest.raises(Refusal) as refusal:
            read(*parts)
        return {problem.column: problem.message for problem in refusal.value.problems}

    return refuser


def with_(**lines):
    """Return the clause of the example with some keys written otherwise, or left out (None)."""
    kept = [line for line in CLAUSE.splitlines() if line.split(" = ")[0] not in lines]
    return "\n".join([*kept, *(f"{key} = {value}" for key, value in lines.items() if value is not None)])


def test_the_example_of_the_field_list_is_read_whole(read):
    permit = read(HEAD, CLAUSE)
    (clause,) = permit.clauses
    assert (permit.no, permit.zone, permit.people, permit.ends_on) == (
        "EX-27-014",
        "America/New_York",
        ("p1", "p3"),
        date(2028, 3, 31),
    )
    assert permit.year_start == (4, 1)
    assert clause.scope.list_name == "sculpins"
    assert "sea-raven" in clause.scope.taxa
    assert (clause.basis, clause.limit, clause.period) == (Basis.RETAINED, 4, Period.OUTING)
    assert clause.on_reach.stop is Stop.TAXON
    assert clause.mortality_window_h == 48
    assert clause.counts_once(Basis.RETAINED)
    assert not clause.counts_once(Basis.CAPTURED)
    assert str(clause.source) == "“verbatim sentence” (page 3)"


def test_a_date_as_end_means_that_whole_local_day(read):
    permit = read(HEAD, CLAUSE)
    assert permit.in_force(datetime(2028, 4, 1, 3, 59, 59, tzinfo=UTC)), "23:59:59 in New York"
    assert not permit.in_force(datetime(2028, 4, 1, 4, 0, tzinfo=UTC))
    assert not permit.in_force(datetime(2027, 4, 1, 3, 59, tzinfo=UTC))


def test_a_version_ends_where_the_next_begins(read):
    second = with_(version=2, effective_from="2027-08-15", limit=8)
    permit = read(HEAD, CLAUSE, second)
    old, new = permit.versions("4b")
    assert old.effective_to == new.effective_from
    boundary = datetime(2027, 8, 15, 4, 0, tzinfo=UTC)
    assert [clause.version for clause in permit.ruling(boundary)] == [2]
    assert new.effective_from == boundary, "a date is local midnight"


def test_forty_feet_are_more_than_twelve_metres_and_kept_exactly(read):
    gear = with_(kind='"gear"', scope=None, basis=None, limit=None, period=None, on_reach=None)
    permit = read(
        HEAD,
        gear,
        'gear = {length_max_m = 12, mesh_min_mm = "1/4 in", height_max_m = "40 ft", hauls_max = 6}',
    )
    rule = permit.clauses[0].detail
    assert isinstance(rule, GearRule)
    assert rule.height_max_m == Fraction("12.192") > rule.length_max_m == 12
    assert rule.mesh_min_mm == Fraction("6.35")


def test_percentages_are_exact_text(read, refused):
    percent = {"kind": '"percent"', "basis": '"died"', "limit": None, "of": '"captured"', "min_n": 40}
    assert read(HEAD, with_(**percent, percent='"2.5"')).clauses[0].percent == Fraction(5, 2)
    assert "write the percentage as text" in refused(HEAD, with_(**percent, percent=2.5))["clause.1.percent"]
    assert "lies from 0 to 100" in refused(HEAD, with_(**percent, percent='"101"'))["clause.1.percent"]


def test_a_limit_left_out_or_called_none_allows_without_a_number(read):
    for said in ('"none"', None):
        clause = read(HEAD, with_(limit=said)).clauses[0]
        assert clause.limit is None
        assert clause.allows


def test_hours_and_area_are_read(read):
    blank = {"scope": None, "basis": None, "limit": None, "period": None, "on_reach": None}
    hours = with_(**blank, id='"h"', kind='"hours"', hours='{from = "sunrise", to = "sunset-00:30"}')
    area = with_(
        **blank,
        id='"a"',
        kind='"area"',
        area='{inside = ["cove"], outside = [[41.0, -70.0], [41.1, -70.0], [41.0, -70.1]]}',
    )
    permit = read(HEAD, hours, area)
    rule = permit.clauses[0].detail
    assert isinstance(rule, HoursRule)
    assert str(rule.end) == "30 min before sunset"
    assert rule.start == ClockTime(sun="sunrise")
    assert isinstance(permit.clauses[1].detail, AreaRule)
    assert permit.clauses[1].detail.outside.corners[2] == (41.0, -70.1)


@pytest.mark.parametrize(
    ("changes", "place", "words"),
    [
        ({"limitt": "4"}, "clause.1.limitt", "the nearest is 'limit'"),
        ({"kind": '"limits"'}, "clause.1.kind", "the nearest is 'limit'"),
        ({"basis": '"kept"'}, "clause.1.basis", "there is no word 'kept'"),
        ({"basis": '"released"'}, "clause.1.basis", "'released'"),
        ({"period": '"yearly"'}, "clause.1.period", "there is no word 'yearly'"),
        (
            {"scope": '{taxon = "grubby", all = true}'},
            "clause.1.scope",
            "name exactly one of taxon, taxa, list",
        ),
        ({"scope": "{}"}, "clause.1.scope", "names no taxa"),
        ({"scope": '{taxon = "grubbie"}'}, "clause.1.scope.taxon", "the nearest is 'grubby'"),
        ({"scope": '{list = "sculpin"}'}, "clause.1.scope.list", "the nearest is 'sculpins'"),
        (
            {"scope": '{list = "sculpins", life_stage = ["juvenile"]}'},
            "clause.1.scope.life_stage",
            "stage 'juvenile'",
        ),
        ({"scope": '{list = "sculpins", unit = "egg"}'}, "clause.1.scope.unit", "the nearest is 'egg_mass'"),
        (
            {"scope": '{list = "sculpins", size_mm = {min = 9, max = 9}}'},
            "clause.1.scope.size_mm",
            "less than max",
        ),
        ({"limit": "-1"}, "clause.1.limit", "it is at least 0"),
        ({"limit": "true"}, "clause.1.limit", "write a whole number"),
        ({"percent": '"5"'}, "clause.1.percent", "belongs to another kind than limit"),
        ({"source": None}, "clause.1.source", "the sentence as it stands in the permit"),
        ({"effective_from": "2027-04-01T00:00:00"}, "clause.1.effective_from", "with its offset"),
        ({"effective_to": "2027-03-01"}, "clause.1.effective_to", "lies before effective_from"),
        ({"version": 2}, "clause.1.version", "version 1 of clause 4b is missing"),
        ({"reset": "true"}, "clause.1.reset", "belongs to an amendment"),
        ({"on_any": "{within_h = 24}"}, "clause.1.on_any.notify", "who has to be told?"),
        ({"gear": "{length_max_m = 12}"}, "clause.1.gear", "belongs to a clause of kind gear"),
    ],
)
def test_what_is_off_is_refused_with_its_place(refused, changes, place, words):
    assert words in refused(HEAD, with_(**changes))[place]


def test_several_problems_are_reported_together(refused):
    found = refused(HEAD.replace("America/New_York", "New York"), with_(limit='"x"', kind='"limt"'))
    assert set(found) >= {"zone", "clause.1.kind"}


def test_an_end_before_the_beginning_and_a_stranger_in_a_list_are_refused(refused):
    head = HEAD.replace("2028-03-31", "2027-03-31").replace('"sea-raven"', '"sea-ravn"')
    found = refused(head, CLAUSE)
    assert found["valid_to"] == "lies before valid_from"
    assert "the nearest is 'sea-raven'" in found["lists.sculpins.members"]


def test_clauses_that_take_each_others_place_have_to_exist(refused):
    assert "instead_of" in refused(HEAD, with_(instead_of='["4a"]'))["clause"]
    assert "at least one [[clause]]" in refused(HEAD)["clause"]


def test_without_a_pack_keys_are_taken_as_written(read):
    assert read(HEAD, with_(scope='{taxon = "no-such-fish"}'), pack=None).clauses[0].scope.taxa == (
        "no-such-fish",
    )


def test_a_missing_file_is_refused_in_words(tmp_path):
    with pytest.raises(Refusal, match="there is no file"):
        read_permit(Path(tmp_path / "none.toml"))
    broken = tmp_path / "broken.toml"
    broken.write_text("no = ", encoding="utf-8")
    with pytest.raises(Refusal, match="is no TOML"):
        read_permit(broken)
