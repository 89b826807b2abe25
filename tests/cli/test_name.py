"""``haulbook name`` and ``haulbook lookalike``: answers, refusals and the conversation."""

from __future__ import annotations

import json

import pytest
import typer
from typer.testing import CliRunner

from haulbook.cli import name
from haulbook.custody.book import Book
from haulbook.custody.entry import Draft, chain, uuid8
from haulbook.exchange.bookfile import write_book
from haulbook.problems import Refusal


@pytest.fixture
def run():
    app = typer.Typer()
    name.register(app)

    def run_words(*words, said=None):
        result = CliRunner().invoke(app, list(map(str, words)), input=said)
        if isinstance(result.exception, Refusal):
            raise result.exception
        return result

    return run_words


@pytest.fixture
def book(tmp_path):
    """An invented haul at the cove in May with two tautog."""
    haul, drafts = "2027-05-14-a/1", []

    def add(kind, body):
        at = f"2027-05-14T06:{len(drafts):02d}:00-04:00"
        drafts.append(Draft(uuid8(bytes([len(drafts)])), at, at, "p3", "2027-05-14-a", kind, body))

    add("haul-started", {"haul": haul, "site": "cove", "net": "n1", "set_type": "straight"})
    add("haul-landed", {"haul": haul, "condition": 1})
    add("move", {"lines": [{"taxon": "tautog", "n": 2, "from": "sea", "to": "back", "haul": haul}]})
    path = tmp_path / "book.jsonl"
    write_book(Book.of(chain(drafts, "d1")), path)
    return path


def numbered(words):
    """Lines that offer an answer, as number to words."""
    lines = [line.split(maxsplit=1) for line in words.splitlines()]
    return {text: number for number, text in (line for line in lines if len(line) == 2) if number.isdecimal()}


def test_the_json_has_the_keys_of_the_contract(run):
    result = run(
        "name", "--pack", "nepacific", "--saw", "body_plan=ribbon", "--not-saw", "pelvics=normal", "--json"
    )
    found = json.loads(result.stdout)
    assert {"ranking", "groups", "next", "contradictions", "notices"} <= set(found)
    assert set(found["ranking"][0]) == {"taxon", "scientific_name", "probability"}
    assert set(found["groups"][0]) == {"taxon", "rank", "probability"}
    assert {"character", "question", "states", "bits"} <= set(found["next"])
    assert set(found["next"]["states"]) == set(found["next"]["state_words"])
    assert result.exit_code == 0


def test_top_says_how_many_are_listed(run):
    assert len(json.loads(run("name", "--pack", "nepacific", "--top", "3", "--json").stdout)["ranking"]) == 3


def test_a_sure_animal_is_named_with_its_reasons_and_no_further_look(run):
    result = run(
        "name",
        "--pack",
        "nepacific",
        "--saw",
        "body_plan=pipe",
        "--saw",
        "body_cover=rings",
        "--saw",
        "pelvics=absent",
    )
    assert result.exit_code == 0
    assert "Write down: bay pipefish (Syngnathus leptorhynchus)" in result.stdout
    assert "for it: What does the skin feel like? hard rings from head to tail" in result.stdout
    assert "Look next" not in result.stdout


def test_a_possible_invader_ends_with_status_1_and_is_named(run):
    result = run("name", "--pack", "nwatlantic", "--saw", "body_plan=crab")
    assert result.exit_code == 1
    assert "INVASIVE: may be green crab (Carcinus maenas), 11 %. Here since the mid-1800s." in result.stdout
    assert "Write down: crab unidentified (Brachyura), 96 % sure." in result.stdout
    assert "A name from these goes down only with a question mark." in result.stdout
    assert "Look next (easy on the beach):" in result.stdout


def test_a_vague_look_names_the_unlikely_hazards_in_one_line_and_leaves_the_name_open(run):
    text = run("name", "--pack", "nwatlantic", "--saw", "tail_fin=rounded|square").stdout
    assert text.count("HAZARDOUS: may be ") == 3
    assert sum(line.startswith("HAZARDOUS, each under 5 %: ") for line in text.splitlines()) == 1
    assert "No name is sure." in text
    assert "Animalia" not in text


def test_an_animal_told_by_its_body_alone_is_offered(run):
    result = run("name", "--pack", "nwatlantic", "--saw", "body_plan=horseshoe")
    assert "No name is sure." in result.stdout
    assert "%" not in result.stdout
    assert (
        "Known by its body alone, and not weighed here: horseshoe crab (Limulus polyphemus)." in result.stdout
    )


def test_words_that_are_off_are_refused_by_name(run):
    with pytest.raises(Refusal) as refused:
        run("name", "--pack", "nepacific", "--saw", "tail_fn=forked", "--saw", "snout=tub")
    assert [each.message for each in refused.value.problems] == [
        "there is no character 'tail_fn'; the nearest are tail_fin, tail_keel, tail_grasp",
        "snout has no state 'tub'; the nearest is tube",
    ]
    with pytest.raises(Refusal, match="the nearest is 'nwatlantic'"):
        run("name", "--pack", "nwatlantik")
    with pytest.raises(Refusal, match="there is no character 'gil_lines'; the nearest are gill_lines"):
        run("name", "--pack", "nepacific", "--skip", "gil_lines")


def test_a_skipped_look_is_not_the_next_one(run):
    words = ("name", "--pack", "nepacific", "--saw", "body_plan=crab", "--json")
    first = json.loads(run(*words).stdout)["next"]["character"]
    assert json.loads(run(*words, "--skip", first).stdout)["next"]["character"] != first


