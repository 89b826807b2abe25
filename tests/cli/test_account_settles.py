"""``haulbook account`` asks, refuses and keeps people out of what it writes. Invented sheets."""

from __future__ import annotations

import json

import pytest
import typer
from typer.testing import CliRunner

from haulbook.cli import account
from haulbook.problems import Refusal

MAP = """
pack = "nwatlantic"
default_fate = "back"
[[file]]
name = "*.csv"
role = "catch"
columns = {haul = "haul", name = "name", n = "n", who = "person", note = "remark"}
stages = {}
date = {column = "day"}
"""
HEAD = "haul,day,name,n,who,note\n"
PERMIT = """
no = "X-1"
holder = "a test"
zone = "UTC"
valid_from = 2026-01-01
valid_to = 2026-12-31
[[clause]]
id = "1"
kind = "limit"
scope = {all = true}
basis = "captured"
limit = 100
period = "permit_year"
source = {text = "A hundred."}
confirmed_by = ["p1", "p2"]
"""


@pytest.fixture
def folder(tmp_path):
    (tmp_path / "map.toml").write_text(MAP, encoding="utf-8")
    (tmp_path / "permit.toml").write_text(PERMIT, encoding="utf-8")
    return tmp_path


@pytest.fixture
def run(folder):
    """Run the command on sheets named by their text; return exit status and what it printed as JSON."""
    app = typer.Typer()
    account.register(app)

    def run(*words, **sheets):
        for name, rows in sheets.items():
            (folder / f"{name}.csv").write_text(HEAD + rows, encoding="utf-8")
        files = [str(folder / f"{name}.csv") for name in sheets]
        out = [] if "--out" in words else ["--out", str(folder / "out")]
        said = CliRunner().invoke(
            app, [*files, "--map", str(folder / "map.toml"), *out, "--json", *map(str, words)]
        )
        if said.exception and not isinstance(said.exception, SystemExit):
            raise said.exception
        return said.exit_code, json.loads(said.stdout)

    return run


def test_questions_are_written_even_where_no_book_can_be_made_before_they_are_answered(run, folder):
    rows = "H1,5/6/26,cunner,3,,\n"
    with pytest.raises(Refusal, match="hauls without a day"):
        run("--questions", folder / "q.toml", catch=rows)
    asked = (folder / "q.toml").read_text(encoding="utf-8")
    assert not (folder / "out").exists()
    (folder / "c.toml").write_text(asked.replace('to = "?"', 'to = "m/d/yy"'), encoding="utf-8")
    assert run("--confirm", folder / "c.toml", catch=rows)[0] == 0
    assert '"at":"2026-05-06"' in (folder / "out/book.jsonl").read_text(encoding="utf-8")


def test_an_open_name_is_a_question_until_it_is_named_or_said_to_stay_its_own(run, folder):
    rows = "H1,2026-05-06,wurble fish,3,,\n"
    status, done = run("--questions", folder / "q.toml", catch=rows)
    assert (status, done["by_taxon"]) == (1, {"?wurble fish": 3})
    assert [p["kind"] for p in done["problems"] if "wurble" in p["message"]] == ["asked"]
    asked = (folder / "q.toml").read_text(encoding="utf-8")
    for to, taxon in (("own", "?wurble fish"), ("cunner", "cunner")):
        (folder / "c.toml").write_text(asked.replace('to = "?"', f'to = "{to}"'), encoding="utf-8")
        status, done = run("--confirm", folder / "c.toml", catch=rows)
        assert (status, done["by_taxon"]) == (0, {taxon: 3})


def test_nothing_that_is_written_or_printed_names_people(run, folder):
    rows = "H1,2026-05-06,cunner,3,Quillon,One for Quillon.\nH1,2026-05-06,eel,,Quillon,Quillon saw them\n"
    _, done = run("--permit", folder / "permit.toml", catch=rows)
    assert len([p for p in done["problems"] if p["kind"] == "asked"]) == 2
    assert "Quillon" not in json.dumps(done)
    for file in (folder / "out").iterdir():
        assert b"Quillon" not in file.read_bytes(), file.name


def test_egg_masses_stand_beside_the_individuals(run, folder):
    (folder / "map.toml").write_text(
        MAP.replace("stages = {}", 'stages = {eggs = "egg mass"}').replace('who = "person"', 'who = "stage"'),
        encoding="utf-8",
    )
    _, done = run(catch="H1,2026-05-06,cunner,3,,\nH1,2026-05-06,cunner,2,eggs,\n")
    assert (done["captured"], done["other_units"]) == (3, {"egg_mass": 2})


def test_sheets_beside_a_book_of_some_of_them_double_nothing(run, folder):
    """Beside other sheets a sheet gives the entries that it gave alone, kept animals and buckets included."""
    (folder / "map.toml").write_text(MAP.replace('"back"', '"kept"'), encoding="utf-8")
    sheets = {"a": "H1,2026-05-06,cunner,3,,\n", "b": "H2,2026-07-06,tautog,4,,\n"}
    run("--out", folder / "b-alone", b=sheets["b"])
    status, done = run(folder / "b-alone/book.jsonl", **sheets)
    assert (status, done["captured"], done["hauls"]) == (0, 7, 2)


def test_a_permit_handed_in_twice_a_name_and_another_pack_are_refused(run, folder):
    rows = "H1,2026-05-06,cunner,3,,\n"
    permit = folder / "permit.toml"
    with pytest.raises(Refusal, match="permit X-1 is handed in twice"):
        run("--permit", permit, "--permit", permit, catch=rows)
    with pytest.raises(Refusal, match="takes a person's key, as p3, never a name") as refused:
        run("--by", "Jane Doe", catch=rows)
    assert len(refused.value.problems) == 1
    run(catch=rows)
    with pytest.raises(Refusal, match="the pack nepacific lacks 1 taxa of the book, as 'cunner'"):
        run(folder / "out/book.jsonl", "--pack", "nepacific", "--out", folder / "again")
    assert not (folder / "again").exists()


@pytest.mark.parametrize("option", ["--permit", "--site", "--confirm", "--map"])
def test_a_folder_in_place_of_a_file_is_refused_in_words(run, folder, option):
    with pytest.raises(Refusal, match="could not be read"):
        run(option, folder, catch="H1,2026-05-06,cunner,3,,\n")


def test_questions_that_cannot_be_written_are_refused_and_nothing_is(run, folder):
    with pytest.raises(Refusal, match=r"nowhere/q\.toml could not be written"):
        run("--questions", folder / "nowhere/q.toml", catch="H1,2026-05-06,wurble fish,3,,\n")
    assert not (folder / "out").exists()
