"""Agency tables: projection, sums, own rows for unauthorised take, nil returns, formats."""

from __future__ import annotations

import csv
import io
from dataclasses import replace
from datetime import UTC, date, datetime
from fractions import Fraction

import pytest

from haulbook.custody.fates import Fate
from haulbook.exchange.layouts import packaged_form, packaged_layouts
from haulbook.permit.adds_up import trial_rows, why_not
from haulbook.permit.cell_format import cell, check_format, check_units, converted, position
from haulbook.permit.delta import report_delta
from haulbook.permit.expression import counts_only, parse, value
from haulbook.permit.fields import CAPTURED_PARTS, DETAIL_KEYS, FIELDS
from haulbook.permit.fold import folded, groups
from haulbook.permit.grounds import Grounds, Span, Spot
from haulbook.permit.layout import LayoutColumn, lay_out
from haulbook.permit.rows import report_rows
from haulbook.permit.take import Take
from haulbook.problems import Refusal

YEAR = Span(date(2024, 4, 1), date(2025, 3, 31))
AFTER = datetime(2025, 4, 10, tzinfo=UTC)
GROUNDS = Grounds(sites={"cove": Spot("Invented Cove", 48.1, -122.9)})


@pytest.fixture
def rows(facts, permit_a, pack):
    def made():
        return report_rows(Take(facts.account(), (permit_a,), pack), permit_a, YEAR, AFTER, GROUNDS)

    return made


@pytest.fixture
def catch(facts, rows):
    facts.haul("o/1", site="cove")
    facts.add("o/1", 4, "bay-pipefish", Fate.RETAINED_ALIVE)
    facts.add("o/1", 1, "bay-pipefish", Fate.RETAINED_ALIVE, later=[("died", "2024-06-20T10:00:00-07:00")])
    facts.add("o/1", 9, "shiner-perch")
    facts.add("o/1", 2, "shiner-perch", Fate.DIED_RELEASED)
    facts.add("o/1", 3, "shiner-perch", Fate.SEEN_ESCAPED)
    facts.add("o/1", 1, "shiner-perch", Fate.FATE_UNKNOWN, cause="jumped out")
    facts.add("o/1", 7, "eelgrass", Fate.RETAINED_ALIVE, unit="blade")
    return rows()


@pytest.mark.parametrize("name", sorted(packaged_layouts()))
def test_every_packaged_layout_adds_up_and_shows_what_was_captured(catch, name):
    layout = packaged_layouts()[name]
    assert why_not(layout) == []
    table = lay_out(layout, catch)
    columns = [*layout.parts, *([layout.residual] if layout.residual in layout.headers else [])]
    at = [table.headers.index(header) for header in columns]
    shown = sum(row[i] for row in table.rows for i in at)
    left_out = sum(int(note.split(": ")[1].split()[0]) for note in table.notes if note.startswith("left out"))
    assert shown + left_out == sum(row["n_captured"] for row in catch) == 24
    assert table.missing == ()


def test_kept_and_discarded_moves_later_deaths_to_kept_dead(catch):
    table = lay_out(packaged_layouts()["kept-and-discarded"], catch)
    lines = [dict(zip(table.headers, row, strict=True)) for row in table.rows]
    shown = [
        tuple(
            line[name]
            for name in (
                "Species",
                "Caught",
                "Kept alive",
                "Kept dead",
                "Discarded alive",
                "Discarded dead",
                "Lost or not dealt with",
                "Of these died after landing",
                "Remarks",
            )
        )
        for line in lines
    ]
    assert shown == [
        ("bay pipefish", 4, 4, 0, 0, 0, 0, 0, ""),
        ("shiner perch", 12, 0, 0, 9, 2, 1, 0, ""),
        ("bay pipefish", 1, 0, 1, 0, 0, 0, 1, "unauthorised take"),
    ]
    assert table.notes == ("left out by the layout: 7 captured (blade)",)
    assert "I certify" in table.certificate


def test_the_pair_belongs_together_and_detail_comes_first():
    assert [layout.name for layout in packaged_form("detail-and-summary")] == [
        "animals-detail",
        "species-summary",
    ]
    with pytest.raises(Refusal, match="there is no form 'detail-and-sumary'"):
        packaged_form("detail-and-sumary")


def test_unauthorised_take_can_go_into_a_letter(catch):
    layout = replace(packaged_layouts()["species-summary"], unauthorised="omit-and-letter")
    table = lay_out(layout, catch)
    assert dict(table.rows) == {"bay pipefish": 4, "shiner perch": 12}
    letter = next(note for note in table.notes if note.startswith("unauthorised"))
    assert "1 bay pipefish, retained alive, haul 1 of o" in letter
    inline = lay_out(replace(layout, unauthorised="inline"), catch)
    assert dict(inline.rows)["bay pipefish (unauthorised take)"] == 5