def test_past_hauls_of_the_book_weigh_in_and_are_said(run, book):
    words = ("name", "--pack", "nwatlantic", "--saw", "body_plan=torpedo", "--json")
    result = run(*words, "--site", "cove", "--month", "6", "--book", book)
    assert result.stderr == "note: 1 past haul at cove around month 6 weighs in\n"
    with_past = {each["taxon"]: each["probability"] for each in json.loads(result.stdout)["ranking"]}
    without = {
        each["taxon"]: each["probability"] for each in json.loads(run(*words, "--top", 99).stdout)["ranking"]
    }
    assert with_past["tautog"] > 1.5 * without["tautog"]


def test_site_month_and_book_go_together(run, book):
    with pytest.raises(Refusal, match="--site, --month and --book go together"):
        run("name", "--pack", "nwatlantic", "--book", book)
    with pytest.raises(Refusal, match="there is no site in this book 'cov'; the nearest is 'cove'"):
        run("name", "--pack", "nwatlantic", "--book", book, "--site", "cov", "--month", "5")


def test_the_list_has_every_character_with_its_states(run):
    text = run("name", "--pack", "nepacific", "--list").stdout
    assert text.startswith("body_plan: What kind of body is it, at first glance? (easy on the beach)\n")
    assert "  --saw" not in text
    assert text.count("\n  ") == 387


def test_the_conversation_ends_with_what_to_write_down(run):
    # fish, pipe; then the answers of a bay pipefish, read off the questions as they come.
    shows = {
        "What does the skin feel like?": "rings",
        "What are the pelvic fins (belly pair) like?": "absent",
        "What shape is the snout?": "tube",
        "How many separate spines stand on the back, not joined in one fin?": "none",
        "What shape is the tail fin?": "small_fan",
    }
    said = ["1", "1"]
    for _ in range(6):
        text = run("name", "--pack", "nepacific", "--ask", said="\n".join(said) + "\n").stdout
        asked = [line for line in text.splitlines() if line.rpartition(" (")[0] in shows]
        if len(asked) <= len(said) - 2:
            break
        said.append(shows[asked[-1].rpartition(" (")[0]])
    assert "Which kind of living thing is it?" in text
    assert "So far: bay pipefish" in text
    assert "Write down: bay pipefish (Syngnathus leptorhynchus)" in text
    assert "The permit and local rules decide what becomes of it." in text


def test_the_conversation_takes_doubt_and_cannot_tell_and_steps_back(run):
    text = run("name", "--pack", "nepacific", "--ask", said="back\n2\n1\n?\nback\n1 or 2\nstop\n").stdout
    assert "There is no answer to take back." in text
    first = "What is the outline of the crab shell? (easy on the beach)"
    assert text.count(first) == 2  # asked, not told, taken back and asked again
    assert "INVASIVE: may be European green crab" in text
    assert "Write down: crab unidentified (Brachyura)" in text


def test_the_conversation_says_what_to_answer_when_it_is_none_of_these(run):
    text = run("name", "--pack", "nepacific", "--ask", said="fsh\n77\n\nstop\n").stdout
    assert "'fsh' is none of these; say a number from 1 to 4, ?, back or stop. Nearest: fish." in text
    assert "'77' is none of these" in text
    assert "Say a number from 1 to 4, ?, back or stop." in text
    assert "No name is sure." in text


def test_the_conversation_ends_where_the_input_ends(run):
    result = run("name", "--pack", "nepacific", "--ask", said="1\n")
    assert result.exit_code in (0, 1)
    assert "No name is sure." in result.stdout


def test_two_close_leaders_are_said_to_be_close(run):
    text = run(
        "name",
        "--pack",
        "nepacific",
        "--ask",
        "--saw",
        "body_plan=ribbon",
        "--saw",
        "pelvics=absent",
        said="stop\n",
    )
    assert "penpoint gunnel and rockweed gunnel are close: one more look tells them apart." in text.stdout


def test_ask_and_json_are_not_said_together(run):
    with pytest.raises(Refusal, match="leave out --ask or --json"):
        run("name", "--pack", "nepacific", "--ask", "--json")


def test_look_alikes_are_told_by_name_or_key(run):
    result = run("lookalike", "Cunner", "tautog", "--pack", "nwatlantic")
    assert result.exit_code == 0
    assert (
        "1. What is on the gill cover? (easy on the beach)\n   cunner: scales all over\n   tautog: mostly bare skin"
        in result.stdout
    )
    assert "tautog: dorsal spines." in result.stdout


def test_a_pair_that_nothing_parts_ends_with_status_1(run):
    result = run("lookalike", "padded-sculpin", "scalyhead-sculpin", "--pack", "nepacific")
    assert result.exit_code == 1
    assert "Nothing here parts padded sculpin and scalyhead sculpin for certain." in result.stdout
    assert "Leave them at Artedius unidentified (Artedius)." in result.stdout


def test_the_card_is_printed_as_json_and_written_as_a_page(run, tmp_path):
    page = tmp_path / "card.html"
    result = run("lookalike", "cunner", "tautog", "--pack", "nwatlantic", "--json", "--html", page)
    found = json.loads(result.stdout)
    assert set(found) == {"taxa", "characters", "unparted"}
    assert found["characters"][0]["has"] == {"cunner": "scales all over", "tautog": "mostly bare skin"}
    assert page.read_text(encoding="utf-8").startswith("<!DOCTYPE html>")


def test_names_that_are_questions_are_refused_together(run):
    with pytest.raises(Refusal) as refused:
        run("lookalike", "cuner fish", "tautogg fish", "--pack", "nwatlantic")
    assert len(refused.value.problems) == 2
    assert "'cuner fish' is no certain name here; nearest: " in refused.value.problems[0].message
