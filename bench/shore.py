"""How the shore page feels on a slow phone: key and tap to paint, the start without a signal, its weight, hands' work.

Chromium with the processor slowed four times (the page's own thread: the worker and the browser itself are not), a
station of its own with the invented season, no signal while it is measured. A figure runs from the event, as the
browser stamps it, to the first task after the frame that shows the result, read in the page itself. What the machine
does beside it counts, so its load is printed, and how long an empty frame took in the same minutes.
"""

from __future__ import annotations

import gzip
import json
import os
import re
import shutil
import statistics
import subprocess
import sys
import tempfile
import urllib.request
from collections import Counter
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import datetime
from pathlib import Path
from typing import Any

SLOWER = 4
NOW = "2026-10-20T09:00:00-04:00"
OUTING = "2026-10-20-a"
ENTRIES = int(os.environ.get("HAULBOOK_BENCH_LINES", "2000"))
STARTS = 7
PLAN = {
    "outing": OUTING, "site": "sallowhorn-cove", "date": "2026-10-20", "hauls": 3, "permits": ["SC-24-031"],
    "nets": ["n1"], "crew": ["p1", "p3"], "people_present": 8, "looked_for": ["northern-pipefish", "cunner"],
    "buckets": [
        {"place": "bucket 1", "purpose": "keep", "litres": 14, "air_per_h": 3},
        {"place": "bucket 2", "purpose": "hold", "litres": 14},
    ],
}  # fmt: skip
PREPARE = f"""
import sys; from pathlib import Path; from haulbook.station.serving import connect; connect(Path(sys.argv[1]))
from haulbook.station.store import plans; plans.keep({PLAN!r}, "p1")
from haulbook.station.models import Person; from haulbook.station.people import devices
print(devices.invite(Person.objects.get(key="p3"), "bench", "p1"))
"""

# (animals, name as on its tile, where to), forty times: invented, in the proportions of a cove's haul
CALLS = [
    (6, "Atlantic silverside", "back"), (2, "fourspine stickleback", "back"), (9, "sand shrimp", "back"),
    (3, "grubby", "bucket two"), (4, "hermit crab", "kept"), (12, "mummichog", "back"), (1, "tautog", "back"),
    (5, "sand shrimp", "back"), (2, "striped killifish", "back"), (7, "threespine stickleback", "back"),
    (11, "Atlantic silverside", "back"), (1, "hermit crab", "kept"), (1, "winter flounder", "back"),
    (1, "sand shrimp", "dead"), (8, "fourspine stickleback", "bucket two"), (3, "mummichog", "back"),
    (2, "Atlantic tomcod", "back"), (1, "hermit crab", "kept"), (4, "mummichog", "back"),
    (20, "sand shrimp", "back"), (2, "grubby", "back"), (1, "northern pipefish", "back"),
    (3, "Atlantic silverside", "back"), (1, "tautog", "back"), (2, "cunner", "back"),
    (6, "mummichog", "back"), (1, "northern pipefish", "back"), (15, "Atlantic silverside", "back"),
    (1, "winter flounder", "back"), (2, "threespine stickleback", "back"), (4, "sand shrimp", "back"),
    (1, "grubby", "back"), (3, "striped killifish", "back"), (1, "Atlantic tomcod", "back"),
    (2, "mummichog", "dead"), (1, "hermit crab", "kept"), (5, "fourspine stickleback", "back"),
    (8, "Atlantic silverside", "back"), (2, "sand shrimp", "back"), (1, "tautog", "back"),
]  # fmt: skip
KEYS = {"hermit crab": "pagurus"}
FATES = ("back", "kept", "dead")
"""Where taps go with one press; anywhere else takes two."""
HOLD_FROM = 5
"""Animals from which a recorder holds the tile and types the number."""


