"""Drawings and drafts of the screen, without a screen: strokes, rings, and what a called line becomes."""

from __future__ import annotations

import re

import pytest

pytestmark = pytest.mark.browser


def test_a_gate_has_as_many_strokes_as_animals_up_to_twenty(js):
    for n in range(1, 21):
        assert js("screen/marks.js", "m.gatesPath(data)", n).count("M") == n
    assert js("screen/marks.js", "m.gatesPath(0)") == ""
    assert js("screen/marks.js", "m.gatesPath(21)") == ""


def test_gates_lean_the_same_way_every_time(js):
    assert js("screen/marks.js", "m.gatesPath(13)") == js("screen/marks.js", "m.gatesPath(13)")


@pytest.mark.parametrize(
    ("before", "now", "limit", "rings", "solid", "struck", "over"),
    [(0, 4, 6, 6, 4, 0, 0), (3, 1, 5, 5, 1, 3, 0), (4, 2, 5, 5, 1, 4, 1), (12, 0, 12, 12, 0, 12, 0)],
)
def test_rings_say_used_before_now_left_and_over(js, before, now, limit, rings, solid, struck, over):
    drawn = js("screen/marks.js", f"m.headroom({before}, {now}, {limit}).outerHTML")
    assert drawn.count("<circle") == rings
    assert len(re.findall(r'<circle class="solid"', drawn)) == solid
    assert len(re.findall(r'd="M[\d.]+ 14L', drawn)) == struck
    assert drawn.count("h9v9h-9z") == over
    assert 'aria-hidden="true"' in drawn


def test_above_twelve_a_limit_is_a_scale_in_tenths(js):
    drawn = js("screen/marks.js", "m.headroom(30, 10, 60).outerHTML")
    assert "<circle" not in drawn
    assert drawn.count("v-5") == 9


@pytest.mark.parametrize(
    ("fate", "place", "to"),
    [
        ("back", None, "back"),
        ("dead", None, "dead-back"),
        ("kept", None, "bucket 1"),
        ("kept", "bucket 4", "bucket 4"),
        (None, "bucket 2", "bucket 2"),
        (None, "cooler", "cooler 1"),
        (None, None, "net"),
    ],
)
def test_a_called_line_goes_where_the_book_says(js, fate, place, to):
    # docs/reference/book.md and the rules of a line: without fate or place to the net, kept to the keep bucket.
    line = {
        "count": 2,
        "taxon": "cunner",
        "stage": "young",
        "fate": fate,
        "place": place,
        "length_mm": None,
        "doubt_about": "name",
    }
    said = js("screen/drafts.js", "m.calledLine(data, {keep: 'bucket 1', haul: 'o/1'})", line)
    assert said == {
        "taxon": "cunner",
        "n": 2,
        "from": "sea",
        "to": to,
        "haul": "o/1",
        "stage": "young",
        "doubt": "name",
    }


@pytest.mark.parametrize(
    ("command", "changed"),
    [
        ({"amend_count": 5}, {"n": 5}),
        ({"amend_taxon": "tautog"}, {"taxon": "tautog"}),
        ({"amend_fate": "dead"}, {"to": "dead-back"}),
        ({"amend_stage": "young"}, {"stage": "young"}),
        ({"amend_place": "bucket 3"}, {"to": "bucket 3"}),
    ],
)
def test_a_word_of_correction_changes_the_last_line_only(js, command, changed):
    lines = [
        {"taxon": "grubby", "n": 1, "from": "sea", "to": "net", "haul": "o/1"},
        {"taxon": "cunner", "n": 4, "from": "sea", "to": "back", "haul": "o/1"},
    ]
    after = js("screen/drafts.js", "m.amended(data[0], data[1], 'bucket 1')", [lines, command])
    assert after == [lines[0], {**lines[1], **changed}]


def test_first_outings_start_with_what_the_permit_names(js, kit):
    known = kit.model_dump(mode="json", exclude_defaults=True)
    for taxon in known["taxa"]:
        taxon.pop("seen", None)
    tiles = js("screen/tiles.js", "m.startingTiles(data)", known)
    assert [one["taxon"] for one in tiles[:2]] == ["northern-pipefish", "rock-gunnel"]
    assert {"taxon": "winter-flounder", "stage": "young"} in tiles
    assert {"cunner", "fourspine-stickleback"} <= {one["taxon"] for one in tiles}
