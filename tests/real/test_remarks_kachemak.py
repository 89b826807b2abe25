"""Kachemak Bay beach seines 2018 (MIT, kbnerr/nearshore-fish): fates hidden in 351 remarks.

The folder's README says how they are counted: 265 rows say that the animal was kept for somebody, a voucher,
deceased or a mortality; 61 distinct combinations of haul (round, site, seine; the same with the project), taxon
and remark as written, 60 when case and a closing full stop are ignored. One more row says "Escaped", six say
"Lavaged".
"""

from __future__ import annotations

import csv
import re

import pytest

from haulbook.exchange.answers import read_answers, write_questions
from haulbook.exchange.remarks import Remarked, blocks_of, number_in


def _haul(row):
    return f"{row['Project']}/{row['Round']}/{row['Site']}/{row['Seine#']}"


@pytest.fixture(scope="module")
def blocks(shared_data):
    path = shared_data / "kachemak-beach-seine/2018/Fish-Combined.csv"
    with path.open(encoding="utf-8-sig", newline="") as file:
        rows = list(csv.DictReader(file))
    with path.with_name("Site-Info.csv").open(encoding="utf-8-sig", newline="") as file:
        hauls = list(csv.DictReader(file))
    return blocks_of(
        (
            Remarked(
                path.name,
                i,
                _haul(row),
                row["Common"],
                row["Notes"],
                int(row["Count"]) if row["Count"] else None,
            )
            for i, row in enumerate(rows, 2)
        ),
        {_haul(haul): haul["Notes"] for haul in hauls},
    )


def test_265_rows_make_61_questions(blocks):
    asked = [block for block in blocks if block.said.asked]
    assert len(asked) == 61
    assert sum(len(block.rows) for block in asked) == 265


def test_60_are_left_when_case_and_a_closing_full_stop_are_ignored(blocks):
    # As the README counts, with haul = round, site, seine. Those are 130 keys for 142 hauls: two projects fished some
    # of them. With the project in the key the two that fall together are two hauls, and 61 are left.
    def folded(block, parts):
        _, haul, taxon, remark = block.key.split("|")
        return (*haul.split("/")[parts:], taxon, remark.casefold().rstrip("."))

    asked = [block for block in blocks if block.said.asked]
    assert len({folded(block, 1) for block in asked}) == 60
    assert len({folded(block, 0) for block in asked}) == 61


def test_escaped_and_lavaged_are_told_apart_from_the_questions(blocks):
    told = {kind: sum(len(b.rows) for b in blocks if b.said.kind == kind) for kind in ("escaped", "sampled")}
    assert told == {"escaped": 1, "sampled": 6}


def test_one_capelin_deceased_stands_on_49_rows_and_the_hauls_own_remarks_say_how_many_they_are(blocks):
    # Site-Info.csv: "18 YOY capelin deceased", "One capelin deceased", "30 capelin deceased": one animal a row.
    capelin = [b for b in blocks if b.remark.casefold().startswith("one capelin deceased")]
    assert {number_in(block.remark) for block in capelin} == {1}
    told = {
        number_in(re.search(r"\w+ (?:YOY )?capelin deceased", block.haul_remark)[0]): len(block.rows)
        for block in capelin
    }
    assert told == {18: 18, 1: 1, 30: 30}
    assert "Remark of the haul: 'TSS here.  18 YOY capelin deceased.'" in capelin[0].question().ask


def test_the_hauls_own_remarks_can_settle_kept_animals_too(blocks):
    # Site-Info.csv: "Seven sand lance for ..." beside seven rows of "One Pacific Sand Lance for ...".
    block = next(b for b in blocks if b.haul_remark.startswith("TSS here.  Seven sand lance for"))
    assert len(block.rows) == 7


def test_the_answers_file_asks_61_things_and_answers_none(blocks, tmp_path):
    path = tmp_path / "C.toml"
    asked = [block.question() for block in blocks if block.said.asked]
    told = [block.question() for block in blocks if not block.said.asked]
    assert write_questions(path, asked, told) == 61
    answers = read_answers(path)
    assert len(answers) == 61
    assert all(answer.open for answer in answers)
    key = "Fish-Combined.csv|CMI/6/Glacier Spit/2|Capelin|One capelin deceased."
    assert any(answer.key == key for answer in answers)