class Served:
    """A station of its own, where it is found, and a code that enrols one phone."""

    def __init__(self, folder: Path) -> None:
        self.environment = {**os.environ, "HAULBOOK_NOW": NOW}
        self.environment.pop("HAULBOOK_DATABASE_URL", None)
        self.process = subprocess.Popen(
            [sys.executable, "-m", "haulbook", "serve", "--demo", "--station", str(folder), "--port", "0"],
            stdout=subprocess.PIPE, text=True, env=self.environment,
        )  # fmt: skip
        said = ""
        for line in self.process.stdout or ():
            said += line
            if line.startswith("Stop it"):
                break
        self.url = re.search(r"http://[^/]+", said)[0].replace("localhost", "127.0.0.1")  # type: ignore[index]
        prepared = subprocess.run(
            [sys.executable, "-c", PREPARE, str(folder)],
            env=self.environment,
            check=True,
            capture_output=True,
            text=True,
        )
        self.code = prepared.stdout.split()[-1]

    def close(self) -> None:
        self.process.terminate()
        self.process.wait(20)


# What is read in the page. `painted` settles after the frame that follows; `watch` measures from an event of one
# type to the paint of what `shown` says, in ms.
PROBE = """
window.probe = (() => {
  const painted = () => new Promise((done) => requestAnimationFrame(() => {
    const { port1, port2 } = new MessageChannel();
    port1.onmessage = () => done(performance.now());
    port2.postMessage(0);
  }));
  const until = async (shown) => {
    let at;
    do at = await painted(); while (!shown());
    return at;
  };
  const watch = (type, shown) => new Promise((done) => {
    addEventListener(type, async (event) => {
      const from = event.timeStamp;
      done(await until(shown) - from);
    }, { capture: true, once: true });
  });
  const tile = (name) => [...document.querySelectorAll(".tile")]
    .find((one) => one.querySelector(".name")?.textContent.trim().startsWith(name));
  const count = (name) => Number(tile(name).querySelector(".count span:last-child").textContent || 0);
  const text = (selector) => document.querySelector(selector)?.textContent ?? "";
  const hands = { keys: 0, taps: 0, pastes: 0 };
  addEventListener("keydown", () => { hands.keys += 1; }, true);
  addEventListener("pointerdown", () => { hands.taps += 1; }, true);
  return {
    painted, hands,
    frame: async () => { const from = performance.now(); return (await painted()) - from; },
    tap: (name) => { const n = count(name); window.took = watch("pointerup", () => count(name) === n + 1); },
    key: () => { const before = text(".preview"); window.took = watch("keydown", () => text(".preview") !== before); },
    enter: (said) => { window.took = watch("keydown", () => text(".understood").includes(said)); },
    first: until(() => document.querySelector(".tile") && document.querySelector("#call")),
  };
})();
"""


class Phone:
    """The page in a browser that keeps its storage in a folder, so that it can be closed and opened anew."""

    def __init__(self, driver: Any, program: str, profile: Path, url: str) -> None:
        self.driver, self.program, self.profile, self.url = driver, program, str(profile), f"{url}/shore/"
        self.openings = 0

    @contextmanager
    def on(self, offline: bool = True, slower: int = SLOWER) -> Iterator[Any]:
        """Open the browser; a page with the processor slowed, about to go to the shore page."""
        context = self.driver.chromium.launch_persistent_context(
            self.profile, executable_path=self.program, viewport={"width": 390, "height": 844}, has_touch=True,
            timezone_id="America/New_York", args=["--no-sandbox", "--disable-gpu", "--disable-sync"],
        )  # fmt: skip
        try:
            page = context.new_page()
            page.set_default_timeout(30_000)
            page.add_init_script(PROBE)
            # the phone's clock is that of the kit's day and only goes on; performance.now() stays as it is
            self.openings += 1
            at = int(datetime.fromisoformat(NOW).timestamp() * 1000) + self.openings * 180_000
            page.add_init_script(
                f"{{ const real = Date.now; const off = {at} - real(); Date.now = () => real() + off; }}"
            )
            context.set_offline(offline)
            if slower > 1:
                context.new_cdp_session(page).send("Emulation.setCPUThrottlingRate", {"rate": slower})
            yield page
        finally:
            context.close()

    def open(self, page: Any, fragment: str = "") -> None:
        page.goto(self.url + fragment)
        wait(page, "window.haulbook?.opened")


