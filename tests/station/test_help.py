"""Help: the project's own pages inside the station, every link of them alive, readable on a phone."""

from __future__ import annotations

import html
import re
from pathlib import Path

import pytest

from haulbook.station.pages.help import KINDS

pytestmark = pytest.mark.django_db
DOCS = Path(__file__).resolve().parents[2] / "docs"
PATHS = sorted(f"{kind}/{file.stem}" for kind in KINDS for file in (DOCS / kind).glob("*.md"))


def test_every_page_is_listed_under_its_title_for_everyone(client):
    page = client.get("/help/").content.decode()
    assert [path for path in PATHS if f'href="/help/{path}/"' not in page] == []
    assert "Learn it once" in page


@pytest.mark.parametrize("path", PATHS)
def test_a_page_shows_its_text_and_its_links_lead_somewhere(client, path):
    answer = client.get(f"/help/{path}/")
    page = answer.content.decode()
    title = (
        (DOCS / f"{path}.md")
        .read_text(encoding="utf-8")
        .partition("\n")[0]
        .removeprefix("# ")
        .replace("`", "")
    )
    assert f"<h1>{html.escape(title, quote=False)}</h1>" in page.replace("&#39;", "'").replace("&#34;", '"')
    assert page.count("<h1") == 1
    assert "<script>" not in page.split("<main")[1]
    assert ".md" not in "".join(re.findall(r'href="([^"]*)"', page))
    for address, mark in set(re.findall(r'href="(/help/[^"#]*)(?:#([^"]*))?"', page)):
        there = client.get(address)
        assert there.status_code == 200, f"{path} leads to {address}"
        assert not mark or f'id="{mark}"' in there.content.decode(), f"{path} leads to {address}#{mark}"


@pytest.mark.parametrize(
    "path", ["how-to/fly", "../README", "..%2f..%2fpyproject", "tutorial", "tutorial/first-season.md"]
)
def test_a_page_that_there_is_not_is_said_in_words(client, path):
    answer = client.get(f"/help/{path}/")
    assert answer.status_code == 404
    assert "There is no page of help under this address." in answer.content.decode()
