"""A phone's browser and a served station: from the code on the lead's page to a line in the book."""

from __future__ import annotations

import subprocess
import sys
from datetime import datetime
from zoneinfo import ZoneInfo

import pytest

pytestmark = pytest.mark.browser
DAY = datetime.now(ZoneInfo("America/New_York")).date().isoformat()
OUTING = f"{DAY}-a"
PLAN = {
    "outing": OUTING, "site": "sallowhorn-cove", "date": DAY, "hauls": 1, "permits": ["SC-24-031"], "nets": ["n1"],
    "crew": ["p1"], "people_present": 8, "buckets": [{"place": "bucket 1", "purpose": "keep", "litres": 14}],
}  # fmt: skip
KEEP_PLAN = f"""
from pathlib import Path; from haulbook.station.serving import connect; import sys; connect(Path(sys.argv[1]))
from haulbook.station.store import plans; plans.keep({PLAN!r}, "p1")
"""


def told(page, expression):
    return page.evaluate(f"({expression})")


def test_a_phone_enrols_takes_the_kit_and_its_line_comes_home(own_station, chromium):
    subprocess.run(
        [sys.executable, "-c", KEEP_PLAN, str(own_station.folder)],
        env=own_station.environment,
        check=True,
        timeout=120,
    )
    lead = chromium.new_context().new_page()
    lead.goto(own_station.link)
    lead.goto(f"{own_station.url}/devices/")
    lead.get_by_label("Which phone").fill("the orange one")
    lead.get_by_label("Who writes with it").select_option(index=1)
    lead.get_by_role("button", name="Make a code").click()
    link = lead.get_by_role("link", name="Record on this machine").get_attribute("href")

    said = []
    phone = chromium.new_context(viewport={"width": 390, "height": 800}).new_page()
    phone.on("console", lambda message: said.append(message.text) if message.type == "error" else None)
    phone.on("pageerror", lambda error: said.append(str(error)))
    phone.goto(link)
    phone.get_by_role("button", name=f"{OUTING}: Take it along").click()
    phone.get_by_role("button", name="Start haul 1").wait_for()
    device = told(phone, "window.haulbook.store.device")
    assert "#" not in phone.url or "enrol" not in phone.url, "the code does not stay in the address"
    told(
        phone,
        """(async () => {
            await window.haulbook.store.append([{kind: "remark", body: {text: "seen from a phone"}}]);
            const state = await window.haulbook.sync();
            if (state.unsent || state.problem) throw new Error(JSON.stringify(state));
        })()""",
    )
    lead.goto(f"{own_station.url}/outing/{OUTING}/calls/")
    lead.get_by_text("seen from a phone").first.wait_for()
    lead.goto(f"{own_station.url}/devices/")
    assert "the orange one" in lead.get_by_role("row", name=device).inner_text()
    assert said == []

    phone.wait_for_function("() => navigator.serviceWorker.controller !== null")
    phone.wait_for_function("async () => (await caches.keys()).length > 0")
    phone.context.set_offline(True)
    phone.reload()
    phone.get_by_role("button", name="Start haul 1").wait_for()
    assert told(phone, "window.haulbook.store.device") == device