def test_a_nil_return_says_so(rows, facts):
    empty = lay_out(packaged_layouts()["species-summary"], rows())
    assert empty.rows == (("No activity", None),)
    facts.haul("o/1", site="cove")
    table = lay_out(packaged_layouts()["species-summary"], rows())
    assert table.rows == (("No activity", None),)
    assert table.notes == ("1 haul, nothing caught",)


def test_a_summary_leaves_out_hauls_that_brought_up_nothing(facts, rows):
    facts.haul("o/1", site="cove")
    facts.haul("o/2", site="cove")
    facts.add("o/1", 2, "shiner-perch")
    for where in (packaged_layouts()["species-summary"].where, {}):
        table = lay_out(replace(packaged_layouts()["species-summary"], where=where), rows())
        assert table.rows == (("shiner perch", 2),)


def test_detail_is_one_row_per_haul_taxon_and_stage_unless_the_layout_groups_otherwise(facts, rows):
    for haul in ("o/1", "o/2"):
        facts.haul(haul, site="cove")
        facts.add(haul, 2, "shiner-perch", stage="young")
        facts.add(haul, 1, "shiner-perch", Fate.DIED_RELEASED, stage="young")
        facts.add(haul, 4, "shiner-perch", stage="adult")
    says = [("Haul", "haul_no"), ("Stage", "life_stage"), ("Number", "sum(n_captured)")]
    layout = replace(
        packaged_layouts()["species-summary"],
        row="detail",
        group_by=(),
        columns=tuple(LayoutColumn(header, parse(text, {})) for header, text in says),
    )
    assert set(lay_out(layout, rows()).rows) == {
        ("1", "young", 3),
        ("1", "adult", 4),
        ("2", "young", 3),
        ("2", "adult", 4),
    }
    by_stage = replace(layout, group_by=("life_stage",), columns=layout.columns[1:])
    assert set(lay_out(by_stage, rows()).rows) == {("young", 6), ("adult", 8)}


def test_a_later_death_stays_in_the_part_of_its_fate_unless_the_layout_says_as_of_report(catch):
    """A3: ``died_later`` stays inside the part that its fate at landing gave it."""
    layout = packaged_layouts()["kept-and-discarded"]

    def kept(as_of):
        table = lay_out(replace(layout, as_of=as_of), catch)
        alive, dead = (table.headers.index(name) for name in ("Kept alive", "Kept dead"))
        return sum(row[alive] for row in table.rows), sum(row[dead] for row in table.rows)

    assert (kept("landing"), kept("report")) == ((5, 0), (4, 1))


def test_a_haul_without_animals_keeps_a_line_of_zeros_in_the_detail(facts, rows):
    facts.haul("o/1", site="cove")
    facts.haul("o/2", site="cove")
    facts.add("o/1", 2, "shiner-perch")
    table = lay_out(packaged_layouts()["full-columns"], rows())
    lines = [dict(zip(table.headers, row, strict=True)) for row in table.rows]
    assert [(line["haul_no"], line["n_captured"], line["remark"]) for line in lines] == [
        ("1", 2, None),
        ("2", 0, "nothing caught"),
    ]


def test_a_required_cell_that_is_empty_is_named(facts, rows):
    facts.haul("o/1")
    facts.add("o/1", 2, "shiner-perch")
    table = lay_out(packaged_layouts()["animals-detail"], rows())
    assert table.missing == ("Location is required and empty: haul 1 of o",)


def test_subtotals_stand_after_the_rows_they_sum(facts, rows):
    facts.haul("o/1", site="cove")
    facts.haul("o/2", site="cove")
    for haul, n in (("o/1", 2), ("o/2", 5)):
        facts.add(haul, n, "shiner-perch")
        facts.add(haul, 1, "tube-snout")
    layout = replace(
        packaged_layouts()["species-summary"],
        group_by=("taxon_common", "haul_no"),
        order_by=("taxon_common", "-haul_no"),
        subtotals=("taxon_common",),
        columns=(
            LayoutColumn("Species", parse("taxon_common", {})),
            LayoutColumn("Haul", parse("haul_no", {})),
            LayoutColumn("Number", parse("sum(n_captured)", {})),
        ),
    )
    table = lay_out(layout, rows())
    assert table.subtotals == (2, 5)
    assert table.rows == (
        ("shiner perch", "2", 5),
        ("shiner perch", "1", 2),
        ("Subtotal shiner perch", None, 7),
        ("tube-snout", "2", 1),
        ("tube-snout", "1", 1),
        ("Subtotal tube-snout", None, 2),
    )