def wait(page: Any, expression: str) -> None:
    """Wait in the page, whose own policy lets nobody evaluate text in it."""
    page.evaluate(
        f"async () => {{ while (!(await ({expression}))) await new Promise((go) => setTimeout(go, 20)); }}"
    )


def settle(page: Any) -> None:
    wait(page, "window.haulbook.settled()")


def press(page: Any, name: str) -> None:
    page.get_by_role("button", name=name).first.click()


def enrol(phone: Phone, code: str) -> None:
    """Enrol, take the kit along, start and land a haul, all with contact and at full speed."""
    with phone.on(offline=False, slower=1) as page:
        phone.open(page, f"#enrol={code}")
        press(page, f"{OUTING}: Take it along")
        press(page, "Start haul 1")
        page.get_by_role("radio", name="Two poles walked").click()
        press(page, "Net is in the water")
        press(page, "Landed")
        page.get_by_role("radio", name="good").click()
        press(page, "Note the landing")
        page.get_by_role("button", name="End haul").wait_for()
        settle(page)
        wait(page, "navigator.serviceWorker.controller && caches.keys().then((all) => all.length > 1)")


def feel(page: Any) -> dict[str, list[float]]:
    """Return ms for an empty frame, a key, Enter, and a tap; the words and tiles change from one to the next."""
    took: dict[str, list[float]] = {"an empty frame": [], "a key": [], "Enter": [], "a tap": []}

    def act(what: str, arm: str, do: Any, given: Any = None) -> None:
        page.evaluate(f"(given) => {{ window.probe.{arm}(given); }}", given)
        do()
        took[what].append(page.evaluate("() => window.took"))

    line = page.get_by_label("A call", exact=True)
    for i, (n, name, fate) in enumerate(CALLS):
        took["an empty frame"].append(page.evaluate("() => window.probe.frame()"))
        if fate in ("back", "dead"):
            text = f"{n} {name.lower()}, {fate}"
            line.focus()
            page.keyboard.type(text[:-2])
            page.wait_for_timeout(120)
            act("a key", "key", lambda key=text[-2]: page.keyboard.press(key))
            page.keyboard.press(text[-1])
            page.wait_for_timeout(120)
            act("Enter", "enter", lambda: page.keyboard.press("Enter"), text)
            settle(page)
        tile = page.locator(".tile").filter(has_text=CALLS[i % 7][1]).first
        tile.scroll_into_view_if_needed()
        page.evaluate("() => document.activeElement.blur()")
        page.wait_for_timeout(250)
        box = tile.bounding_box()
        for _ in range(2):
            page.mouse.move(box["x"] + box["width"] / 2, box["y"] + box["height"] / 2)
            act("a tap", "tap", lambda: (page.mouse.down(), page.mouse.up()), CALLS[i % 7][1])
        settle(page)
    return took


def starts(phone: Phone) -> list[float]:
    """Return ms from navigation to the first paint of tiles and line, each time in a browser started anew."""
    took = []
    for _ in range(STARTS):
        with phone.on() as page:
            page.goto(phone.url)
            took.append(page.evaluate("() => window.probe.first"))
    return took


def fill(phone: Phone) -> int:
    """Write lines into the outing until it has 2 000; return how many entries it has."""
    with phone.on(slower=1) as page:
        phone.open(page)
        return int(
            page.evaluate(
                """async ([outing, wanted]) => {
                  const { store } = window.haulbook;
                  const taxa = ["sand-shrimp", "mummichog", "atlantic-silverside", "grubby", "tautog", "cunner",
                    "pagurus"];
                  let here = (await store.entries(outing)).length;
                  for (let i = 0; here < wanted; i += 1) {
                    const drafts = Array.from({ length: Math.min(100, wanted - here) }, (_, n) => ({ kind: "move",
                      body: { text: `${1 + n % 4} of them`, lines: [{ taxon: taxa[n % 7], n: 1 + n % 4, from: "sea",
                        to: n % 25 ? "back" : "bucket 2", haul: `${outing}/1` }] } }));
                    here += (await store.append(drafts)).length;
                  }
                  return here;
                }""",
                [OUTING, ENTRIES],
            )
        )


