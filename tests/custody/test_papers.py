"""Notices and receipts as entries of the book."""

from __future__ import annotations

from datetime import datetime

from haulbook.custody.papers import papers


def test_papers_that_stand_are_listed_oldest_first_and_up_to_an_instant(make_phone):
    desk = make_phone("desk", outing=None)
    sent = {"permit": "EX-27-014", "clause": "7", "act": "notice-sent", "sha256": "0" * 64}
    notice = desk.write("paper", sent, at="2027-05-12T09:00:00-04:00", by="p1")
    wrong = desk.write("paper", {"permit": "EX-27-014", "act": "permission"}, at="2027-05-12T10:00:00-04:00")
    desk.strike(wrong)
    desk.write(
        "paper", {"permit": "EX-27-014", "act": "receipt", "digest": "1" * 64}, at="2027-05-13T09:00:00-04:00"
    )
    assert [(paper.act, paper.clause, paper.by) for paper in papers(desk.book)] == [
        ("notice-sent", "7", "p1"),
        ("receipt", None, "p3"),
    ]
    (only,) = papers(desk.book, datetime.fromisoformat("2027-05-13T08:59:59-04:00"))
    assert (only.entry, only.at, only.permit, only.sha256, only.digest) == (
        notice.id,
        notice.when,
        "EX-27-014",
        "0" * 64,
        None,
    )
