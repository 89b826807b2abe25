"""Calendar files, read back with an independent reader, and held against RFC 5545."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

import icalendar
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from haulbook.exchange.ics import Alarm, Event, calendar, escape, fold, unfold
from haulbook.problems import Refusal

ZONE = ZoneInfo("America/New_York")
NOW = datetime(2027, 5, 12, 9, tzinfo=UTC)
EVENT = Event(
    uid="0f1e@haulbook",
    start=datetime(2027, 5, 14, 5, 12, tzinfo=ZONE),
    end=datetime(2027, 5, 14, 8, 20, tzinfo=ZONE),
    summary="Seine outing, cove, 05:12 EDT: go with limits",
    description="Low −0.20 m at 06:35 EDT; bring C:\\nets\nTwo lines, one comma.",
    status="TENTATIVE",
    location="cove",
    position=(41.46, -71.31),
    alarms=(
        Alarm(timedelta(hours=12), "Look at the forecast."),
        Alarm(timedelta(minutes=20), "08:00 EDT: out of the water, pack up.", of="end"),
    ),
)

# What a text may hold: no surrogates, and of the control characters only the line end.
TEXT = st.text(st.characters(exclude_categories=("Cs", "Cc"), include_characters="\n"), max_size=300)


def read(data: bytes):
    (event,) = icalendar.Calendar.from_ical(data).walk("VEVENT")
    return event


def test_an_independent_reader_finds_what_was_written():
    data = calendar([EVENT], NOW)
    whole = icalendar.Calendar.from_ical(data)
    assert (whole["VERSION"], whole["PRODID"]) == ("2.0", "-//haulbook//plan//EN")  # RFC 5545 3.6
    event = read(data)
    assert event["UID"] == EVENT.uid
    assert event["SUMMARY"] == EVENT.summary
    assert event["DESCRIPTION"] == EVENT.description
    assert event["LOCATION"] == "cove"
    assert event["STATUS"] == "TENTATIVE"
    assert event["SEQUENCE"] == 0
    assert event.decoded("DTSTART") == EVENT.start
    assert event.decoded("DTEND") == EVENT.end
    assert event.decoded("DTSTAMP") == NOW
    assert (event["GEO"].latitude, event["GEO"].longitude) == EVENT.position


def test_times_are_in_utc_so_that_no_zone_has_to_come_along():
    lines = unfold(calendar([EVENT], NOW))
    assert "DTSTART:20270514T091200Z" in lines
    assert "DTEND:20270514T122000Z" in lines
    assert not any("TZID" in line or "VTIMEZONE" in line for line in lines)


def test_alarms_show_a_text_before_start_and_before_end():
    evening, out = read(calendar([EVENT], NOW)).walk("VALARM")
    assert (evening["ACTION"], out["ACTION"]) == ("DISPLAY", "DISPLAY")
    assert evening.decoded("TRIGGER") == timedelta(hours=-12)
    assert out.decoded("TRIGGER") == timedelta(minutes=-20)
    assert out["TRIGGER"].params["RELATED"] == "END"
    assert out["DESCRIPTION"] == "08:00 EDT: out of the water, pack up."  # needed for DISPLAY: 3.6.6


def test_a_cancelled_event_rings_no_bell():
    event = read(calendar([replace(EVENT, status="CANCELLED")], NOW))
    assert event["STATUS"] == "CANCELLED"
    assert event.walk("VALARM") == []


def test_written_again_without_change_the_file_is_the_same_byte_for_byte():
    first = calendar([EVENT], NOW)
    assert calendar([EVENT], NOW + timedelta(days=1), first) == first


def test_a_change_raises_the_sequence_and_keeps_the_uid():
    data = calendar([EVENT], NOW)
    for wanted in (1, 2):
        changed = replace(EVENT, description=f"changed {wanted}")
        data = calendar([changed], NOW + timedelta(days=wanted), data)
        event = read(data)
        assert (event["UID"], event["SEQUENCE"]) == (EVENT.uid, wanted)
        assert event.decoded("DTSTAMP") == NOW + timedelta(days=wanted)


def test_other_events_of_the_file_stay_as_they_are():
    first = calendar([EVENT], NOW)
    both = calendar([replace(EVENT, uid="other@haulbook")], NOW + timedelta(days=1), first)
    events = {str(one["UID"]): one for one in icalendar.Calendar.from_ical(both).walk("VEVENT")}
    assert set(events) == {EVENT.uid, "other@haulbook"}
    assert events[EVENT.uid].decoded("DTSTAMP") == NOW


@pytest.mark.parametrize(
    "foreign", [b"", b"\xff\xfe", b"hello", b"BEGIN:VCALENDAR\r\nPRODID:-//other//EN\r\nEND:VCALENDAR\r\n"]
)
def test_a_file_of_somebody_else_is_not_overwritten(foreign):
    with pytest.raises(Refusal, match="no calendar of haulbook; name another, or move it away"):
        calendar([EVENT], NOW, foreign)


def test_an_event_needs_zones_and_an_end_after_its_start():
    with pytest.raises(Refusal, match="times with their zone"):
        replace(EVENT, start=datetime(2027, 5, 14, 5))  # noqa: DTZ001 (that is the point)
    with pytest.raises(Refusal, match="ends after it starts"):
        replace(EVENT, end=EVENT.start)


def test_text_is_escaped_as_the_standard_says():
    # RFC 5545 3.3.11: backslash, semicolon, comma and line end; a colon is not escaped.
    assert escape("a;b,c\\d\ne:f\r\ng\x07") == "a\\;b\\,c\\\\d\\ne:f\\ng"


def test_a_long_line_is_folded_at_75_octets_not_characters():
    folded = fold("SUMMARY:" + "ü" * 60)  # two octets each
    first, second, rest = folded.split(b"\r\n")
    assert len(first) == 74  # the 75th octet would split a letter
    assert second.startswith(b" ")
    assert rest == b""


@given(TEXT)
@settings(max_examples=150)
def test_folding_never_splits_a_character_and_unfolds_to_what_it_was(text):
    line = f"DESCRIPTION:{escape(text)}"
    folded = fold(line)
    assert folded.endswith(b"\r\n")
    for piece in folded.removesuffix(b"\r\n").split(b"\r\n"):
        assert len(piece) <= 75
        piece.decode("utf-8")
    assert folded.replace(b"\r\n ", b"").decode() == f"{line}\r\n"


@given(TEXT)
@settings(max_examples=60)
def test_any_text_comes_back_as_it_was(text):
    event = read(calendar([replace(EVENT, description=text)], NOW))
    assert str(event.get("DESCRIPTION", "")) == text
