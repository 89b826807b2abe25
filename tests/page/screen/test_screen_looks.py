"""Every state of the screen, in every look: contrast, names for screen readers, targets, nothing off to the side.

WCAG 2.2: 1.4.6 (7:1), 1.4.10 (320 px without sideways scrolling), 2.5.5 (44 px; here 56). Rules of axe-core.
"""

from __future__ import annotations

import pytest

axe = pytest.importorskip(
    "axe_playwright_python.sync_playwright", reason="axe-playwright-python is not installed"
)

pytestmark = pytest.mark.browser

SIDEWAYS = "document.documentElement.scrollWidth - document.documentElement.clientWidth"

SMALL = """
() => [...document.querySelectorAll('button, input:not([type=file]), summary, select')]
  .filter((node) => node.offsetParent && !node.closest('.unseen'))
  .map((node) => [node.textContent || node.getAttribute('aria-label') || node.name, node.getBoundingClientRect()])
  .filter(([, box]) => box.width && (box.height < 55.5 || box.width < 55.5))
  .map(([name, box]) => `${name.slice(0, 40)} ${Math.round(box.width)}x${Math.round(box.height)}`)
"""

CLOSE = """
() => {
  const PLACES = '#main, #head, #foot, #store, .bottom';
  const boxes = [...document.querySelectorAll('button')].filter((node) => node.offsetParent)
    .map((node) => [node.textContent.slice(0, 30), node.getBoundingClientRect(), node.closest(PLACES)]);
  const near = [];
  boxes.forEach(([one, a, place], i) => boxes.slice(i + 1).forEach(([other, b, there]) => {
    if (place !== there) return;
    const across = Math.max(a.left, b.left) - Math.min(a.right, b.right);
    const down = Math.max(a.top, b.top) - Math.min(a.bottom, b.bottom);
    if (Math.max(across, down) < 7.5) near.push(`${one} | ${other} ${Math.round(Math.max(across, down))}`);
  }));
  return near;
}
"""


def states(phone):
    """Walk through the states of an outing; yields the name of each while it is shown."""
    page = phone.page
    yield "before the first haul"
    phone.press("Start haul 1")
    yield "how the net is set"
    page.get_by_role("radio", name="Two poles walked").click()
    phone.press("Net is in the water")
    phone.button("Landed").wait_for()
    yield "net in the water"
    phone.press("Landed")
    yield "landing"
    phone.press("Tally first")
    yield "landing not noted"
    for text in (
        "sixteen atlantic silverside, back",
        "thirty nine fourspine stickleback, bucket two",
        "two hermit crab",
        "eighteen sand shrimp, bucket three",
    ):
        phone.call(text)
    phone.press("Kept", exact=False)
    phone.call("four rock gunnel, one young winter flounder, kept")
    yield "tallying"
    page.get_by_label("A call", exact=True).fill("three grubby, one kept")
    yield "typing"
    page.get_by_label("A call", exact=True).fill("")
    phone.call("two pipefish, back, one corner")
    yield "question of a name"
    phone.press("Side by side")
    yield "side by side"
    phone.press("Return")
    phone.press("Another name")
    page.get_by_label("Part of the name").fill("sal")
    yield "naming"
    phone.press("Return")
    phone.press("Ask me later")
    phone.settle()
    phone.call("a few cunner")
    yield "question of a number"
    phone.press("Seen, not counted")
    phone.settle()
    phone.call("lumpfish, blargh blargh")
    yield "not understood"
    phone.press("Leave it out", exact=False)
    phone.call("three rock gunnel, kept")
    yield "more than may be kept"
    phone.press("2 kept, 1 back")
    phone.settle()
    phone.call("one atlantic salmon")
    yield "protected"
    phone.press("It swam off alive")
    phone.settle()
    phone.call("two asian shore crab")
    yield "invasive"
    phone.press("Killed, taken along")
    phone.settle()
    page.locator(".bucket").filter(has_text="2 sort").click()
    yield "a bucket"
    phone.press("fourspine stickleback: Move")
    yield "moving"
    phone.press("Count again")
    yield "counting again"
    for digit in "38":
        phone.press(digit)
    phone.press("Enter 38")
    yield "lost"
    phone.press("Ask me later")
    phone.press("Reading")
    yield "a reading"
    phone.press("Return")
    phone.press("Return")
    phone.press("End haul")
    yield "reading back"
    phone.press("Go on calling")
    phone.press("More")
    yield "more"
    phone.press("Sort and close")
    yield "closing"
    phone.press("Return")
    for name in (
        "All lines",
        "Which one is it?",
        "Measure lengths",
        "Count by scoops",
        "Permit and kit",
        "What is only on this phone",
        "Who writes",
        "Light and dark",
    ):
        phone.press(name, exact=False)
        phone.settle()
        yield name
        phone.press("Done measuring" if name == "Measure lengths" else "Return")


CONTRAST = {"type": "rule", "values": ["color-contrast", "color-contrast-enhanced"]}
TELLING = ("tallying", "question of a name", "protected", "invasive", "a bucket", "closing")
"""States that show every pair of colours between them."""


def off_in(page, state):
    found = [(state, "small", name) for name in page.evaluate(SMALL)]
    found += [(state, "close", name) for name in page.evaluate(CLOSE)]
    if (over := page.evaluate(SIDEWAYS)) > 0:
        found.append((state, "sideways", over))
    return found


def broken_in(page, state, **options):
    said = axe.Axe().run(page, options={"rules": {"color-contrast-enhanced": {"enabled": True}}, **options})
    return [
        (state, broken["id"], node["target"], node.get("failureSummary", "")[:200])
        for broken in said.response["violations"]
        for node in broken["nodes"]
    ]


def test_every_state_holds_seven_to_one_has_its_names_and_targets_of_56(beach):
    phone = beach()
    found = []
    for state in states(phone):
        found += broken_in(phone.page, state) + off_in(phone.page, state)
        for theme in ("dawn", "sun") if state in TELLING else ():
            phone.page.evaluate("theme => document.documentElement.dataset.theme = theme", theme)
            found += broken_in(phone.page, f"{state}, {theme}", runOnly=CONTRAST)
        phone.page.evaluate("delete document.documentElement.dataset.theme")
    assert not found, "\n".join(map(str, found))


def test_the_loud_notice_can_be_read_in_every_light(beach):
    phone = beach()
    phone.start()
    phone.fill_up()
    phone.tap("tautog")
    phone.button("Store again").wait_for()
    found = []
    for theme in ("paper", "dawn", "sun"):
        phone.page.evaluate("theme => document.documentElement.dataset.theme = theme", theme)
        found += broken_in(phone.page, theme, runOnly=CONTRAST) + off_in(phone.page, theme)
    assert not found, "\n".join(map(str, found))


@pytest.mark.parametrize("look", [{"width": 320}, {"text": 200}])
def test_small_phones_and_large_text_keep_targets_apart_and_nothing_off_to_the_side(beach, look):
    phone = beach(**look)
    found = [off for state in states(phone) for off in off_in(phone.page, state)]
    assert not found, "\n".join(map(str, found))


def test_the_phone_prefers_dark_and_somebody_chooses_sun(beach):
    phone = beach(scheme="dark")
    paper = "getComputedStyle(document.body).getPropertyValue('--paper').trim()"
    assert phone.page.evaluate(paper) == "#0b1719"
    phone.press("More")
    phone.press("Light and dark")
    phone.page.get_by_role("radio", name="Bright sun").click()
    assert phone.page.evaluate(paper) == "#fff"
    phone.page.reload()
    phone.until("window.haulbook?.opened")
    assert phone.page.evaluate(paper) == "#fff"
