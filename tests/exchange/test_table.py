"""Text files become tables, whatever their dialect. All sheets here are invented."""

from __future__ import annotations

import csv
import io

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from haulbook.exchange.table import letters, read_tables
from haulbook.problems import Refusal

SHEET = "haul,name,n\nH1,cunner,3\nH1,rock gunnel,1\nH2,cunner,12\n"


def table_of(path, **how):
    (table,) = read_tables(path, **how)
    return table


def cells(table):
    return {heading: list(column) for heading, column in table.columns.items()}


@pytest.mark.parametrize("delimiter", [",", ";", "\t", "|"])
@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16"])
@pytest.mark.parametrize("ending", ["\n", "\r\n"])
def test_common_dialects_give_the_same_table(put, delimiter, encoding, ending):
    text = SHEET.replace(",", delimiter).replace("\n", ending)
    table = table_of(put("sheet.csv", text.encode(encoding)))
    assert cells(table) == {
        "haul": ["H1", "H1", "H2"],
        "name": ["cunner", "rock gunnel", "cunner"],
        "n": ["3", "1", "12"],
    }
    assert table.rows.tolist() == [2, 3, 4]
    assert table.problems == ()


def test_each_distinct_text_is_held_once(put):
    column = table_of(put("sheet.csv", SHEET)).columns["name"]
    assert column.values == ("cunner", "rock gunnel")
    assert column.codes.tolist() == [0, 1, 0]
    assert column[2] == "cunner"


def test_no_newline_at_the_end_and_newlines_in_quotes_are_read(put):
    table = table_of(put("sheet.csv", 'haul,remark\nH1,"two\nlines, and a ""quote"""\nH2,last'))
    assert cells(table)["remark"] == ['two\nlines, and a "quote"', "last"]
    assert table.rows.tolist() == [2, 3]


def test_rows_keep_their_spreadsheet_numbers_through_preambles_and_empty_rows(put):
    table = table_of(
        put("sheet.csv", "a title,,\n,,\nhaul,name,n\n,,\nH1,cunner,3\n\nH2,tautog,1\n" + ",,\n" * 300),
        header=3,
    )
    assert table.rows.tolist() == [5, 7]
    assert table.problems == ()


def test_a_nameless_first_column_and_trailing_empty_columns_are_told_apart(put):
    table = table_of(put("sheet.csv", ",haul,n,,\n1,H1,3,,\n2,H2,4,,\n"))
    assert table.headings == ("column A", "haul", "n")


def test_without_header_columns_are_called_by_their_letters(put):
    table = table_of(put("sheet.csv", "cunner,3,2023\ntautog,1,2022"), header=0)
    assert table.headings == ("column A", "column B", "column C")
    assert table.rows.tolist() == [1, 2]


def test_two_columns_of_one_heading_get_their_letters_and_are_told(put):
    table = table_of(put("sheet.csv", "haul,n,n\nH1,3,4\n"))
    assert table.headings == ("haul", "n (column B)", "n (column C)")
    assert [problem.kind for problem in table.problems] == ["note", "note"]


def test_ragged_rows_are_reported_by_row_and_nothing_beyond_the_headings_is_read(put):
    table = table_of(put("sheet.csv", "haul,name,n\nH1,cunner\nH2,tautog,2,and,more\nH3,scup,1,\n"))
    assert [(problem.kind, problem.row) for problem in table.problems] == [("altered", 2), ("refused", 3)]
    assert cells(table)["n"] == ["", "2", "1"]


def test_columns_to_skip_are_not_read_and_still_listed(put):
    table = table_of(put("sheet.csv", SHEET), skip=["name"])
    assert set(table.columns) == {"haul", "n"}
    assert table.headings == ("haul", "name", "n")


def test_windows_1252_is_read_and_said(put):
    table = table_of(put("sheet.csv", "haul,site\nH1,Pointe à l’Île\n".encode("windows-1252")))
    assert cells(table)["site"] == ["Pointe à l’Île"]
    assert table.encoding == "windows-1252"
    assert str(table.problems[0]) == (
        "sheet.csv, row 2: is not UTF-8 and was read as windows-1252; its letters beyond ASCII are then à ’ Î. "
        "If that is wrong, say encoding in the map"
    )


def test_a_declared_encoding_wins_and_says_where_it_does_not_fit(put):
    path = put("sheet.csv", "haul,site\nH1,Île\n".encode())
    assert cells(table_of(path, encoding="latin-1"))["site"] == ["Ã\x8ele"]
    with pytest.raises(Refusal, match="line 2 is not in ascii"):
        read_tables(path, encoding="ascii")
    with pytest.raises(Refusal, match="there is no encoding 'utf-ate'"):
        read_tables(path, encoding="utf-ate")


@pytest.mark.parametrize(
    ("content", "said"),
    [
        (b"", "is empty"),
        (b" \r\n\r\n", "is empty"),
        (b"\xef\xbb\xbf\r\n", "is empty"),
        (b"\x89PNG\r\n\x1a\n\x00\x00\x00\rIHDR", "is no text"),
        (bytes(range(1, 256)) * 8, "is no text"),
        (
            "haul,site\nH1,Île\n".encode() + "H2,Île\n".encode("windows-1252"),
            "mixes encodings: line 2 is UTF-8, line 3",
        ),
        (b'haul,remark\nH1,"' + b"x" * 1_100_000, "perhaps a quote is never closed"),
        (b"\n\nhaul,n\n", "has no headings in row 1"),
    ],
)
def test_what_is_no_table_is_refused_in_words(put, content, said):
    with pytest.raises(Refusal, match=said):
        read_tables(put("sheet.csv", content))


def test_a_missing_file_and_a_folder_are_refused(tmp_path):
    with pytest.raises(Refusal, match="there is no file"):
        read_tables(tmp_path / "none.csv")
    with pytest.raises(Refusal, match="is a folder"):
        read_tables(tmp_path)


def test_a_header_alone_is_an_empty_table(put):
    table = table_of(put("sheet.csv", "haul,name,n\n"))
    assert len(table) == 0
    assert table.headings == ("haul", "name", "n")


def test_letters_count_as_a_spreadsheet_does():
    assert [letters(i) for i in (0, 25, 26, 701, 702)] == ["A", "Z", "AA", "ZZ", "AAA"]


@given(
    st.lists(
        st.lists(
            st.text(st.characters(exclude_categories=["Cs"], exclude_characters="\0\r"), max_size=6),
            min_size=3,
            max_size=3,
        ),
        min_size=1,
        max_size=8,
    )
)
def test_what_csv_writes_is_read_back_cell_by_cell(tmp_path_factory, rows):
    text = io.StringIO(newline="")
    csv.writer(text, lineterminator="\n").writerows([["first", "second", "third"], *rows])
    path = tmp_path_factory.mktemp("any") / "any.csv"
    path.write_bytes(text.getvalue().encode("utf-8"))
    table = table_of(path, delimiter=",", encoding="utf-8")
    kept = [(i + 2, row) for i, row in enumerate(rows) if any(cell.strip() for cell in row)]
    assert table.rows.tolist() == [number for number, _ in kept]
    for i, heading in enumerate(("first", "second", "third")):
        assert list(table.columns[heading]) == [row[i] for _, row in kept]


def test_many_chunks_give_the_same_as_one(put):
    n = 2500
    text = "haul,n\n" + "".join(f"H{i % 7},{i}\n" for i in range(n))
    table = table_of(put("sheet.csv", text))
    assert len(table) == n
    assert np.array_equal(table.rows, np.arange(2, n + 2))
    assert table.columns["haul"].values == tuple(f"H{i}" for i in range(7))
