"""``haulbook plan`` on the invented season: files, statuses, refusals."""

from __future__ import annotations

import importlib.util
import json
import re
from pathlib import Path

import icalendar
import pytest
import typer
from typer.testing import CliRunner

from haulbook.cli import plan
from haulbook.demo.season import papers, season
from haulbook.exchange.bookfile import write_book
from haulbook.problems import Refusal

DOCS = Path(__file__).resolve().parents[2] / "docs/reference/plan.md"
PLAN = """
outing = "2026-09-26-a"
site = "sallowhorn-cove"
date = 2026-09-26
hauls = 3
permits = ["SC-24-031"]
nets = ["n1"]
crew = ["p1", "p3"]
people_present = 8
paper = [
  {permit = "SC-24-031", act = "notice-sent", at = 2026-09-20T09:00:00-04:00},
  {permit = "SC-24-031", act = "receipt", at = 2026-09-21T09:00:00-04:00},
]
"""
CONSTANTS = """# station: dock
# zone: America/New_York
# position: 41.46,-71.31
constituent,amplitude_m,phase_deg
Z0,0.529,
M2,0.505,2.3
N2,0.124,345.8
S2,0.108,25.0
K1,0.062,166.1
O1,0.047,202.0
"""


@pytest.fixture(scope="module")
def season_files(tmp_path_factory):
    folder = tmp_path_factory.mktemp("season")
    for name, content in papers().items():
        (folder / name).write_bytes(content)
    (folder / "plan.toml").write_text(PLAN, encoding="utf-8")
    write_book(season()[1], folder / "book.jsonl")
    # The same permit without the clauses that past take has filled, and which hang on chance.
    text = (folder / "permit.toml").read_text(encoding="utf-8")
    head, *clauses = text.split("[[clause]]")
    kept = [one for one in clauses if re.search(r'id = "(2b|5|6|7|8)"', one)]
    (folder / "open.toml").write_text("[[clause]]".join([head, *kept]), encoding="utf-8")
    return folder


@pytest.fixture
def run(season_files):
    app = typer.Typer()
    plan.register(app)

    def running(*arguments, permit="permit.toml", site="station.toml", now="2026-09-22T12:00", days=None):
        first, last = days or ("2026-09-26", "2026-09-27")
        asked = [
            "--site",
            season_files / site,
            "--permit",
            season_files / permit,
            "--from",
            first,
            "--to",
            last,
        ]
        return CliRunner().invoke(app, [str(one) for one in [*asked, "--now", now, *arguments]])

    return running


def refused(result) -> list[str]:
    assert isinstance(result.exception, Refusal), result.output
    return [problem.message for problem in result.exception.problems]


def test_a_go_ends_with_0_and_says_what_and_when(run, season_files):
    result = run("--plan", season_files / "plan.toml", permit="open.toml")
    assert result.exit_code == 0
    assert result.stdout.startswith("Sat 26 September 2026, sallowhorn-cove: Go\n")
    assert "10:34 EDT to 13:33 EDT: go" in result.stdout
    assert "note: The lead decides, on the beach" in result.stderr
    assert "safe" not in result.output.casefold()


def test_what_a_person_has_to_settle_ends_with_1_and_quotes_the_clause(run):
    result = run()
    assert result.exit_code == 1
    assert "No-go until notice is given\nThen: go with limits.\n" in result.stdout
    assert "“The holder gives notice at least 24 hours before each outing" in result.stdout


def test_page_paper_and_json_are_written_together(run, season_files, tmp_path):
    out = tmp_path / "new" / "plan"
    result = run("--plan", season_files / "plan.toml", "--book", season_files / "book.jsonl", "--out", out)
    assert result.exit_code == 1
    assert sorted(path.name for path in out.iterdir()) == ["plan.html", "plan.json", "plan.pdf"]
    assert (out / "plan.pdf").read_bytes().startswith(b"%PDF")
    page = (out / "plan.html").read_text(encoding="utf-8")
    assert "Saturday 26 September 2026, sallowhorn-cove" in page
    assert "The station and its book are invented." in page
    assert re.search(r"book.jsonl</dt>\s*<dd>SHA-256 [0-9a-f]{64}", page)
    assert json.loads((out / "plan.json").read_text(encoding="utf-8"))["chances"]["given"]


def keys_of(value) -> set[str]:
    if isinstance(value, dict):
        return {*value, *(key for one in value.values() for key in keys_of(one))}
    if isinstance(value, list):
        return {key for one in value for key in keys_of(one)}
    return set()


def test_json_is_json_alone_and_every_key_is_documented(run, season_files):
    result = run("--plan", season_files / "plan.toml", "--book", season_files / "book.jsonl", "--json")
    said = json.loads(result.stdout)
    assert said["plan"] == 1
    assert said["verdict"] == "go with limits"
    documented = set(re.findall(r"`([a-z_]+)`", DOCS.read_text(encoding="utf-8")))
    assert keys_of(said) - documented == set()


