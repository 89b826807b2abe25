"""Wide sheets: one column a taxon, life stages in the headings. Invented sheets."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from haulbook.exchange.map_toml import read_sheet_map
from haulbook.exchange.reading import read_sheets

WIDE = """
pack = "nwatlantic"
default_fate = "back"
[[file]]
name = "catch.csv"
role = "catch"
rows = "wide"
columns = {haul = "haul", note = "remark"}
taxa = ["LANCE*", "eel", "scup*"]
stages = {a = "adult", pl = "larva", "1+ em" = "young"}
"""


def test_headings_are_names_with_stages_and_blanks_say_nothing(read):
    reading = read(
        WIDE,
        catch__csv="haul,note,LANCE a,LANCE pl,LANCE 1+ em,eel,scup\nH1,,3,,2,,1\nH2,,,0,,x,\nH3,,,,,,\n",
    )
    assert reading.by_taxon == {"LANCE": 5, "scup": 1, "eel": 0}
    assert reading.by_haul == {"H1": 6, "H2": 0, "H3": 0}
    catch = reading.catches[0]
    assert [(catch.name[i], catch.stage[i], int(catch.n[i]), catch.row(i)) for i in range(len(catch))] == [
        ("LANCE", "a", 3, 2), ("LANCE", "1+ em", 2, 2), ("scup", "", 1, 2), ("LANCE", "pl", 0, 3), ("eel", "", 0, 3),
    ]  # fmt: skip
    assert catch.our_stage["1+ em"] == "young"


def test_a_cell_that_is_no_count_is_refused_by_row_and_column(read):
    reading = read(WIDE, catch__csv="haul,note,eel,scup\nH1,,3,many\nH2,,2.5,1\n")
    refused = sorted((p.row, p.column) for p in reading.problems if p.kind == "refused")
    assert refused == [(2, "scup"), (3, "eel")]
    assert reading.animals == 4


def test_a_column_that_is_no_taxon_of_the_map_is_refused(read):
    import pytest

    from haulbook.problems import Refusal

    with pytest.raises(Refusal, match="column tautog: is neither named nor ignored"):
        read(WIDE, catch__csv="haul,note,eel,tautog\nH1,,3,1\n")


def test_one_haul_on_two_rows_is_added_and_told(read):
    reading = read(WIDE, catch__csv="haul,note,eel\nH1,,3\nH1,,4\n")
    assert reading.by_haul == {"H1": 7}
    assert any("the numbers are added: 7" in p.message for p in reading.problems)


@given(
    st.dictionaries(
        st.tuples(st.sampled_from(["H1", "H2", "H3"]), st.sampled_from(["LANCE", "eel", "scup"])),
        st.integers(1, 10**6),
    )
)
def test_long_to_wide_keeps_every_number(tmp_path_factory, counts):
    folder = tmp_path_factory.mktemp("pivot")
    taxa = ["LANCE", "eel", "scup"]
    lines = ["haul,note," + ",".join(taxa)]
    lines += [f"{h},," + ",".join(str(counts.get((h, t), "")) for t in taxa) for h in ("H1", "H2", "H3")]
    (folder / "catch.csv").write_text("\n".join(lines), encoding="utf-8")
    (folder / "map.toml").write_text(WIDE, encoding="utf-8")
    reading = read_sheets([folder / "catch.csv"], read_sheet_map(folder / "map.toml"))
    assert reading.animals == sum(counts.values())
    assert reading.by_haul == {
        h: sum(n for (haul, _), n in counts.items() if haul == h) for h in ("H1", "H2", "H3")
    }
