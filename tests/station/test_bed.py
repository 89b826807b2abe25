"""The bed in a browser: this year against the last, the hauls behind a number, the figures as a file."""

from __future__ import annotations

import csv
import io

import pytest

pytestmark = pytest.mark.django_db


def test_the_finding_stands_first_and_every_year_has_its_line(lead):
    page = lead.get("/bed/").content.decode()
    assert "19 hauls cannot tell whether 2026 differs from 2025." in page
    assert page.count('<svg class="strip"') == 36  # twelve kinds, three years
    assert "least figure" in page


def test_one_kind_opens_the_hauls_behind_it(lead):
    page = lead.get("/bed/?taxon=cunner").content.decode()
    assert "Tautogolabrus adspersus" in page
    assert page.count("/outing/") >= 60 or page.count("2026-09-11-a") >= 4
    assert "condition 3, poor" in page


def test_a_site_that_is_not_there_is_simply_not_chosen(lead):
    assert lead.get("/bed/?site=nowhere&month=13&taxon=unicorn").status_code == 200


def test_the_figures_come_as_a_file(lead):
    answer = lead.get("/bed/catch-per-area.csv?month=5")
    rows = list(csv.reader(io.StringIO(answer.content.decode("utf-8-sig"))))
    assert answer["Content-Type"].startswith("text/csv")
    assert len(rows) > 20
    assert any("cunner" in row for row in rows)
