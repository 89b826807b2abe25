"""``haulbook plan``: which day, go or no-go, and what to take along."""

from __future__ import annotations

import hashlib
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from haulbook.cli.common import DONE, TO_SETTLE, leave, print_json, print_problems
from haulbook.cli.tide_station import tide_station
from haulbook.problems import Problem, Refusal

if TYPE_CHECKING:
    from haulbook.office.plan_outing import Planned
    from haulbook.office.planning.asked import Asked
    from haulbook.publish.plan_parts import PlanPage
    from haulbook.taxa import Pack

ON_SCREEN = 5
"""Windows that are printed without ``--json``."""


def register(app: typer.Typer) -> None:
    """Add the command."""
    app.command(name="plan")(plan)


def plan(
    site: Annotated[Path, typer.Option(help="Station file (TOML): sites, nets, people, taxon pack.")],
    permit: Annotated[list[Path], typer.Option(help="Permit (TOML); repeat for each that holds.")],
    first: Annotated[str, typer.Option("--from", metavar="D", help="First day, as 2027-05-14.")],
    last: Annotated[str, typer.Option("--to", metavar="D", help="Last day, included.")],
    plan_: Annotated[
        Path | None, typer.Option("--plan", help="Plan of one outing (TOML): day, crew, nets, buckets.")
    ] = None,
    at: Annotated[
        str | None,
        typer.Option("--at", metavar="KEY", help="Site, where the file has several and no plan names one."),
    ] = None,
    book: Annotated[
        list[Path] | None,
        typer.Option(help="Book (JSON Lines); repeat to merge. Default: nothing taken yet."),
    ] = None,
    hauls: Annotated[
        int, typer.Option(min=1, metavar="N", help="Hauls wanted, where no plan says how many.")
    ] = 3,
    takes: Annotated[
        tuple[float, float, float],
        typer.Option("--takes", metavar="SETUP HAUL PACK", help="Minutes to set up, per haul, to pack out."),
    ] = (30.0, 30.0, 20.0),
    ics: Annotated[
        Path | None, typer.Option("--ics", help="Calendar file to write, or to update if it is there.")
    ] = None,
    out: Annotated[
        Path | None, typer.Option(help="Folder for plan.html, plan.pdf and plan.json; made where missing.")
    ] = None,
    paper: Annotated[str, typer.Option(help="Paper of the PDF: a4 or letter.")] = "a4",
    when: Annotated[
        str | None,
        typer.Option(
            "--now", metavar="T", help="Ask as of this instant, 2027-05-12T09:00 local. Default: the clock."
        ),
    ] = None,
    seed: Annotated[
        int, typer.Option(min=0, help="Seed of the drawn probabilities: the same gives the same.")
    ] = 1,
    as_json: Annotated[
        bool, typer.Option("--json", help="Print JSON: instants in UTC, metres above mean lower low water.")
    ] = False,
) -> None:
    """Say for each window of tide and daylight: go, go with limits, or no-go, with the reasons.

    The plan's day is judged first; without a plan, the best window. Exit status 1 means that a person has
    something to settle: go with limits, or no-go. The word says what tide, daylight, permits, people and past
    hauls say; the lead decides on the beach.

    \b
    Example:
        haulbook plan --site station.toml --permit permit.toml --from 2026-09-15 --to 2026-10-14 --book book.jsonl
        haulbook plan --site station.toml --permit permit.toml --plan plan.toml --from 2026-09-15 --to 2026-10-14
            --book book.jsonl --ics outing.ics --out plan
    """  # noqa: D301
    import numpy as np

    from haulbook.cli.files import write_all
    from haulbook.custody.book import merge
    from haulbook.exchange.bookfile import read_book
    from haulbook.office.plan_outing import plan_outing
    from haulbook.office.planning.past import past_of

    asked, pack = _asked(site, permit, plan_, at, first, last, hauls, takes, when)
    past = past_of(merge(*(read_book(path) for path in book or [])), pack)
    planned = plan_outing(asked, past, pack, np.random.default_rng(seed))
    calendar = _calendar(planned, ics)
    if out is not None:
        files = [site, *permit, *([plan_] if plan_ else []), *(book or [])]
        write_all(out, _files(planned, pack, files, seed, paper))
    if ics is not None and calendar is not None:
        write_all(ics.parent, {ics.name: calendar})
    if as_json:
        from haulbook.office.planning.as_json import plan_json

        print_json(plan_json(planned))
    else:
        _say(planned)
    leave(DONE if planned.verdict == "go" else TO_SETTLE)