def test_detail_rows_fold_to_one_per_haul_taxon_and_stage(facts, rows):
    facts.haul("o/1", site="cove")
    for length in (51.0, 60.0, 66.0):
        facts.add("o/1", 1, "shiner-perch", length_mm=length)
    facts.add("o/1", 2, "shiner-perch", Fate.DIED_RELEASED)
    (group,) = groups(rows(), DETAIL_KEYS)
    row = folded(group)
    assert (row["n_captured"], row["n_released_alive"], row["n_died_released"]) == (5, 3, 2)
    assert (row["size_min_mm"], row["size_mean_mm"], row["size_max_mm"]) == (51.0, 59.0, 66.0)
    assert row["disposition_code"] == "released_alive; died_released"
    assert row["n_captured"] == sum(row[name] for name in CAPTURED_PARTS)


def test_a_residual_as_remark_shows_what_the_columns_leave_out(catch):
    layout = replace(
        packaged_layouts()["species-summary"],
        columns=(
            LayoutColumn("Species", parse("taxon_common", {})),
            LayoutColumn("Released", parse("sum(n_released_alive)", {})),
        ),
        parts=("Released",),
        residual="remark",
    )
    assert why_not(layout) == []
    notes = lay_out(layout, catch).notes
    assert "captured and in none of the columns: 3 shiner perch" in notes
    assert "captured and in none of the columns: 5 bay pipefish" in notes


@pytest.mark.parametrize(
    ("columns", "parts", "residual", "reason"),
    [
        (
            {"Kept": "sum(n_retained_alive)"},
            ("Kept",),
            None,
            "the parts show 0 of an animal that was released_in_net, captured 1",
        ),
        (
            {"A": "sum(n_captured)", "B": "sum(n_retained_alive)"},
            ("A", "B"),
            None,
            "'A' and 'B' both count an animal that was retained_alive",
        ),
        (
            {"A": "sum(n_encountered)"},
            ("A",),
            None,
            "the parts show 1 of an animal that was seen_escaped, captured 0",
        ),
        ({"A": "taxon_common"}, ("A",), None, "'A' is a part and holds no count"),
        ({"A": "sum(n_captured)"}, ("B",), None, "'B' is among the parts, and there is no such column"),
        ({"A": "sum(n_captured)"}, (), None, "names no parts"),
        ({"A": "sum(n_captured)"}, ("A",), "A", "'A' is both a part and the residual"),
    ],
)
def test_a_layout_that_cannot_add_up_is_refused_with_the_reason(columns, parts, residual, reason):
    layout = replace(
        packaged_layouts()["species-summary"],
        columns=tuple(LayoutColumn(header, parse(text, {})) for header, text in columns.items()),
        parts=parts,
        residual=residual,
        where={},
    )
    assert any(reason in said for said in why_not(layout))


def test_a_condition_may_not_drop_the_dead():
    layout = replace(packaged_layouts()["species-summary"], where={"disposition_code": ("released_alive",)})
    assert "the condition leaves out animals that were died_released" in why_not(layout)


def test_a_code_that_a_map_does_not_know_is_refused_by_name(catch):
    layout = packaged_layouts()["animals-detail"]
    codes = {**layout.codes, "stage": {"adult": "Adult"}}
    with pytest.raises(Refusal, match=r"codes\.stage has no code for ''"):
        lay_out(replace(layout, codes=codes), catch)


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("sum(n_captured)", 24),
        ("sum(n_released_alive + n_died_released)", 11),
        ("count(taxon_common)", 3),
        ("first(taxon_common)", "bay pipefish"),
        ("join(taxon_common, ', ')", "bay pipefish, shiner perch, eelgrass"),
        ("max(n_captured)", 9),
        ("'haul ' + haul_no", "haul 1"),
        ("map(words, haul_no)", "one"),
        ("map(words, outing_id, 'other')", "other"),
        ("n_captured + 1", 25),
    ],
)
def test_expressions_say_what_they_say(catch, text, expected):
    codes = {"words": {"1": "one"}}
    assert value(parse(text, codes), catch, codes) == expected


