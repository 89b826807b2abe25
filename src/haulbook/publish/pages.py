"""How every page is made from its template: escaped, strict, the same text for the same values."""

from __future__ import annotations

from typing import Any

from jinja2 import Environment, PackageLoader, StrictUndefined


def environment(**helpers: Any) -> Environment:
    """Return an environment over this room's templates, with ``helpers`` to call in them."""
    made = Environment(
        loader=PackageLoader("haulbook.publish"),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    made.globals.update(helpers)
    return made
