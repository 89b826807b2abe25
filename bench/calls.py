"""How many calls are understood, asked, or wrong while certain, beside a plain fuzzy baseline.

The baseline's figures are those of the corpus README (cut at punctuation, "and" and numbers; best match over the
names from a likeness of 80 on, WRatio or plain ratio); it was run on one case more.
"""

from __future__ import annotations

import contextlib
import json
import shutil
import statistics
import threading
import time
from collections import Counter
from functools import partial
from http.server import SimpleHTTPRequestHandler, ThreadingHTTPServer
from importlib.resources import files
from pathlib import Path

from haulbook.calls import understand
from haulbook.office.kit_taxa import words_of
from haulbook.taxa import PACKS, load_pack

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
    print(f"a call takes in Python {_spread([one * 1e3 for one in taken])}")
    _on_the_page(cases)


def _spread(taken_ms: list[float]) -> str:
    p95 = sorted(taken_ms)[int(0.95 * len(taken_ms))]
    return f"{statistics.median(taken_ms):.1f} ms in the middle, {p95:.1f} ms at the 95th percentile"


class _Quiet(SimpleHTTPRequestHandler):
    def log_message(self, *_: object) -> None:
        pass


def _on_the_page(cases: list[dict]) -> None:
    """Time the page's own reading of the same calls, plain and with the processor slowed down four times."""
    path = shutil.which("chromium") or shutil.which("chromium-browser")
    if path is None:
        print("no chromium on this machine: the page was not timed")
        return
    from playwright.sync_api import sync_playwright

    handler = partial(_Quiet, directory=str(files("haulbook.shore") / "page"))
    kits = {key: _kit(key) for key in PACKS}
    calls = [[case["pack"], case["text"]] for case in cases]
    with ThreadingHTTPServer(("127.0.0.1", 0), handler) as server, sync_playwright() as started:
        threading.Thread(target=server.serve_forever, daemon=True).start()
        with contextlib.closing(
            started.chromium.launch(executable_path=path, args=["--no-sandbox"])
        ) as browser:
            for slower in (1, 4):
                page = browser.new_page()
                page.goto(f"http://127.0.0.1:{server.server_port}/calls/understand.js")
                session = page.context.new_cdp_session(page)
                session.send("Emulation.setCPUThrottlingRate", {"rate": slower})
                made, took = page.evaluate(_TIMED, [kits, calls])
                compiled = ", ".join(f"{key} {ms:.0f} ms" for key, ms in made.items())
                print(
                    f"on the page, processor {slower} x slowed: {_spread(took)}; dictionaries made in {compiled}"
                )
        server.shutdown()


_TIMED = """async ([kits, calls]) => {
  const { compileWords, understand } = await import("/calls/understand.js");
  const [words, made] = [{}, {}];
  for (const key of Object.keys(kits)) {
    const at = performance.now();
    words[key] = compileWords(kits[key]);
    made[key] = performance.now() - at;
  }
  const took = calls.map(([pack, text]) => {
    const at = performance.now();
    understand(text, words[pack]);
    return performance.now() - at;
  });
  return [made, took];
}"""


def _kit(key: str) -> dict:
    """Return the parts of a kit that calls are understood by."""
    pack = load_pack(key)
    taxa = [{"key": one, "parent": next(iter(pack.lineage(one)), None)} for one in pack.taxa]
    return {"words": json.loads(words_of(pack).model_dump_json(exclude_defaults=True)), "taxa": taxa}
