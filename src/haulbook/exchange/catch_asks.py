"""What a number leaves open: blanks, estimates above the count, rows that name nothing."""

from __future__ import annotations

import numpy as np

from haulbook.exchange.count_cells import BAD, BLANK, counts_of
from haulbook.exchange.findings import WHOLE, Findings
from haulbook.exchange.sheet_catch import NO_NAME, Catch, State, column_of


def say_nothing(catch: Catch, findings: Findings) -> None:
    """Take names such as ``-`` or ``No fish`` as what they say: a haul that held nothing."""
    for code, name in enumerate(catch.name.values):
        if not (catch.says_nothing(name) or name == NO_NAME):
            continue
        at = np.flatnonzero((catch.name.codes == code) & (catch.n <= 0) & (catch.state != State.PRESENT))
        at = at[catch.n[at] != BAD]
        catch.state[at] = State.NONE
        catch.n[at] = 0
        told = "names no taxon and no number" if name == NO_NAME else f"says {name.strip()!r}"
        findings.tell_rows("note", f"{told}: taken as a haul in which nothing was caught", catch.table, at)
        if name != NO_NAME:
            _refuse_some_of_nothing(catch, code, findings)
        if name == NO_NAME:
            rest = np.flatnonzero((catch.name.codes == code) & (catch.state == State.COUNTED))
            findings.tell_rows(
                "asked",
                f"has a number but no name; counted as {NO_NAME!r} until somebody names it",
                catch.table,
                rest,
                catch.part.heading_of("name"),
            )


def _refuse_some_of_nothing(catch: Catch, code: int, findings: Findings) -> None:
    """Leave out rows that say that the haul held nothing, and beside it how many."""
    at = np.flatnonzero((catch.name.codes == code) & (catch.state != State.NONE) & (catch.n != BAD))
    for i in at.tolist():
        n = int(catch.n[i])
        message = (
            f"says {catch.name.values[code].strip()!r} and {f'the number {n}' if n > 0 else 'that they were there'}: "
            "write the name of the animals, or 0; not counted until then"
        )
        findings.tell("refused", message, catch.table, catch.row(i), catch.part.heading_of("name"))
    catch.leave_open(at)
    catch.n[at] = BAD


def settle_estimates(catch: Catch, findings: Findings) -> None:
    """Split each number into counted and judged by its ``estimated`` column (of which estimated)."""
    column = column_of("estimated", catch.table, catch.part)
    if column is None:
        return
    estimated = np.maximum(counts_of(column, catch.part, catch.table, findings), 0)
    if catch.part.blank_n == "estimate" or catch.part.heading_of("n") is None:
        at = np.flatnonzero((catch.n == BLANK) & (estimated > 0))
        catch.n[at], catch.state[at] = estimated[at], State.COUNTED
    for i in np.flatnonzero((catch.n >= 0) & (estimated > catch.n)).tolist():
        _ask_which(catch, i, int(estimated[i]), findings)
    np.minimum(estimated, np.maximum(catch.n, 0), out=catch.judged)


def _ask_which(catch: Catch, i: int, estimated: int, findings: Findings) -> None:
    n, row = int(catch.n[i]), catch.row(i)
    ask = (
        f"{catch.name[i]}, haul {catch.haul[i]!r}: {n} animals, of which {estimated} estimated: "
        "more estimated than there are. "
        f"How many were there in all: {n}, {estimated}, or {n + estimated} together? "
        f"Until then {n} are counted, all as estimated."
    )
    key = f"{catch.table.label}|{catch.haul[i]}|{catch.name[i]}|row {row}"
    answer = findings.ask(
        "blank-count", key, [row], ask, catch.table, catch.part.heading_of("estimated"), takes=(WHOLE,)
    )
    if answer is not None:
        catch.n[i], catch.state[i] = answer, State.COUNTED if answer else State.NONE


def settle_blanks(catch: Catch, findings: Findings) -> None:
    """Ask what each blank number means, once per haul and taxon; refused cells stay open."""
    at = np.flatnonzero((catch.n == BLANK) & (catch.state == State.OPEN))
    if len(at):
        groups: dict[tuple[str, str], list[int]] = {}
        for i in at.tolist():
            groups.setdefault((catch.haul[i], catch.name[i]), []).append(i)
        for (haul, name), places in groups.items():
            _ask_how_many(catch, haul, name, places, findings)
    catch.n[catch.state != State.COUNTED] = 0


def _ask_how_many(catch: Catch, haul: str, name: str, places: list[int], findings: Findings) -> None:
    said = sorted({text for i in places if (text := catch.text("remark", i))})
    remark = f" The remark says {'; '.join(map(repr, said[:3]))}." if said else ""
    estimates = sorted({text for i in places if (text := catch.text("estimated", i)) and text.isdecimal()})
    estimate = f" Estimated: {', '.join(estimates)}." if estimates else ""
    blank, how_many = f"{name}, haul {haul!r}: the number is blank.", (
        'How many in each row? Answer with a number, "present" where they were seen but not counted, or 0.'
    )  # fmt: skip
    ask = f"{blank}{remark}{estimate} {how_many}"
    told = f"{blank}{' A remark stands beside it.' if said else ''}{estimate} {how_many}"
    rows = [catch.row(i) for i in places]
    key = f"{catch.table.label}|{haul}|{name}"
    answer = findings.ask(
        "blank-count", key, rows, ask, catch.table, catch.part.heading_of("n"),
        takes=("present", WHOLE), told=told,
    )  # fmt: skip
    for i in places:
        if answer == "present":
            catch.state[i] = State.PRESENT
        elif answer is not None:
            catch.n[i], catch.state[i] = answer, State.COUNTED if answer else State.NONE