def test_a_count_that_nobody_knows_adds_nothing_and_two_of_them_are_no_zero():
    row = dict.fromkeys(FIELDS) | {"n_captured": 5}

    def said(text):
        return value(parse(text, {}), [row], {})

    assert (said("n_captured + n_sampled"), said("n_sampled + n_captured")) == (5, 5)
    assert said("n_sampled + n_sampled") is None
    assert said("taxon_common + ' ' + haul_no") == " "


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("n_capturd", "the nearest is 'n_captured'"),
        ("summ(n_captured)", "the nearest is 'sum'"),
        ("sum(taxon_common)", r"sum\(\) adds counts"),
        ("sum(max(n_captured))", "stands inside another"),
        ("sum(n_captured, n_handled)", "takes 1 values, here are 2"),
        ("min(n_captured, n_handled)", "takes 1 values, here are 2"),
        ("max(n_captured, n_handled)", "takes 1 values, here are 2"),
        ("join(taxon_common)" + "+ join()", "takes 1 to 2 values, here are 0"),
        ("map(wrds, haul_no)", "the nearest is 'words'"),
        ("n_captured * 2", "is not among what a layout may say"),
        ("__import__('os').system('true')", "is not among what a layout may say"),
        ("sum(n_captured", "can't be read"),
        ("[x for x in n_captured]", "is not among what a layout may say"),
        ("lambda: 1", "is not among what a layout may say"),
        ("True", "is not among what a layout may say"),
        ("n_captured" + " + n_captured" * 100, "longer than 300"),
    ],
)
def test_anything_else_is_refused(text, words):
    with pytest.raises(Refusal, match=words):
        parse(text, {"words": {"1": "one"}})


def test_subtotals_know_what_can_be_added():
    assert counts_only(parse("sum(n_captured) + n_handled", {}))
    assert not counts_only(parse("taxon_common", {}))
    assert not counts_only(parse("max(n_captured)", {}))


def test_dates_positions_and_units_are_written_as_the_agency_writes_them():
    day = date(2027, 5, 4)
    assert [cell(day, None, form) for form in ("m/d/yy", "dd.mm.yyyy", "d mon yyyy")] == [
        "5/4/27",
        "04.05.2027",
        "4 May 2027",
    ]
    moment = datetime(2027, 5, 4, 6, 5, tzinfo=UTC)
    assert cell(moment, "H:MM", "yyyy") == "6:05"
    assert cell(moment, None, "yyyy") == "2027-05-04T06:05+00:00"
    assert cell(247.0, None, "yyyy") == 247
    assert cell(1 / 3, "0.00", "yyyy") == 0.33
    assert position(59.59759, "lat", "dms") == "59°35'51.3\"N"
    assert position(-151.41605, "lon", "dms") == "151°24'57.8\"W"
    assert converted("gear_length_m", 12.192, {"m": "ft"}) == 40.0
    assert converted("size_min_mm", 254, {"mm": "in"}) == 10.0
    assert converted("swept_area_m2", float(Fraction(3048, 10000) ** 2), {"m2": "ft2"}) == pytest.approx(
        1.0, rel=1e-12
    )
    with pytest.raises(Refusal, match="the nearest is 'mm to in'"):
        check_units({"mm": "inch"})
    with pytest.raises(Refusal, match="is no format"):
        check_format("%Y")


def test_the_trial_has_an_animal_of_every_fate_and_rows_hold_every_column(catch):
    assert {row["disposition_code"] for row in trial_rows()} == {fate.value for fate in Fate}
    for row in (*catch, *trial_rows()):
        assert set(row) == set(FIELDS)


def test_a_delta_says_what_changed_and_takes_a_count_that_nobody_knows_for_none(catch):
    """An amended report goes with its delta; a row that one side lacks counts as zeros there."""
    assert report_delta(catch, catch) == ()
    again = [dict(row) | {"n_sampled": 0} for row in catch]
    assert report_delta(catch, again) == (), "nobody sampled any, said or not"
    (change,) = report_delta(
        catch, [*catch, dict(catch[0]) | {"taxon_common": "tube-snout", "flag": "unauthorised"}]
    )
    assert change.key["taxon_common"] == "tube-snout"
    assert change.changed["n_captured"] == (0, catch[0]["n_captured"])
    assert change.changed["flag"] == (None, "unauthorised")
    (gone,) = report_delta(catch, [row for row in catch if row["unit"] != "blade"])
    assert gone.changed["n_retained_alive"] == (7, 0)


def test_a_table_can_be_written_as_csv(catch):
    table = lay_out(packaged_layouts()["full-columns"], catch)
    out = io.StringIO()
    csv.writer(out).writerows([table.headers, *table.rows])
    back = list(csv.DictReader(io.StringIO(out.getvalue())))
    assert sum(int(row["n_captured"]) for row in back) == 24
