"""Propose how the dates and times of one file are written."""

from __future__ import annotations

from haulbook.exchange.cells import CellTrouble
from haulbook.exchange.date_forms import EXAMPLES, order_is_ambiguous, read_date
from haulbook.exchange.propose_columns import Guess
from haulbook.exchange.propose_part import DATED, Making
from haulbook.exchange.toml_keys import OPEN


def propose_day(making: Making) -> None:
    """Say where the day stands and in which form; ask where day and month could both come first."""
    draft = making.draft
    if making.role.role not in DATED:
        return
    if date := draft.of("date"):
        _date_column(making, date)
    elif year := draft.of("year"):
        parts = [guess.heading for word in ("year", "month", "day") if (guess := draft.of(word))]
        if len(parts) == 3:
            making.say("date", {"columns": parts}, "year, month and day stand in columns of their own")
        else:
            making.say(
                "date", {"column": year.heading, "form": "yyyy"}, "only the year is given; it stays a year"
            )


def propose_time(making: Making, zone: str | None) -> None:
    """Say where the clock time stands; without a zone it is only offered, since nobody can know it."""
    time = making.draft.of("time")
    if time is None or making.role.role not in ("hauls", "effort", "catch"):
        return
    heading, forms = time.heading, making.profile(time).time_forms
    if not forms:
        making.leave_out(heading, "its times have no one form")
        making.note("its clock times have no one form; they are left out", heading)
        return
    value = {"column": heading, "form": forms[0], "zone": zone or OPEN}
    if zone:
        making.say("time", value, f"as {EXAMPLES[forms[0]]}")
        return
    why = f"which zone did the clock keep? Say it, take away the mark before it, and {heading!r} from ignore"
    making.say("time", value, why, off=True)
    making.leave_out(heading, "its zone has to be said first, see time")
    making.ask("which time zone did the clock keep? Without it the hauls have a day and no time", heading)


def propose_day_part(making: Making, guess: Guess) -> None:
    """Leave out a date or time column that no setting names."""
    named = {word.said for word in making.ignore}
    for line in making.lines:
        if line.key in ("date", "time") and not line.off:
            named |= {line.value.get("column"), *line.value.get("columns", ())}
    if guess.heading not in named:
        blank = making.profile(guess).column.blank
        making.leave_out(
            guess.heading, "nothing stands in it" if blank else "not used for a file of this kind"
        )


def _date_column(making: Making, date: Guess) -> None:
    profile, heading = making.profile(date), date.heading
    if not profile.values:
        return
    forms, sample = profile.date_forms, profile.values[0]
    if not forms:
        making.say("date", {"column": heading, "form": OPEN}, f"no one form fits all dates, as {sample!r}")
        making.ask(f"no one form fits all its dates, the first is {sample!r}: say form in the map", heading)
    elif order_is_ambiguous(forms):
        both = [form for form in forms if form[0] in "md"]
        choices = [f'form = "{form}"  # {sample} is {_in_words(sample, form)}' for form in both]
        why = "day or month first? All dates here fit both"
        making.say("date", {"column": heading, "form": OPEN}, why, choices)
        readings = " or ".join(_in_words(sample, form) for form in both)
        making.ask(f"is {sample!r} {readings}? All its dates fit both; say form in the map", heading)
    else:
        why = f"{sample} is {_in_words(sample, forms[0])}"
        making.say("date", {"column": heading, "form": forms[0]}, why)


def _in_words(text: str, form: str) -> str:
    day = read_date(text, form)
    return text if isinstance(day, CellTrouble) else f"{day.day} {day:%B %Y}"
