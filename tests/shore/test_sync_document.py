"""The page that describes the protocol and the OpenAPI document say what the models do."""

from __future__ import annotations

import json
import re
from datetime import UTC, datetime
from pathlib import Path

import jsonschema_rs
import pytest

from haulbook.custody.entry import entry_from_json
from haulbook.shore import picture
from haulbook.shore.openapi import openapi
from haulbook.shore.sync import (
    MOST_BYTES,
    MOST_ENTRIES,
    Enrolled,
    EnrolRequest,
    EntryShape,
    KitName,
    SyncAnswer,
    SyncRequest,
    Verdict,
    read_request,
    respond,
)

ROOT = Path(__file__).resolve().parents[2]
PAGE = (ROOT / "docs/reference/sync.md").read_text(encoding="utf-8")
BOOK = ROOT / "src/haulbook/shore/page/book"
EXAMPLES = [json.loads(text.strip("[]")) for text in re.findall(r"```json\n(.*?)\n```", PAGE, re.DOTALL)]
MODELS = (EnrolRequest, Enrolled, KitName, SyncRequest, SyncAnswer, picture.PictureAnswer)
ENTRY = json.loads((ROOT / "tests/cases/entries.json").read_text(encoding="utf-8"))["entry"]


def validator(model):
    document = openapi("1")
    return jsonschema_rs.Draft202012Validator(
        {"$ref": f"#/components/schemas/{model}", "components": document["components"]}
    )


def test_every_example_on_the_page_is_what_its_model_and_schema_take():
    assert len(EXAMPLES) == len(MODELS)
    for model, example in zip(MODELS, EXAMPLES, strict=True):
        model.model_validate(example)
        assert validator(model.__name__).is_valid(example), model.__name__
        assert set(example) == set(model.model_fields)


def test_the_answer_on_the_page_is_what_the_station_answers_to_the_request_on_it():
    asked, answered = EXAMPLES[3:5]
    assert asked["entries"] == [ENTRY]
    now = datetime(2027, 5, 14, 11, 10, 1, tzinfo=UTC)
    new, answer = respond(read_request(json.dumps(asked).encode()), "d1", (), book="b1", server_time=now)
    assert [entry.as_json() for entry in new] == [ENTRY]
    assert answer.model_dump(mode="json") == answered


def test_the_page_explains_every_key_and_no_other():
    keys = set(re.findall(r"^\| `([a-z_0-9]+(?:\[\]\.[a-z_]+)?)` \|", PAGE, re.MULTILINE))
    fields = {name for model in MODELS for name in model.model_fields}
    fields |= {f"answers[].{name}" for name in Verdict.model_fields}
    assert keys == fields


def test_the_limits_on_the_page_are_those_of_the_code_and_of_the_phone():
    assert f"at most {MOST_ENTRIES}" in PAGE
    assert f"{MOST_BYTES:,}".replace(",", " ") + " bytes" in PAGE
    sync, entry, wire = ((BOOK / name).read_text("utf-8") for name in ("sync.js", "entry.js", "wire.js"))
    assert f"const BATCH = {MOST_ENTRIES};" in sync
    assert "const BATCH_BYTES = 250000;" in sync
    assert "250 kB" in PAGE
    assert "const LONGEST_WAIT_MS = 60000;" in sync
    assert "1, 2, 4 ... 60 s" in PAGE
    assert f"export const MOST_BYTES = {MOST_BYTES};" in entry
    assert "const GIVE_UP_MS = 45000;" in wire
    assert "no answer in 45 s" in PAGE


def test_the_limits_of_photos_on_the_page_are_those_of_the_code_and_of_the_phone():
    pictures, wire = ((BOOK / name).read_text("utf-8") for name in ("pictures.js", "wire.js"))
    redraw = (BOOK.parent / "screen/redraw.js").read_text("utf-8")
    assert f"{picture.MOST_BYTES:,}".replace(",", " ") + " bytes" in PAGE
    assert f"export const MOST_BYTES = {picture.MOST_BYTES};" in redraw
    assert "const GIVE_UP_PICTURE_MS = 180000;" in wire
    assert "a photo is given 180 s" in PAGE
    assert "const LONGEST_WAIT_MS = 600000;" in pictures
    assert "1, 2, 4 ... 600 s" in PAGE


def test_the_routes_and_statuses_of_the_document_are_on_the_page():
    for path, methods in openapi("1")["paths"].items():
        for method, route in methods.items():
            assert re.search(rf"^\| `{method.upper()} {path}", PAGE, re.MULTILINE), path
            for status in route["responses"]:
                assert re.search(rf"^\| (?:\d+, )*{status}\b", PAGE, re.MULTILINE), status
            assert ("security" in route) == (path != "/shore/enrol")


def test_every_reference_in_the_document_leads_somewhere():
    document = openapi("0.1.0")
    text = json.dumps(document)
    for target in re.findall(r'"#/components/schemas/([^"]+)"', text):
        assert target in document["components"]["schemas"]
    assert "$defs" not in text
    jsonschema_rs.Draft202012Validator({"components": document["components"]})


def test_the_document_describes_an_entry_as_python_writes_one():
    assert set(EntryShape.model_fields) == set(entry_from_json(ENTRY).as_json())
    assert validator("EntryShape").is_valid(ENTRY)
    assert not validator("EntryShape").is_valid({**ENTRY, "weather": "fog"})


@pytest.mark.parametrize(
    ("change", "good"),
    [
        ({}, True),
        ({"device": 1}, False),
        ({"entries": [None] * 500}, True),
        ({"entries": [None] * 501}, False),
    ],
)
def test_the_schema_of_a_request_refuses_what_the_reader_refuses(change, good):
    """An entry may be anything: each gets a verdict of its own."""
    request = {"device": "d1", "cursor": None, "entries": [], **change}
    assert validator("SyncRequest").is_valid(request) is good
