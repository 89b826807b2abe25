"""Layout files: refused with every reason, by dotted key."""

from __future__ import annotations

import pytest

from haulbook.exchange.layouts import packaged_layouts, read_layout
from haulbook.problems import Refusal

GOOD = """
row = "summary"
group_by = ["taxon_sci"]
parts = ["Number"]

[codes.words]
normal = ""

[[column]]
header = "Species"
from = "taxon_sci"

[[column]]
header = "Number"
expr = "sum(n_captured)"
"""


@pytest.fixture
def read(tmp_path):
    def reader(text):
        path = tmp_path / "mine.toml"
        path.write_text(text, encoding="utf-8")
        return read_layout(path)

    return reader


def test_a_small_layout_is_read(read):
    layout = read(GOOD)
    assert (layout.name, layout.form, layout.headers) == ("mine", "mine", ("Species", "Number"))
    assert layout.nil_text == "No activity"
    assert layout.unauthorised == "separate_rows"


def test_the_packaged_ones_are_four_and_named_by_what_they_show():
    assert sorted(packaged_layouts()) == [
        "animals-detail",
        "full-columns",
        "kept-and-discarded",
        "species-summary",
    ]


@pytest.mark.parametrize(
    ("old", "new", "place", "words"),
    [
        ('row = "summary"', 'row = "sumary"', "row", "the nearest is 'summary'"),
        ('row = "summary"', 'rows = "summary"', "rows", "the nearest is 'row'"),
        ('group_by = ["taxon_sci"]', "", "group_by", "is needed for a summary"),
        ('["taxon_sci"]', '["taxon_sic"]', "group_by", "the nearest is 'taxon_sci'"),
        ('from = "taxon_sci"', 'from = "taxon_sic"', "column.1.from", "the nearest is 'taxon_sci'"),
        ('from = "taxon_sci"', "", "column.1", "write exactly one of from, const, expr"),
        ('from = "taxon_sci"', 'from = "taxon_sci"\nconst = "x"', "column.1", "says from and const"),
        ('header = "Number"', 'header = "Species"', "column.2.header", "stands twice"),
        ("sum(n_captured)", "sum(n_captred)", "column.2.expr", "the nearest is 'n_captured'"),
        (
            "sum(n_captured)",
            "sum(n_retained_alive)",
            "parts",
            "the parts show 0 of an animal that was released_alive",
        ),
        (
            'parts = ["Number"]',
            'parts = ["Number"]\ncoords = "utm"',
            "coords",
            "utm is not written here; use dd or dms",
        ),
        ('parts = ["Number"]', 'parts = ["Number"]\ndate_format = "%Y"', "date_format", "is no format"),
        ('parts = ["Number"]', 'parts = ["Number"]\nunits = {mm = "ft"}', "units", "there is no conversion"),
        ('parts = ["Number"]', 'parts = ["Number"]\nwhere = {unit = {max = 2}}', "where.unit", "{min = 1}"),
        (
            'parts = ["Number"]',
            'parts = ["Number"]\nwhere = {unt = "x"}',
            "where.unt",
            "the nearest is 'unit'",
        ),
        (
            'normal = ""',
            "normal = 1.5",
            "codes.words.normal",
            "write the agency's code as text or a whole number",
        ),
    ],
)
def test_what_is_off_is_refused_with_its_place(read, old, new, place, words):
    assert old in GOOD
    with pytest.raises(Refusal) as refusal:
        read(GOOD.replace(old, new))
    assert any(problem.column == place and words in problem.message for problem in refusal.value.problems)
