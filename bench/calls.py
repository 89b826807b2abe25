"""How many calls are understood, asked, or wrong while certain, beside a plain fuzzy baseline.

The baseline's figures are those of the corpus README (cut at punctuation, "and" and numbers; best match over the
names from a likeness of 80 on, WRatio or plain ratio); it was run on one case more.
"""

from __future__ import annotations

import json
import statistics
import time
from collections import Counter
from pathlib import Path

from haulbook.calls import understand
from haulbook.taxa import load_pack

CORPUS = Path(__file__).resolve().parents[2] / "shared/data/calls/calls-dev.jsonl"
SOURCES = ("written", "typed-slip", "abbreviated", "recognised", "all")
BASELINE = {
    "written": ("55/22/23", "55/32/14"),
    "typed-slip": ("25/47/28", "26/60/14"),
    "abbreviated": ("66/15/19", "75/25/0"),
    "recognised": ("29/29/37", "27/60/9"),
    "all": ("41/29/28", "41/47/11"),
}
COMPARED = ("taxon", "stage", "fate", "place", "length_mm", "doubt", "zero")


def _lots(lines: list[dict]) -> dict:
    found: Counter = Counter()
    for line in lines:
        key = (*(line[name] for name in COMPARED), line["count"] is None)
        found[key] = found[key] + (1 if line["count"] is None else line["count"])
    return dict(found)


def _verdict(case: dict, answer: dict) -> str:
    if answer["asks"]:
        return "asked"
    same = _lots(answer["lines"]) == _lots(case["truth"]) and answer["commands"] == case["commands"]
    return "right" if same else "silent" if case.get("silent") else "wrong"


def main() -> None:
    """Print shares per source in percent, and the time for a call."""
    if not CORPUS.is_file():
        print("the corpus of calls is not on this machine")
        return
    cases = [json.loads(line) for line in CORPUS.read_text(encoding="utf-8").splitlines()]
    tally: dict[str, Counter] = {source: Counter() for source in SOURCES}
    taken = []
    for pack in ("nepacific", "nwatlantic"):
        understand("", load_pack(pack))
        understand("two", load_pack(pack))
    for case in cases:
        start = time.perf_counter()
        answer = understand(case["text"], load_pack(case["pack"])).as_json()
        taken.append(time.perf_counter() - start)
        verdict = _verdict(case, answer)
        for source in (case["source"], "all"):
            tally[source]["n"] += 1
            tally[source][verdict] += 1
            tally[source]["recoverable"] += case["recoverable"]
            tally[source]["recovered"] += case["recoverable"] and verdict == "right"
            tally[source]["wrong, recoverable"] += case["recoverable"] and verdict == "wrong"
    print("right/asked/wrong while certain in percent (silent cases, which nobody could notice, apart)")
    print(
        f"{'source':<12}{'n':>5}  {'haulbook':<12}{'of recoverable':>15}{'wrong':>7}   WRatio 80   ratio 80"
    )
    for source, found in tally.items():
        n = found["n"]
        ours = "/".join(f"{found[verdict] / n:.0%}".rstrip("%") for verdict in ("right", "asked", "wrong"))
        share = found["recovered"] / found["recoverable"]
        print(
            f"{source:<12}{n:>5}  {ours:<12}{share:>15.0%}{found['wrong, recoverable']:>7}   "
            f"{BASELINE[source][0]:<12}{BASELINE[source][1]}"
        )
    taken.sort()
    p95 = taken[int(0.95 * len(taken))]
    print(
        f"a call takes {statistics.median(taken) * 1e3:.1f} ms in the middle, {p95 * 1e3:.0f} ms at the 95th percentile"
    )
