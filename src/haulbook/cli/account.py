"""``haulbook account``: from tally sheets to a book that balances, checked against its permits."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from haulbook.cli.common import DONE, TO_SETTLE, Together, leave, print_json, print_problems, show
from haulbook.problems import Problem, Refusal

if TYPE_CHECKING:
    from collections.abc import Sequence

    from haulbook.exchange.answers import Answer, Question
    from haulbook.exchange.station_toml import Station
    from haulbook.office.account_book import Accounted
    from haulbook.permit.model import Permit

FORMS = ("detail-and-summary", "full-columns")
"""Agency tables that every permit gets unless ``--layout`` names others."""
MOST_SHOWN = 20
"""Questions and refused rows that are written out."""


def register(app: typer.Typer) -> None:
    """Add the command."""
    app.command(name="account")(account)


def account(
    files: Annotated[
        list[Path], typer.Argument(help="Tally sheets (CSV, XLSX, ODS), or books (JSON Lines).")
    ],
    out: Annotated[Path, typer.Option(help="Folder for book, account page and reports; made where missing.")],
    map_: Annotated[Path | None, typer.Option("--map", help="Sheet map (TOML); needed for sheets.")] = None,
    permit: Annotated[
        list[Path] | None, typer.Option(help="Permit (TOML); repeat for each that holds.")
    ] = None,
    site: Annotated[Path | None, typer.Option(help="Station file (TOML): nets, sites, people.")] = None,
    confirm: Annotated[Path | None, typer.Option(help="Answers to what was asked (TOML).")] = None,
    questions: Annotated[
        Path | None, typer.Option(help="Write what is asked to this new file, to answer.")
    ] = None,
    layout: Annotated[
        list[str] | None, typer.Option(help="Agency layout: a file (TOML) or a packaged form.")
    ] = None,
    pack: Annotated[str | None, typer.Option(help="Taxon pack where only books are given.")] = None,
    by: Annotated[str, typer.Option(help="Key of the person who brings the sheets in.")] = "p1",
    open_: Annotated[bool, typer.Option("--open", help="Open the account page in a browser.")] = False,
    json_: Annotated[bool, typer.Option("--json", help="Print the account as JSON.")] = False,
) -> None:
    """Account for every animal in tally sheets or books, and check the account against its permits.

    Writes book.jsonl, account.html, estimates.csv, and for each permit and permit year its report as CSV and
    XLSX. Nothing is written unless all of it can be.

    Exit status 1 means that a person has something to settle: an animal without a fate, a finding, a
    question.

    Example: haulbook account hauls.csv catch.csv --map map.toml --permit permit.toml --site station.toml
    --out season

    Example: haulbook account season/book.jsonl --pack nwatlantic --permit permit.toml --out again
    """
    from haulbook.cli.account_files import account_files, invented_by
    from haulbook.cli.files import write_all
    from haulbook.office.clock import now

    made_at = now()
    station, problems, done = _read(
        files, map_, permit or [], site, confirm, questions, layout or [], pack, by, made_at
    )
    written = account_files(
        done, station=station, made_at=made_at, paths=files, problems=problems, invented=invented_by(station)
    )
    write_all(out, written)
    asked = [problem for problem in problems if problem.kind in ("asked", "refused")]
    if json_:
        print_json(
            {
                **done.as_json(),
                "problems": [problem.as_json() for problem in problems],
                "files": [str(out / name) for name in written],
            }
        )
    else:
        print_problems(asked[:MOST_SHOWN])
        if len(asked) > MOST_SHOWN:
            typer.echo(f"... and {len(asked) - MOST_SHOWN} more (all with --json)", err=True)
        _say(done, out, len(asked))
    if open_:
        show(out / "account.html")
    leave(TO_SETTLE if asked or done.to_settle else DONE)


def _read(
    files: list[Path], map_: Path | None, permits: list[Path], site: Path | None, confirm: Path | None,
    questions: Path | None, layouts: list[str], pack_key: str | None, by: str, made_at: Any,
) -> tuple[Station | None, Sequence[Problem], Accounted]:  # fmt: skip
    from haulbook.custody.book import merge
    from haulbook.exchange.answers import read_answers
    from haulbook.exchange.bookfile import read_book
    from haulbook.exchange.map_toml import read_sheet_map
    from haulbook.exchange.permit_toml import read_permit
    from haulbook.exchange.reading import read_sheets
    from haulbook.exchange.sheet_names import name_questions
    from haulbook.exchange.station_toml import read_station
    from haulbook.office.account_book import account_book
    from haulbook.office.book_of_sheets import book_of_sheets
    from haulbook.taxa import load_pack

    books = [path for path in files if path.suffix == ".jsonl"]
    sheets = [path for path in files if path.suffix != ".jsonl"]
    if sheets and map_ is None:
        raise Refusal("sheets need --map; `haulbook map FILES --out map.toml` proposes one")
    if questions is not None and not sheets:
        said = "only sheets ask questions; a book has its discrepancies"
        raise Refusal(Problem("refused", said, str(questions)))
    together = Together()
    station = together.read(read_station, site) if site else None
    sheet_map = together.read(read_sheet_map, map_) if map_ else None
    answers = (together.read(read_answers, confirm) if confirm else None) or ()
    parts = [together.read(read_book, path) for path in books]
    pack_key = pack_key or (sheet_map.pack if sheet_map else None) or (station.pack if station else None)
    pack = together.read(load_pack, pack_key) if pack_key else None
    read = [together.read(read_permit, path, pack) for path in permits]
    agency = together.read(_layouts, layouts)
    together.read(_refuse_twice, read)
    together.read(_refuse_name, by)
    together.refuse()
    if pack is None:
        raise Refusal("say which taxa the book's names are from: --pack nepacific or --pack nwatlantic")
    problems: list[Problem] = []
    if sheets and sheet_map:
        reading = read_sheets(sheets, sheet_map, answers, confirm.name if confirm else "the answers")
        names = name_questions(reading, pack, answers)
        if questions is not None:  # before the book, which may need the answers to be made at all
            _write_questions(questions, (*reading.questions, *names), answers)
        problems = [*reading.problems, *(name.as_problem() for name in names)]
        parts.append(book_of_sheets(reading, pack, answers, by))
    done = account_book(
        merge(*(part for part in parts if part)),
        pack,
        permits=[permit for permit in read if permit],
        layouts=agency or (),
        station=station,
        as_of=made_at,
    )
    return station, problems, done


def _refuse_twice(permits: list[Permit | None]) -> None:
    numbers = [permit.no for permit in permits if permit]
    twice = sorted({no for no in numbers if numbers.count(no) > 1})
    if twice:
        raise Refusal(f"permit {', '.join(twice)} is handed in twice; each stands in one file")


def _refuse_name(by: str) -> None:
    from haulbook.custody.entry import PERSON

    if not PERSON.fullmatch(by):
        raise Refusal(f"--by is {by!r}; it takes a person's key, as p3, never a name")


def _layouts(names: list[str]) -> list[Any]:
    from haulbook.exchange.layouts import packaged_form, read_layout

    found: list[Any] = []
    for name in names or FORMS:
        found += [read_layout(Path(name))] if name.endswith(".toml") else packaged_form(name)
    return found


def _write_questions(path: Path, asked: Sequence[Question], answers: Sequence[Answer]) -> None:
    from haulbook.exchange.answers import write_questions

    answered = {(answer.about, answer.key) for answer in answers if not answer.open}
    n = write_questions(path, [one for one in asked if (one.about, one.key) not in answered])
    typer.echo(f"{n} questions are in {path}: answer them and hand it in with --confirm", err=True)


def _say(done: Accounted, out: Path, asked: int) -> None:
    from haulbook.office.balance import by_fate
    from haulbook.publish.words import FATE_WORDS, UNIT_WORDS

    account = done.account
    outings = len({haul.outing for haul in account.hauls})
    typer.echo(f"{outings} outings, {len(account.hauls)} hauls, {done.captured} animals captured:")
    for fate, n in by_fate(account.animals).items():
        typer.echo(f"  {n:>8} {FATE_WORDS[fate]}")
    for unit, n in done.other_units.items():
        typer.echo(f"  {n:>8} {UNIT_WORDS.get(unit, unit)} beside them")
    typer.echo(f"  {done.out_of_sea:>8} out of the sea, difference {done.difference}")
    for report in done.reports:
        for laid in report.tables:
            sums = "equals" if laid.reported == report.captured else "DOES NOT EQUAL"
            typer.echo(
                f"{report.words}, {laid.layout.name}: "
                f"{laid.reported} reported {sums} {report.captured} captured"
            )
    for finding in done.findings:
        if finding.grade != "note":
            typer.echo(f"{finding.grade}: {finding}")
    held = sum(thing.n for thing in done.open if thing.kind == "animals") - done.unaccounted
    if held > 0:
        typer.echo(f"{held} kept animals have left the beach and stand in no tank yet")
    blocking = sum(thing.blocks for thing in done.open if thing.kind != "animals")
    still = ((done.unaccounted, "animals without a fate"), (blocking, "things in the book"),
             (asked, "questions of the sheets"))  # fmt: skip
    if any(n for n, _ in still):
        typer.echo(f"Still open: {', '.join(f'{n} {words}' for n, words in still if n)}")
    typer.echo(f"Written: {out / 'account.html'}, {out / 'book.jsonl'} and {len(done.reports)} reports")
