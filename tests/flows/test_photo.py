"""A photo's whole way: taken on a phone without signal, sent after its line, seen by the lead at the station."""

from __future__ import annotations

import base64
import os
from pathlib import Path

import pytest
from axe_playwright_python.sync_playwright import Axe

pytestmark = pytest.mark.browser
SHOTS = os.environ.get("HAULBOOK_SHOTS")
"""A folder that pictures are put into, to be looked at."""
DRAWN = """async () => {
  const canvas = Object.assign(document.createElement('canvas'), {width: 2400, height: 1800});
  const pen = canvas.getContext('2d');
  pen.fillStyle = 'seagreen';
  pen.fillRect(0, 0, 2400, 1800);
  pen.fillStyle = 'khaki';
  pen.fillRect(400, 850, 1600, 60);
  return canvas.toDataURL('image/png').split(',')[1];
}"""


def take(phone, name):
    """Press Photo and let the camera hand over an invented picture."""
    content = base64.b64decode(phone.page.evaluate(DRAWN))
    with phone.page.expect_file_chooser() as chooser:
        phone.press(name)
    chooser.value.set_files({"name": "a.png", "mimeType": "image/png", "buffer": content})
    phone.settle()


def look(desk, name):
    """The page in front of the lead has no fault that axe finds, on a wide leaf and on a narrow one."""
    for width in (1280, 390):
        desk.page.set_viewport_size({"width": width, "height": 900})
        found = Axe().run(desk.page).response["violations"]
        assert not found, [(one["id"], [node["html"] for node in one["nodes"]]) for one in found]
        assert desk.page.evaluate("document.documentElement.scrollWidth") <= width
        if SHOTS:
            desk.page.screenshot(path=str(Path(SHOTS) / f"{name}-{width}.png"), full_page=True)
    desk.page.set_viewport_size({"width": 1280, "height": 900})


def test_a_photo_taken_without_signal_is_seen_at_the_station(station, desk, phone_of):
    phone = phone_of()
    code, outing = desk.invite("the green one"), desk.plan()
    device = phone.enrol(code, outing)
    phone.start()
    phone.context.set_offline(True)
    phone.call("one northern pipefish, back")
    take(phone, "Photo: the last call")
    phone.reload()
    phone.page.locator("#store").get_by_text("and 1 photo only on this phone").wait_for()
    phone.page.evaluate("() => window.haulbook.pictures.stop()")
    phone.context.set_offline(False)
    phone.home()

    desk.go(f"/outing/{outing}/")
    desk.page.get_by_role("link", name="Photos").click()
    desk.page.get_by_text(f"The photo has not come in yet: it is still on {device}").wait_for()
    look(desk, "photos-to-come")

    phone.reload()
    phone.until(
        "window.haulbook.pictures.now().then(() => window.haulbook.store.unsent()).then((n) => !n.pictures)"
    )
    desk.page.reload()
    shown = desk.page.get_by_role("img", name="Photo of 1 northern pipefish, haul 1")
    shown.wait_for()
    assert shown.evaluate("async (img) => { await img.decode(); return [img.naturalWidth, img.naturalHeight]; }") == [
        1600, 1200,
    ]  # fmt: skip
    look(desk, "photos")
    desk.page.get_by_role("link", name="Its line").click()
    desk.page.get_by_role("link", name="The line that it shows").wait_for()
    look(desk, "photo-line")
    desk.page.get_by_role("link", name="The line that it shows").click()
    desk.page.get_by_role("heading", name="Photos").wait_for()
    desk.page.get_by_role("img", name="Photo of 1 northern pipefish, haul 1").wait_for()
    look(desk, "shown-line")