LOOP = """() => {
  const run = () => {
    const from = performance.now();
    for (let i = 0, x = 0; i < 3e7; i += 1) x = (x * 31 + i) | 0;
    return performance.now() - from;
  };
  run();
  return Array.from({ length: 5 }, run).sort((a, b) => a - b)[2];
}"""


def how_slow(phone: Phone) -> list[float]:
    """Return ms that one loop takes in the page at full speed and slowed: whether the browser slows as it says."""
    took = []
    for slower in (1, SLOWER):
        with phone.on(slower=slower) as page:
            page.goto("about:blank")
            took.append(float(page.evaluate(LOOP)))
    return took


def by_hand(phone: Phone, way: str) -> dict[str, int]:
    """Do the forty calls one way; return keys, taps and pastes, as the page itself counted them."""
    with phone.on(slower=1) as page:
        phone.open(page)
        before = called(page)
        at_start = page.evaluate("() => ({...window.probe.hands})")
        pastes, fate_now = 0, "back"
        line = page.get_by_label("A call", exact=True)
        if way != "tapped":
            page.evaluate(
                "() => document.querySelector('#call').focus()"
            )  # as after the first call of a haul
        for n, name, fate in CALLS:
            text = f"{n} {name.lower()}, {fate}"
            if way == "typed":
                page.keyboard.type(text)
                page.keyboard.press("Enter")
            elif way == "dictated":
                line.fill(text)
                pastes += 1
                page.keyboard.press("Enter")
            else:
                fate_now = tap_out(page, n, name, fate, fate_now)
            settle(page)
        found = called(page)
        found.subtract(before)
        wanted: Counter[str] = Counter()
        for n, name, _ in CALLS:
            wanted[KEYS.get(name) or name.lower().replace(" ", "-")] += n
        if +found != wanted:
            raise AssertionError(f"{way}: {dict(found)} is not {dict(wanted)}")
        hands = page.evaluate("() => window.probe.hands")
    return {
        "keys": hands["keys"] - at_start["keys"],
        "taps": hands["taps"] - at_start["taps"],
        "pastes": pastes,
    }


def called(page: Any) -> Counter[str]:
    entries = page.evaluate("() => window.haulbook.store.entries()")
    found: Counter[str] = Counter()
    for one in entries:
        if one["kind"] == "move":
            for line in one["body"]["lines"]:
                found[line["taxon"]] += line["n"] if line["from"] == "sea" else 0
    return found


def tap_out(page: Any, n: int, name: str, fate: str, fate_now: str) -> str:
    """Say where each tap goes, where that changes, and tap; hold the tile for many."""
    if fate != fate_now:
        if fate in FATES:
            page.locator(".fates button").filter(has_text=re.compile(f"^{fate.capitalize()}")).click()
        else:
            press(page, "Each tap")
            page.locator("#main").get_by_role("button", name="Bucket 2").click()
        page.wait_for_timeout(400)  # what may be kept leaves the tiles, which move under the finger by that
    tile = page.locator(".tile").filter(has_text=name).first
    if n < HOLD_FROM:
        for _ in range(n):
            tile.click()
    else:
        tile.hover()
        page.mouse.down()
        page.get_by_role("heading", name="How many").wait_for()
        page.mouse.up()
        for digit in str(n):
            page.locator("#main").get_by_role("button", name=digit, exact=True).click()
        press(page, f"Enter {n}")
    return fate


def on_paper() -> int:
    """Strokes on a lined sheet: the number in digits, the name in letters, one letter for its fate."""
    return sum(len(str(n)) + len(name.replace(" ", "")) + 1 for n, name, _ in CALLS)


