"""The reference page on the book says what the code knows."""

from __future__ import annotations

import re
from pathlib import Path
from typing import get_args

import pytest

from haulbook.custody.bodies import BODIES
from haulbook.custody.discrepancy import Kind
from haulbook.custody.fates import BASES, Basis, Fate
from haulbook.custody.places import SINKS

PAGE = (Path(__file__).parents[2] / "docs/reference/book.md").read_text(encoding="utf-8")
COLUMNS = (
    Basis.ENCOUNTERED, Basis.CAPTURED, Basis.HANDLED, Basis.RELEASED, Basis.RETAINED, Basis.KILLED, Basis.DIED,
)  # fmt: skip


@pytest.mark.parametrize("word", [*BODIES, *get_args(Kind), *SINKS])
def test_every_kind_discrepancy_and_sink_is_on_the_page(word):
    assert f"`{word}`" in PAGE


@pytest.mark.parametrize("fate", list(Fate))
def test_the_table_of_fates_is_the_table_of_the_code(fate):
    (row,) = [line for line in PAGE.splitlines() if f"| {fate.value} |" in line]
    cells = [cell.strip() for cell in row.strip("|").split("|")][2:]
    assert {column for column, cell in zip(COLUMNS, cells, strict=True) if cell == "1"} == BASES[fate] - {
        Basis.LETHAL
    }


def test_the_example_entry_of_the_page_is_the_test_vector():
    assert re.search(r'"hash":"06716a0d618d2f6b76112cde7adb18a9d746c4012e73982fa15c26d64ea921ff"', PAGE)
