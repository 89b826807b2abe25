"""``haulbook kit`` on the invented season: the file, what is said, statuses, refusals."""

from __future__ import annotations

import gzip
import json
import re
from pathlib import Path

import pytest
import typer
from typer.testing import CliRunner

from haulbook.cli import kit
from haulbook.demo.season import papers, season
from haulbook.exchange.bookfile import write_book
from haulbook.problems import Refusal
from haulbook.shore import read_kit

DOCS = Path(__file__).resolve().parents[2] / "docs"
HOW_TO = DOCS / "how-to/take-a-kit-to-the-beach.md"
CONSTANTS = """# station: dock
# zone: America/New_York
# position: 41.46,-71.31
constituent,amplitude_m,phase_deg
Z0,0.529,
M2,0.505,2.3
"""


@pytest.fixture(scope="module")
def season_book():
    return season()[1]


@pytest.fixture
def folder(tmp_path, season_book):
    for name, content in papers().items():
        (tmp_path / name).write_bytes(content)
    (plan,) = re.findall(r"```toml\n(.*?)```", HOW_TO.read_text(encoding="utf-8"), re.DOTALL)
    (tmp_path / "plan.toml").write_text(plan, encoding="utf-8")
    write_book(season_book, tmp_path / "book.jsonl")
    return tmp_path


@pytest.fixture
def run(folder):
    app = typer.Typer()
    kit.register(app)

    def running(*more, now="2026-09-25T20:00", **other):
        files = {
            "plan": "plan.toml",
            "site": "station.toml",
            "permit": "permit.toml",
            "out": "kit.json",
        } | other
        named = [word for option, name in files.items() for word in (f"--{option}", folder / name)]
        return CliRunner().invoke(app, [str(word) for word in [*named, "--now", now, *more]])

    return running


def problems_of(result):
    assert isinstance(result.exception, Refusal)
    return [str(problem) for problem in result.exception.problems]


def edit(path, old, new):
    text = path.read_text(encoding="utf-8")
    assert old in text
    path.write_text(text.replace(old, new), encoding="utf-8")


def test_the_commands_of_the_how_to_make_a_kit_that_can_be_read_back(run, folder):
    result = run("--book", folder / "book.jsonl")
    assert result.exit_code == 0, result.output
    made = read_kit((folder / "kit.json").read_bytes())
    assert made.outing == "2026-09-26-a"
    assert made.made_at == "2026-09-25T20:00:00-04:00"
    assert re.search(
        r"kit for 2026-09-26-a, \d+ kB, \d+ kB compressed, made 25 September 2026 20:00", result.output
    )
    assert "SC-24-031 2a: 0 left, retained, permit_year" in result.output


def test_the_command_shown_in_the_documentation_names_only_options_that_exist(run):
    page = "\n".join(path.read_text(encoding="utf-8") for path in (HOW_TO, DOCS / "reference/kit.md"))
    commands = "\n".join(re.findall(r"```bash\n(.*?)```", page, re.DOTALL))
    shown = set(re.findall(r"--[a-z]+", commands)) | set(re.findall(r"^\| `(--[a-z]+)", page, re.MULTILINE))
    app = typer.Typer()
    kit.register(app)
    parameters = {option for one in typer.main.get_command(app).params for option in one.opts}
    assert shown <= parameters


def test_json_says_what_was_written(run, folder):
    result = run("--json", "--book", folder / "book.jsonl")
    said, text = json.loads(result.stdout), (folder / "kit.json").read_bytes()
    made = read_kit(text)
    assert said == {
        "file": str(folder / "kit.json"),
        "outing": "2026-09-26-a",
        "made_at": "2026-09-25T20:00:00-04:00",
        "digest": made.digest,
        "bytes": len(text),
        "compressed": len(gzip.compress(text, mtime=0)),
        "taxa": len(made.taxa),
        "clauses": 8,
        "entries": 0,
        "to_settle": [],
    }


def test_the_same_instant_makes_the_same_bytes_and_the_age_of_the_kit_before_is_said(run, folder):
    run()
    first = (folder / "kit.json").read_bytes()
    again = run()
    assert (folder / "kit.json").read_bytes() == first
    assert "replaces the kit for 2026-09-26-a that was 0 min old" in again.output
    later = run(now="2026-09-26T06:30")
    assert "that was 10 h 30 min old" in later.output


def test_something_that_is_no_kit_is_not_written_over(run, folder):
    before = (folder / "book.jsonl").read_bytes()
    (said,) = problems_of(run(out="book.jsonl"))
    assert "something that is no kit stands here; move it away" in said
    assert (folder / "book.jsonl").read_bytes() == before


def test_what_the_lead_must_settle_is_said_and_the_kit_is_written(run, folder):
    edit(folder / "permit.toml", "valid_to = 2027-03-31", "valid_to = 2026-03-31")
    result = run()
    assert result.exit_code == 1
    assert "To settle: permit SC-24-031 holds from 1 April 2024 to 31 March 2026" in result.output
    assert read_kit((folder / "kit.json").read_bytes()).clauses == ()


def test_a_plan_without_keep_device_is_worth_a_note(run, folder):
    edit(folder / "plan.toml", 'keep_device = "d1"', "")
    result = run()
    assert result.exit_code == 0
    assert "note: the plan names no keep_device: two phones that keep would spend" in result.stderr


def test_a_kit_too_large_for_a_weak_signal_is_worth_a_note(run, monkeypatch):
    monkeypatch.setattr("haulbook.shore.kit.MOST_COMPRESSED", 1000)
    assert re.search(r"note: the kit takes \d+ kB compressed, more than the 1 kB meant", run().stderr)


def test_all_that_is_off_between_the_files_is_refused_at_once_and_nothing_is_written(run, folder):
    edit(folder / "plan.toml", '"SC-24-031"', '"SC-24-013"')
    edit(folder / "plan.toml", '["n1"]', '["n2"]')
    edit(folder / "plan.toml", '"p3"]', '"p9"]')
    edit(folder / "station.toml", "8452660", "8452661")
    said = "\n".join(problems_of(run()))
    for words in (
        "plan.toml, column permits: there is no permit file for 'SC-24-013'; the nearest is 'SC-24-031'",
        "plan.toml, column nets: there is no net 'n2'",
        "plan.toml, column crew: there is no person 'p9'",
        "there is no tide station '8452661'",
    ):
        assert words in said
    assert not (folder / "kit.json").exists()


def test_files_that_can_not_be_read_are_all_named(run, folder):
    edit(folder / "plan.toml", "hauls = 3", "hauls = 0")
    edit(folder / "station.toml", "litres = 900", "liters = 900")
    said = "\n".join(problems_of(run("--book", folder / "nowhere.jsonl")))
    for words in ("plan.toml, column hauls", "station.toml, column tank.2.liters", "nowhere.jsonl"):
        assert words in said


def test_a_site_may_have_tide_constants_of_its_own_beside_the_station_file(run, folder):
    edit(folder / "station.toml", '"8452660"', '"dock.csv"')
    (said,) = problems_of(run())
    assert "there is no file" in said
    assert "dock.csv" in said
    (folder / "dock.csv").write_text(CONSTANTS, encoding="utf-8")
    assert run().exit_code == 0
    assert read_kit((folder / "kit.json").read_bytes()).tide.station == "dock"


def test_an_instant_that_is_none_is_refused(run):
    assert "tomorrow" in problems_of(run(now="tomorrow"))[0]
