"""What every test may use."""

from __future__ import annotations

from pathlib import Path

import pytest

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
