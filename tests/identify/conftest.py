"""What the tests of the key share."""

from __future__ import annotations

import pytest

from haulbook.identify import identify, load_model, prior, read_observations


def looked(pack, *saw, not_saw=(), found=None, skipped=()):
    """The answer of the key after some looks."""
    model = load_model(pack)
    seen = read_observations(saw, not_saw, model.matrix.characters)
    return identify(model, seen, prior(model.matrix, found), skipped)


@pytest.fixture(scope="session")
def look():
    return looked