def _asked(
    site: Path, permits: list[Path], plan_: Path | None, at: str | None, first: str, last: str, hauls: int,
    takes: tuple[float, float, float], when: str | None,
) -> tuple[Asked, Pack]:  # fmt: skip
    from haulbook.exchange.permit_toml import read_permit
    from haulbook.exchange.plan_toml import check_plan, read_plan
    from haulbook.exchange.station_toml import read_station
    from haulbook.office.clock import now
    from haulbook.office.planning.asked import Asked, site_of
    from haulbook.taxa import load_pack
    from haulbook.tide import Work, load_catalog
    from haulbook.tide.clock import date_of, instant_of, zone_of

    station = read_station(site)
    pack = load_pack(station.pack)
    plan = read_plan(plan_) if plan_ else None
    if plan and plan_:
        check_plan(plan, station, plan_.name)
        if at is not None and at != plan.site:
            raise Refusal(f"--at says {at}, the plan says {plan.site}: leave one out")
    place = site_of(station, plan.site if plan else at)
    if place.tide is None:
        raise Refusal(
            Problem(
                "refused", f"site {place.key} names no tide station: write its tide", site.name, column="site"
            )
        )
    asked = Asked(
        station=station,
        site=place,
        tide_station=tide_station(place.tide.station, site.parent),
        tide_stations=load_catalog().stations,
        permits=tuple(read_permit(path, pack) for path in permits),
        first=date_of(first),
        last=date_of(last),
        now=instant_of(when, zone_of(place.zone)) if when else now(),
        plan=plan,
        work=Work(*takes, hauls),
    )
    return asked, pack


def _calendar(planned: Planned, path: Path | None) -> bytes | None:
    from haulbook.exchange.ics import calendar
    from haulbook.office.planning.calendar import plan_event

    if path is None:
        return None
    event = plan_event(planned)
    if event is None:
        print_problems(
            [Problem("note", "there is no window, so no calendar entry was written", file=path.name)]
        )
        return None
    try:
        before = path.read_bytes() if path.exists() else None
    except OSError as problem:
        raise Refusal(Problem("refused", f"can't be read ({problem.strerror})", file=path.name)) from None
    return calendar([event], planned.asked.now, before)


def _files(planned: Planned, pack: Pack, paths: list[Path], seed: int, paper: str) -> dict[str, bytes]:
    import json

    import haulbook
    from haulbook.cli.account_files import invented_by
    from haulbook.office.planning.as_json import plan_json
    from haulbook.office.planning.page import plan_page
    from haulbook.publish.plan_page import render_plan

    facts = [(path.name, f"SHA-256 {hashlib.sha256(path.read_bytes()).hexdigest()}") for path in paths]
    facts += [
        ("taxon pack", f"{pack.key}, version {pack.version}"),
        ("haulbook", f"{haulbook.__version__}, seed {seed}"),
    ]
    page = plan_page(planned, pack, facts, invented=invented_by(planned.asked.station))
    pdf = _pdf(page, paper)
    return {
        "plan.html": render_plan(page).encode(),
        **({"plan.pdf": pdf} if pdf else {}),
        "plan.json": (json.dumps(plan_json(planned), ensure_ascii=False, indent=1) + "\n").encode(),
    }


def _pdf(page: PlanPage, paper: str) -> bytes | None:
    """Return the PDF; without the extra that makes it, say so: the page and the JSON are worth having alone."""
    from importlib.util import find_spec

    from haulbook.publish.plan_paper import MISSING, plan_paper

    if find_spec("typst") is None:
        print_problems([Problem("note", f"plan.pdf is left out: {MISSING}")])
        return None
    return plan_paper(page, paper=paper)


def _say(planned: Planned) -> None:
    from haulbook.office.planning.page import headline
    from haulbook.tide.clock import say_clock, say_day

    zone = planned.asked.zone
    typer.echo(
        f"{planned.day.day:%a} {say_day(planned.day.day)}, {planned.asked.site.key}: {headline(planned)}"
    )
    if planned.then != planned.verdict:
        typer.echo(f"Then: {planned.then}.")
    reasons = planned.chosen.reasons if planned.chosen else (planned.nothing,)
    for reason in reasons:
        if reason and reason.weight != "ok":
            typer.echo(f"  {reason.weight:<6} {reason.message}")
            if reason.quote:
                typer.echo(f"         {reason.quote}")
    for choice in planned.choices[:ON_SCREEN]:
        span = f"{say_clock(choice.window.start, zone)} to {say_clock(choice.window.end, zone)}"
        word = choice.verdict if choice.then == choice.verdict else f"{choice.verdict}, then {choice.then}"
        typer.echo(f"{choice.rank:3}  {choice.day:%a} {say_day(choice.day)}, {span}: {word}")
        typer.echo(f"     {choice.why}")
    if len(planned.choices) > ON_SCREEN:
        typer.echo(f"     {len(planned.choices)} windows in all")
    print_problems(Problem("note", caution) for caution in planned.cautions)
