"""Body plans as small drawings: one fill, marks cut out, the ink of the text around them.

Drawn for haulbook on a grid of 96 by 48; smallest use 40 by 20 CSS px. Each carries its name in a ``title``:
keep it where the drawing stands alone, hide the drawing where words beside it say the same.
"""

from __future__ import annotations

import re
from functools import cache
from importlib.resources import files

from markupsafe import Markup, escape

from haulbook.identify import load_matrix
from haulbook.identify.characters import BODY_PLAN, load_characters
from haulbook.problems import Refusal, unknown
from haulbook.taxa import Pack

EGG_MASS = "egg_mass"

_GROUPS = {
    "pipefish-stickleback": "torpedo",
    "gunnel-prickleback": "ribbon",
    "sculpin": "bighead",
    "flatfish": "flat",
    "surfperch": "deep",
    "crab": "crab",
    "hermit": "hermit",
    "lobster": "lobster",
    "shrimp": "shrimp",
    "small-crustacean": "bug",
    "slug-snail": "snail",
    "clam": "two_shells",
    "cephalopod": "squid",
    "echinoderm": "star",
    "worm": "worm",
    "jelly": "jelly",
    "cover-algae": "weed",
    "cover-seagrass": "blade",
    "forage-fish": "torpedo",
    "salmonid": "torpedo",
    "cod": "torpedo",
    "greenling-rockfish": "torpedo",
    "other-fish": "torpedo",
}
"""The drawing of a tally group, for what has no body plan of its own."""


@cache
def names() -> tuple[str, ...]:
    """Return the names of all drawings: the body plans, in the order of the table, and egg masses."""
    return (*load_characters()[BODY_PLAN].state_keys, EGG_MASS)


def silhouette(name: str, *, title: str | None = None, hidden: bool = False) -> Markup:
    """Return a drawing as inline SVG.

    Parameters
    ----------
    name : str
        One of `names`.
    title : str, optional
        The accessible name; by default that of the body plan.
    hidden : bool
        True where words beside it say the same: screen readers pass over it.

    Raises
    ------
    Refusal
        There is no such drawing.
    """
    if name not in names():
        raise Refusal(unknown("drawing", name, names()))
    text = _drawing(name)
    if hidden:
        text = re.sub(r"<title>.*?</title>", "", text).replace(
            'role="img"', 'class="plan" aria-hidden="true" focusable="false"'
        )
    else:
        text = text.replace('role="img"', 'class="plan" role="img"')
        if title is not None:
            text = re.sub(r"<title>.*?</title>", lambda _: f"<title>{escape(title)}</title>", text)
    return Markup(text)  # noqa: S704 (our own drawings; the title is escaped)


def silhouette_of(taxon: str, pack: Pack, stage: str | None = None) -> str | None:
    """Return the name of the drawing for a taxon: its body plan, else that of its tally group.

    Of several body plans that of the tally group stands, else the first in the order of the table. None where
    nothing fits, as for a kingdom.

    Parameters
    ----------
    taxon : str
    pack : Pack
    stage : str, optional
        ``egg mass`` has a drawing of its own.
    """
    if stage == "egg mass":
        return EGG_MASS
    usual = _GROUPS.get(pack[taxon].group)
    cell = load_matrix(pack.key).cells.get(taxon, {}).get(BODY_PLAN)
    if cell is None or usual in cell.states:
        return usual
    return next(name for name in names() if name in cell.states)


@cache
def _drawing(name: str) -> str:
    text = files("haulbook.publish").joinpath(f"silhouettes/{name}.svg").read_text(encoding="utf-8")
    return text.strip()
