"""What every test may use."""

from __future__ import annotations

import os
import shutil
import tempfile
from pathlib import Path

import pytest
from hypothesis import settings

settings.register_profile("same-draws", derandomize=True)
# A landing hangs on no luck, so .ci/run sets this; `make test` draws anew.
if os.environ.get("HAULBOOK_SAME_DRAWS"):
    settings.load_profile("same-draws")

os.environ["HAULBOOK_STATION"] = tempfile.mkdtemp(prefix="haulbook-tests-")  # before anything reads settings
os.environ["DJANGO_ALLOW_ASYNC_UNSAFE"] = (
    "true"  # a browser's driver keeps an event loop in the thread of the tests
)

ROOT = Path(__file__).resolve().parents[1]
SHARED = ROOT.parent / "shared"


@pytest.fixture(scope="session")
def shared_data() -> Path:
    """The folder of real open data, which a user's machine does not have."""
    folder = SHARED / "data"
    if not folder.is_dir():
        pytest.skip("the open data sets are not on this machine (../shared/data)")
    return folder


@pytest.fixture(scope="session")
def shared_reference() -> Path:
    """The folder of reference tables that packaged data is compared with."""
    folder = SHARED / "reference"
    if not folder.is_dir():
        pytest.skip("the reference tables are not on this machine (../shared/reference)")
    return folder


BROWSER_ARGUMENTS = [
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
]


@pytest.fixture(scope="session")
def chromium_path() -> str:
    """Where the system's Chromium is; skipped with a reason where there is none."""
    path = shutil.which("chromium") or shutil.which("chromium-browser")
    if path is None:
        pytest.skip("no chromium on this machine (apt-get install chromium)")
    return path


@pytest.fixture(scope="session")
def driver():
    """The one Playwright of the run: a second one in the same thread would be refused."""
    playwright = pytest.importorskip("playwright.sync_api", reason="playwright is not installed")
    with playwright.sync_playwright() as started:
        yield started


@pytest.fixture(scope="session")
def chromium(driver, chromium_path):
    """The system's Chromium, driven."""
    browser = driver.chromium.launch(executable_path=chromium_path, headless=True, args=BROWSER_ARGUMENTS)
    yield browser
    browser.close()
