"""Write the cases that Python and the phone share; ``--check`` says whether they are current.

Python's answers are worked out here and written down once; tests hold that they are current, and that the page
gives the same. Everything in them is invented (``case_outings``, ``case_kits``).
"""

from __future__ import annotations

import json
import sys
from collections.abc import Callable, Iterable
from datetime import datetime, timedelta
from itertools import islice
from pathlib import Path
from random import Random
from typing import Any

import case_answers
import case_bucket
import case_kits
import case_outings
import numpy as np

from haulbook.custody.book import Book
from haulbook.custody.ledger import account_of
from haulbook.demo.season import season
from haulbook.estimate.subsample import scoops
from haulbook.identify import found_in, identify, load_model, prior, read_observations
from haulbook.shore import kit_bytes
from haulbook.tide import extremes, load_catalog, water_at

ROOT = Path(__file__).resolve().parents[1]
CASES = ROOT / "tests/cases"
SMALL = (3, 8, 21, 34, 55, 89)


def ledger_cases() -> list[dict[str, Any]]:
    """Return random outings of at most a dozen acts with everything Python reads from them."""
    within = case_kits.pack().is_within
    books = [case_outings.outing(seed, most=12) for seed in SMALL]
    return [
        {
            "entries": [entry.as_json() for entry in book],
            "answer": case_answers.ledger_answer(book, within, case_outings.OUTING),
        }
        for book in books
    ]


def left_cases() -> list[dict[str, Any]]:
    """Return the same outings under the demo season's permit: where every clause stands, by haul."""
    kit, cases = case_kits.demo_kit(), []
    for seed in SMALL:
        book = case_outings.outing(seed, most=12)
        hauls = [None, *case_answers.hauls_of(account_of(Book.of(book)))]
        cases.append(
            {
                "entries": [entry.as_json() for entry in book],
                "standings": case_answers.standings_answer(kit, book, hauls),
            }
        )
    return cases


def bucket_cases() -> list[dict[str, Any]]:
    """Return buckets with a history and the minutes that are left in them."""
    kit = case_kits.demo_kit()
    asked = [case_bucket.random_bucket(kit, seed) for seed in range(24)]
    return [{**one, "answer": case_bucket.bucket_answer(kit, **one)} for one in asked]


def tide_cases() -> list[dict[str, Any]]:
    """Return predicted heights (cm, to be met within 2) and the next turn at instants of the kit's day."""
    catalog = load_catalog()
    water = water_at(catalog.find("8452660"), catalog.stations)
    tide = case_kits.demo_kit().tide
    assert tide, "the demo site has a tide station"
    start = datetime.fromisoformat(tide.start)
    cases = []
    for n in range(24):
        at = start + timedelta(minutes=83 * n, seconds=30)
        turn = next(iter(extremes(water, at, at + timedelta(hours=14))))
        height = float(water.heights(np.array([at.timestamp()]))[0])
        cases.append(
            {
                "t": round(at.timestamp() * 1000),
                "cm": round(100 * height, 1),
                "turn": {"t": round(turn.time.timestamp() * 1000), "kind": turn.kind},
            }
        )
    return cases


def key_cases() -> list[dict[str, Any]]:
    """Return ways through the key, each as one animal of the table would be answered, and what follows."""
    model = load_model("nwatlantic")
    plan = case_kits.PLAN
    before = prior(model.matrix, found_in(account_of(season()[1]), plan.site, plan.date.month).found)
    return list(islice(_walks(model, before), 12))


def _walks(model: Any, before: Any) -> Iterable[dict[str, Any]]:
    for seed in range(1000):
        rng = Random(seed)
        taxon, answers = rng.choice(model.taxa), []
        for _ in range(rng.randint(1, 4)):
            found = _identified(model, before, answers)
            if found.question is None:
                break
            key = found.question.character.key
            answers.append([key, rng.choice(sorted(model.matrix.states(taxon, key)))])
        found = _identified(model, before, answers)
        if found.weighed and answers:
            yield {
                "answers": answers,
                "ranking": [[name, round(p, 4)] for name, p in found.ranking[:4]],
                "next": found.question and found.question.character.key,
                "leave_at": found.left_at and found.left_at.taxon,
            }


def _identified(model: Any, before: Any, answers: Iterable[Iterable[str]]) -> Any:
    saw = [f"{key}={state}" for key, state in answers]
    return identify(model, read_observations(saw, (), model.matrix.characters), before)


def scoops_cases() -> list[dict[str, Any]]:
    """Return counted scoops with the whole that they stand for."""
    asked = [
        ([52, 47, 51], 12),
        ([0, 0], 9),
        ([4], 4),
        ([7], 10),
        ([1, 2, 3, 4], 5),
        ([120, 98, 143, 110], 31),
    ]
    cases = []
    for counted, of in asked:
        found = scoops(counted, of)
        se = None if found.se is None else round(found.se, 6)
        cases.append(
            {"of": of, "counted": counted, "n": round(found.n, 6), "se": se, "rounded": found.rounded_up}
        )
    return cases


MAKERS: dict[str, tuple[str, Callable[[], list[dict[str, Any]]]]] = {
    "ledger": (
        "Invented outings and every reading of them. Outing 2026-09-26-a, pack nwatlantic.",
        ledger_cases,
    ),
    "left": ("The same outings under the permit of kit.json, by haul ('' before any).", left_cases),
    "bucket": (
        "Buckets of kit.json that filled and emptied: minutes that are left; null never. Times in ms.",
        bucket_cases,
    ),
    "tide": (
        "Predicted water at the site of kit.json: cm to be met within 2, turns to the minute.",
        tide_cases,
    ),
    "key": ("Ways through the key of kit.json: shares to be met within 2 % of themselves.", key_cases),
    "scoops": ("Counted scoops: Cochran (1977), ch. 2.", scoops_cases),
}


def texts() -> dict[str, str]:
    """Return the text of every file by its name."""
    found = {"kit.json": kit_bytes(case_kits.demo_kit()).decode()}
    for name, (about, make) in MAKERS.items():
        lines = ",\n".join(
            f"  {json.dumps(case, ensure_ascii=False, separators=(',', ':'))}" for case in make()
        )
        found[f"{name}.json"] = f'{{\n "about": {json.dumps(about)},\n "cases": [\n{lines}\n ]\n}}\n'
    return found


def main() -> None:
    """Write the files, or with ``--check`` exit 1 where one is stale."""
    for name, text in texts().items():
        file = CASES / name
        if "--check" in sys.argv[1:]:
            if not file.is_file() or file.read_text(encoding="utf-8") != text:
                sys.exit(
                    f"{file.relative_to(ROOT)} is not what Python says now: run `python tools/make_cases.py`"
                )
        else:
            file.write_text(text, encoding="utf-8")
            print(file.relative_to(ROOT))


if __name__ == "__main__":
    main()
