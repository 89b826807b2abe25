"""Whatever is in a file, reading it gives a reading or a refusal, and never anything else."""

from __future__ import annotations

import contextlib

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from haulbook.exchange.entries import entries_of
from haulbook.exchange.map_toml import read_sheet_map
from haulbook.exchange.reading import Reading, read_sheets
from haulbook.problems import Refusal
from haulbook.taxa import load_pack

MAP = """
pack = "nwatlantic"
default_fate = "back"
[[file]]
name = "*.*"
role = "catch"
rows = "{rows}"
columns = {{haul = "haul", name = "name", stage = "stage", n = "n", est = "estimated", fate = "fate", dead = "dead",
  mm = "length_mm", note = "remark", day = "remark", at = "site", no = "haul_no", depth = "depth_m", area = "area_m2"}}
date = {{column = "day"}}
blank_n = "{blank}"
"""
HEAD = "haul,name,stage,n,est,fate,dead,mm,note,day,at,no,depth,area"
CELLS = st.one_of(
    st.sampled_from(
        [
            *("", "0", "1", "7", "-3", "2.5", "10-May", "43102", "5 - 10", "n/a", "-", "present", "=A1", "1e9"),
            *("H1", "H2", "scup", "cunner", "Total", "back", "kept", "lost", "eaten", "yes", "2027-05-14"),
            *("5/6/27", "2027", "one dead", '"', "rep 1"),
        ]
    ),
    st.text(st.characters(exclude_categories=["Cs"]), max_size=8),
)  # fmt: skip


@pytest.fixture(scope="module")
def folder(tmp_path_factory):
    return tmp_path_factory.mktemp("fuzz")


def read_or_refuse(path, rows="taxa", blank="ask"):
    (path.parent / "map.toml").write_text(MAP.format(rows=rows, blank=blank), encoding="utf-8")
    try:
        reading = read_sheets([path], read_sheet_map(path.parent / "map.toml"))
    except Refusal:
        return None
    assert isinstance(reading, Reading)
    assert reading.animals == sum(reading.by_taxon.values()) == sum(reading.by_haul.values())
    return reading


@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(st.binary(max_size=400), st.sampled_from(["a.csv", "a.xlsx", "a.ods", "a.xls", "a.tsv"]))
def test_any_bytes(folder, content, name):
    (folder / name).write_bytes(content)
    read_or_refuse(folder / name)


@settings(max_examples=120, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(
    st.lists(st.lists(CELLS, min_size=12, max_size=15), max_size=6),
    st.sampled_from(["taxa", "animals"]),
    st.sampled_from(["ask", "one-if-length", "present", "estimate", "zero"]),
    st.sampled_from(["utf-8", "utf-16", "utf-8-sig"]),
)
def test_any_cells_give_a_reading_whose_sums_agree_and_a_book_of_as_many_animals(
    folder, rows, kind, blank, encoding
):
    import csv
    import io

    text = io.StringIO(newline="")
    text.write(HEAD + "\n")
    csv.writer(text, lineterminator="\n").writerows(rows)
    path = folder / "cells.csv"
    path.write_bytes(text.getvalue().encode(encoding))
    reading = read_or_refuse(path, kind, blank)
    if reading is None:
        return
    try:
        entries = entries_of(reading, load_pack("nwatlantic"), (), "2027-06-01T12:00:00+00:00", "p1")
    except Refusal:
        return
    assert sum(line["n"] for e in entries if e.kind == "move" for line in e.body["lines"]) == reading.animals


@settings(max_examples=60, deadline=None)
@given(st.text(max_size=200))
def test_any_map(folder, text):
    (folder / "any.toml").write_text(text, encoding="utf-8")
    with contextlib.suppress(Refusal):
        assert read_sheet_map(folder / "any.toml").files
