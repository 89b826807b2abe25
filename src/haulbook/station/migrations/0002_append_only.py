"""Keep entries: the database itself refuses to change or remove them."""

from __future__ import annotations

from typing import ClassVar

from django.db import migrations

from haulbook.station.store import triggers


class Migration(migrations.Migration):
    """Triggers on the table of entries."""

    dependencies: ClassVar = [("station", "0001_rows")]
    operations: ClassVar = [migrations.RunPython(triggers.add, migrations.RunPython.noop)]
