"""Rows as JSON and back, for backups: the same on every database."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime
from typing import Any

from django.apps import apps
from django.core.exceptions import ValidationError
from django.db import models

from haulbook.problems import Refusal, unknown
from haulbook.station.models import (
    EntryRow,
    Naming,
    OneTime,
    Reading,
    Said,
    SignInTry,
    Touch,
)

MADE_ANEW = (Touch, Naming, Said, Reading)
"""Worked out of entries."""
PASSING = (OneTime, SignInTry)
"""Codes that work once and tries that failed: what was used up stays used up after a restore."""


def tables() -> dict[str, type[models.Model]]:
    """Return what a backup holds beside the book, by name."""
    left_out = {EntryRow, *MADE_ANEW, *PASSING}
    every = apps.get_app_config("station").get_models()
    return {kind._meta.model_name or "": kind for kind in every if kind not in left_out}


def row_as_json(row: models.Model) -> dict[str, Any]:
    """Return a row's columns. The content of a stored file is none of them: it is a member of its own."""
    return {
        field.attname: _out(getattr(row, field.attname))
        for field in row._meta.concrete_fields
        if not isinstance(field, models.BinaryField)
    }


def _out(value: Any) -> Any:
    return value.isoformat() if isinstance(value, datetime) else value


def row_of(kind: type[models.Model], said: Any, **more: Any) -> models.Model:
    """Return the row that :func:`row_as_json` wrote; a column that came later takes its default.

    Raises
    ------
    Refusal
        A column that is not known here: the backup is of a newer haulbook.
    """
    fields = {field.attname: field for field in kind._meta.concrete_fields}
    if not isinstance(said, Mapping):
        raise Refusal(f"a row of {kind._meta.model_name} is no JSON object")
    values = dict(more)
    for name, value in said.items():
        if name not in fields:
            raise Refusal(
                f"{unknown(f'column of {kind._meta.model_name}', name, fields)}: this backup is of another "
                "version of haulbook; restore it with a newer one"
            )
        try:
            values[name] = fields[name].to_python(value)
        except ValidationError:
            raise Refusal(f"{name} of a row of {kind._meta.model_name} is {value!r}") from None
    return kind(**values)
