"""Remarks in the words of real sheets (Kachemak 2018, Hakai 2014-2018); names replaced by an invented one."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from haulbook.exchange.remarks import RULES, Remarked, blocks_of, number_in, said_in


@pytest.mark.parametrize(
    ("remark", "kind"),
    [
        ("One capelin deceased", "died"),
        ("Deceased", "died"),
        ("Three Pacific Cod (J) mortalities", "died"),
        ("2 morts", "died"),
        ("Voucher", "voucher"),
        ("Two capelin Vouchers", "voucher"),
        ("One Pacific Herring Voucher", "voucher"),
        ("Greenling - Voucher - to be ID'ed", "voucher"),
        ("Four Surf Smelt for Voucher", "voucher"),
        ("One Lingcod (J) for Quill.", "kept"),
        ("One Coho Salmon or Quill", "kept"),  # a slip for "for", seen on two rows
        ("14 Saffron Cod (J) for Quill", "kept"),
        ("All capelin kept for Quill.  Avg wt = 3.55g (n=30), total wt = 121.44g", "kept"),
        ("Ten Pacific Sand Lance for Quill", "kept"),
        ("Escaped", "escaped"),
        ("Lavaged", "sampled"),
        ("Eating a Saffron Cod (J) 264 mm. Pictures", "eaten"),
        ("Caught lots more surf smelt - threw back most of them", "uncounted"),
        ("lost in processing", "lost"),
    ],
)
def test_words_of_the_trade_are_understood(remark, kind):
    assert said_in(remark).kind == kind


@pytest.mark.parametrize(
    "remark",
    [
        "", "Present", "Lots of them (dense)", "Pictures", "Infected or wounded", "Unsure of ID - pictures.",
        "check photo for species id", "gravid females", "subsampled for ratio-all 38 were enso",
        "unro (1); see photo for id",
        "replicate 2 was processed before replicate 1, which is why the total numbers look low for rep 10",
        "one site, early tide", "No dead", "0 mortalities", "none kept", "About 45-50 mm.", "high cpue",
        "1 for photo", "estimate using subsampling protomcl",
    ],
)  # fmt: skip
def test_other_remarks_say_nothing_of_a_fate(remark):
    assert said_in(remark) is None


def test_only_what_was_kept_or_died_is_asked():
    asked = {said.kind for _, said in RULES if said.asked}
    assert asked == {"kept", "voucher", "died"}


def test_the_number_a_remark_opens_with_is_read_not_decided():
    assert number_in("One capelin deceased") == 1
    assert number_in("ten sand lance") == 10
    assert number_in("14 Saffron Cod") == 14
    assert number_in("Voucher") is None
    assert number_in("Onerous") is None


def _rows(remark, rows, haul="6/Spit/2", taxon="Capelin", n=1):
    return [Remarked("catch.csv", row, haul, taxon, remark, n) for row in rows]


def test_a_remark_copied_down_a_block_is_one_question_with_both_readings():
    (block,) = blocks_of(_rows("One capelin deceased", range(10, 41)))
    question = block.question()
    assert question.key == "catch.csv|6/Spit/2|Capelin|One capelin deceased"
    assert question.rows == tuple(range(10, 41))
    assert question.to == {"fate": "?", "n": "?"}
    assert (
        "n is 1 if the remark speaks of all these rows together, 31 if it speaks of each row" in question.ask
    )
    assert "'dead-back' or 'dead-kept'" in question.ask


def test_another_haul_taxon_or_spelling_is_another_question():
    rows = (
        _rows("One capelin deceased", [2, 3])
        + _rows("One capelin deceased.", [4])
        + _rows("One capelin deceased", [5], haul="6/Spit/1")
        + _rows("One capelin deceased", [6], taxon="Herring")
        + _rows("gravid", [7])
    )
    assert [block.rows for block in blocks_of(rows)] == [(2, 3), (4,), (5,), (6,)]


def test_remarks_on_the_same_haul_and_taxon_are_shown_beside_each_other():
    blocks = blocks_of(_rows("One for Quill", [2, 3]) + _rows("14 for Quill", [4], n=60))
    assert "The same haul and taxon also has '14 for Quill'." in blocks[0].question().ask
    assert blocks[1].animals == 60
    assert "n is 14 if the remark speaks of all these rows together; at most 60" in blocks[1].question().ask


def test_a_row_without_a_number_counts_nothing_into_a_block():
    (block,) = blocks_of(_rows("Deceased", [2], n=None))
    assert block.animals == 0


def test_what_goes_into_the_book_names_nobody():
    for remark in (
        "One Lingcod for Quill.",
        "All kept for Quill",
        "Quill has the voucher",
        "Deceased - Quill",
    ):
        assert "Quill" not in said_in(remark).meaning


@given(
    st.lists(
        st.tuples(st.sampled_from(["a", "b"]), st.sampled_from(["Voucher", "dead", "fine", "Two for Quill"]))
    )
)
def test_every_row_that_tells_of_a_fate_is_in_exactly_one_block(said):
    rows = [Remarked("f", i, haul, "x", remark, 1) for i, (haul, remark) in enumerate(said, 2)]
    in_blocks = [row for block in blocks_of(rows) for row in block.rows]
    assert sorted(in_blocks) == [row.row for row in rows if said_in(row.remark)]
