"""What differs between two versions of a permit's file, and what has to be compared with the paper again (invented)."""

from __future__ import annotations

import pytest

from haulbook.demo.season import papers
from haulbook.exchange.permit_toml import permit_of
from haulbook.exchange.toml_keys import parse_toml
from haulbook.office.permit_changes import permit_changes
from haulbook.taxa import load_pack

PACK = load_pack("nwatlantic")


@pytest.fixture
def text():
    return papers()["permit.toml"].decode()


def read(text):
    return permit_of(parse_toml(text, "permit.toml"), "permit.toml", PACK)


def test_the_same_text_changes_nothing_and_comments_do_not_count(text):
    assert permit_changes(read(text), read("# another comment\n" + text)).none


def test_a_limit_that_changes_is_named_with_what_it_was_and_asks_anew(text):
    changes = permit_changes(read(text), read(text.replace("limit = 12", "limit = 10")))
    assert [(one.clause, one.kind, one.fields, one.anew) for one in changes.clauses] == [
        ("2a", "changed", (("limit", "12", "10"),), True)
    ]


def test_an_amendment_ends_the_version_before_without_asking_anew_for_it(text):
    more = text + (
        '\n[[clause]]\nid = "2a"\nversion = 2\neffective_from = 2026-07-01\nkind = "limit"\n'
        'scope = {taxon = "northern-pipefish"}\nbasis = "retained"\nlimit = 6\nperiod = "permit_year"\n'
        'source = {text = "Six."}\n'
    )
    changes = {(one.clause, one.version): one for one in permit_changes(read(text), read(more)).clauses}
    assert changes["2a", 2].kind == "added"
    assert changes["2a", 2].anew
    assert changes["2a", 1].kind == "changed"
    assert not changes["2a", 1].anew
    assert changes["2a", 1].fields == (("effective_to", "", "2026-07-01T00:00:00-04:00"),)


def test_the_heading_and_a_clause_taken_out_are_named(text):
    end = text.rindex("[[clause]]")
    changes = permit_changes(read(text), read(text[:end].replace('people = ["p1", "p3"]', 'people = ["p1"]')))
    assert changes.heading == (("people", "p1, p3", "p1"),)
    assert [(one.clause, one.kind) for one in changes.clauses] == [("8", "removed")]