def in_a_grid() -> int:
    """Keys in a plain grid of haul, name, number, fate: each typed whole, Tab between them, Enter behind."""
    return sum(1 + 1 + len(name) + 1 + len(str(n)) + 1 + len(fate) + 1 for n, name, fate in CALLS)


def weigh(served: Served) -> list[tuple[int, str]]:
    """Return compressed bytes and address of everything that the page needs, as the station sends it; largest first."""
    listed = json.loads(_fetch(f"{served.url}/shore/shell.json")[0])
    found = []
    for file in [*listed["files"], "sw.js", "shell.json"]:
        content, packed = _fetch(f"{served.url}/shore/{file.removeprefix('./')}")
        found.append((packed, file))
        assert content
    return sorted(found, reverse=True)


def _fetch(address: str) -> tuple[bytes, int]:
    asked = urllib.request.Request(address, headers={"Accept-Encoding": "gzip"})
    with urllib.request.urlopen(asked) as answer:
        content = answer.read()
        packed = answer.headers.get("Content-Encoding") == "gzip"
    return (gzip.decompress(content) if packed else content), len(content)


def spread(took: list[float]) -> str:
    """Return middle and 95th percentile, in ms."""
    ranked = sorted(took)
    p95 = ranked[min(len(ranked) - 1, int(0.95 * len(ranked)))]
    return f"p50 {statistics.median(ranked):5.0f} ms   p95 {p95:5.0f} ms   ({len(ranked)} times)"


def _report(phone: Phone, entries: int) -> None:
    print(
        f"with {entries} entries in the outing "
        f"(load of the machine {os.getloadavg()[0]:.1f} on {os.cpu_count()} processors)"
    )
    with phone.on() as page:
        phone.open(page)
        for what, took in feel(page).items():
            shown = {
                "a key": "key to understood so far",
                "Enter": "Enter to understood line",
                "a tap": "tap to count",
            }
            print(f"  {shown.get(what, what):<26}{spread(took)}")
    took = starts(phone)
    print(
        f"  {'start without a signal':<26}p50 {statistics.median(took):5.0f} ms   longest {max(took):4.0f} ms   "
        f"({STARTS} times)"
    )


def main() -> None:
    """Print every figure of the shore page."""
    program = shutil.which("chromium") or shutil.which("chromium-browser")
    if program is None:
        print("no chromium on this machine: the page was not measured")
        return
    from playwright.sync_api import sync_playwright

    with tempfile.TemporaryDirectory() as folder, sync_playwright() as driver:
        served = Served(Path(folder) / "station")
        try:
            files = weigh(served)
            print(
                f"everything the page needs: {sum(n for n, _ in files):,} bytes compressed, {len(files)} files"
            )
            print("  " + ", ".join(f"{file} {n:,}" for n, file in files[:8]))
            phone = Phone(driver, program, Path(folder) / "profile", served.url)
            enrol(phone, served.code)
            full, slowed = how_slow(phone)
            print(f"processor slowed {SLOWER} times: a loop of {full:.0f} ms takes {slowed:.0f} ms")
            _report(phone, 4)
            _report(phone, fill(phone))
            hands = {way: by_hand(phone, way) for way in ("typed", "dictated", "tapped")}
        finally:
            served.close()
    animals = sum(n for n, _, _ in CALLS)
    print(f"{len(CALLS)} calls, {animals} animals: what the hands do")
    rows = [
        ("page, typed", hands["typed"]["keys"], "keys"),
        (
            "page, dictated",
            hands["dictated"]["keys"] + hands["dictated"]["pastes"],
            "microphone and Enter; the words are spoken",
        ),
        ("page, tapped", hands["tapped"]["taps"], f"taps; a tile is held from {HOLD_FROM} animals on"),
        ("paper sheet", on_paper(), "strokes: digits, letters of the name, one letter for the fate"),
        ("plain grid", in_a_grid(), "keys: haul, name, number, fate, Tab, Enter"),
    ]
    for name, acts, how in rows:
        print(
            f"  {name:<16}{acts:>5}  {acts / len(CALLS):>5.1f} a call  {acts / animals:>5.2f} an animal   {how}"
        )