def test_the_same_question_gets_the_same_json(run, season_files):
    asked = ("--book", season_files / "book.jsonl", "--json")
    assert run(*asked).stdout == run(*asked).stdout


def test_a_calendar_file_is_written_and_later_updated_in_place(run, season_files, tmp_path):
    path = tmp_path / "outing.ics"
    asked = ("--plan", season_files / "plan.toml", "--book", season_files / "book.jsonl", "--ics", path)
    run(*asked)
    first = path.read_bytes()
    (event,) = icalendar.Calendar.from_ical(first).walk("VEVENT")
    assert (event["STATUS"], event["SEQUENCE"]) == ("TENTATIVE", 0)
    run(*asked, now="2026-09-23T12:00")
    assert path.read_bytes() == first
    run(*asked, permit="open.toml", now="2026-09-24T12:00")
    (changed,) = icalendar.Calendar.from_ical(path.read_bytes()).walk("VEVENT")
    assert (changed["UID"], changed["STATUS"], changed["SEQUENCE"]) == (event["UID"], "CONFIRMED", 1)


def test_a_calendar_file_of_somebody_else_stays_and_nothing_is_written(run, tmp_path):
    path, out = tmp_path / "mine.ics", tmp_path / "out"
    path.write_bytes(b"BEGIN:VCALENDAR\r\nEND:VCALENDAR\r\n")
    said = refused(run("--ics", path, "--out", out))
    assert said == ["the file that stands there is no calendar of haulbook; name another, or move it away"]
    assert path.read_bytes() == b"BEGIN:VCALENDAR\r\nEND:VCALENDAR\r\n"
    assert not out.exists()


def test_without_the_extra_the_pdf_is_left_out_and_that_is_said_once(run, tmp_path, monkeypatch):
    real = importlib.util.find_spec
    monkeypatch.setattr(
        importlib.util, "find_spec", lambda name, *rest: None if name == "typst" else real(name, *rest)
    )
    result = run("--out", tmp_path)
    assert sorted(path.name for path in tmp_path.iterdir()) == ["plan.html", "plan.json"]
    assert result.stderr.count("the extra 'reports'") == 1


def test_a_station_file_may_name_constants_of_its_own_beside_it(run, season_files):
    station = (season_files / "station.toml").read_text(encoding="utf-8")
    (season_files / "dock.csv").write_text(CONSTANTS, encoding="utf-8")
    (season_files / "own.toml").write_text(station.replace('"8452660"', '"dock.csv"'), encoding="utf-8")
    result = run("--json", site="own.toml")
    assert json.loads(result.stdout)["tide"]["station"].startswith("dock ")
    (season_files / "gone.toml").write_text(station.replace('"8452660"', '"gone.csv"'), encoding="utf-8")
    (said,) = refused(run(site="gone.toml"))
    assert said.startswith("there is no file")
    assert said.endswith("gone.csv")


def test_a_day_without_a_window_writes_no_calendar_entry_and_says_so(run, season_files, tmp_path):
    station = (season_files / "station.toml").read_text(encoding="utf-8")
    (season_files / "deep.toml").write_text(station.replace("bed_m = -0.3", "bed_m = -4.0"), encoding="utf-8")
    result = run("--ics", tmp_path / "none.ics", site="deep.toml")
    assert result.exit_code == 1
    assert "No-go: no window" in result.stdout
    assert "there is no window, so no calendar entry was written" in result.stderr
    assert not (tmp_path / "none.ics").exists()


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (("--at", "sallowhorn-cave"), "there is no site 'sallowhorn-cave'; the nearest is 'sallowhorn-cove'"),
        (("--book", "gone.jsonl"), "there is no file gone.jsonl"),
        (("--takes", "30", "0", "20"), "a haul more than 0"),
        (("--paper", "a5", "--out", "nowhere"), "there is no paper 'a5'; the nearest is 'a4'"),
        (("--now", "noon"), "'noon' is no time"),
    ],
)
def test_what_is_off_is_refused_in_words(run, arguments, words, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    assert any(words in said for said in refused(run(*arguments)))
    assert list(tmp_path.iterdir()) == []


def test_the_plan_has_to_fit_the_days_the_site_and_the_station(run, season_files):
    path = season_files / "plan.toml"
    assert (
        "is outside 1 October 2026 to 2 October 2026"
        in refused(run("--plan", path, days=("2026-10-01", "2026-10-02")))[0]
    )
    assert refused(run("--plan", path, "--at", "outer")) == [
        "--at says outer, the plan says sallowhorn-cove: leave one out"
    ]
    other = season_files / "other.toml"
    other.write_text(PLAN.replace('["n1"]', '["n2"]'), encoding="utf-8")
    assert "there is no net 'n2'" in refused(run("--plan", other))[0]
    assert "swap the two days" in refused(run(days=("2026-09-27", "2026-09-26")))[0]
