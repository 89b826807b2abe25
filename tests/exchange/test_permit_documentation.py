"""The reference pages name every key that is read, and every example in them is read."""

from __future__ import annotations

import re
from pathlib import Path

from haulbook.exchange.layouts import LAYOUT, packaged_layouts
from haulbook.exchange.permit_details import DETAILS
from haulbook.exchange.permit_toml import CLAUSE, HEADER, SCOPE, read_permit
from haulbook.permit.fields import FIELDS
from haulbook.taxa import load_pack

DOCS = Path(__file__).resolve().parents[2] / "docs"


def words(page):
    return set(re.findall(r"[A-Za-z_0-9-]+", (DOCS / page).read_text(encoding="utf-8")))


def test_the_permit_page_names_every_key():
    known = {*HEADER, *CLAUSE, *SCOPE, *(key for keys, _ in DETAILS.values() for key in keys)}
    assert known - words("reference/permit.md") == set()


def test_the_layout_page_names_every_key_column_and_layout():
    assert {*LAYOUT, *FIELDS, *packaged_layouts()} - words("reference/layouts.md") == set()


def test_the_examples_of_the_how_to_are_one_permit_that_is_read(tmp_path):
    text = (DOCS / "how-to/write-a-permit-file.md").read_text(encoding="utf-8")
    blocks = re.findall(r"```toml\n(.*?)```", text, re.DOTALL)
    path = tmp_path / "permit.toml"
    path.write_text("\n".join(blocks), encoding="utf-8")
    permit = read_permit(path, load_pack("nwatlantic"))
    assert permit.clause_ids == ("4b",)
    assert set(permit.lists) == {"sculpins"}
