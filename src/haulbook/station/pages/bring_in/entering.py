"""Writing the lines of sheets into the book: at once where they are few, in parts beside the page where they are many.

A part is one transaction, so that phones and the desk go on writing in between. What becomes of each outing is settled
before the first line; lines are named after files and rows, so that going on after a stop doubles nothing.
"""

from __future__ import annotations

import logging
import threading
from collections.abc import Mapping
from datetime import datetime, timedelta
from typing import Any

from django.db import close_old_connections, transaction
from django.utils.translation import gettext as _

from haulbook.custody.entry import Entry
from haulbook.exchange.entries import entries_of
from haulbook.office.already_here import Plan, as_planned, plan_for, plan_of_json, strikes_for
from haulbook.office.bring_in import Brought, read_with
from haulbook.problems import Refusal
from haulbook.station import clock
from haulbook.station.models import BringIn, EntryRow
from haulbook.station.pages.bring_in.handed import materials
from haulbook.station.store import book, readings, reference
from haulbook.station.store.writing import writing

AT_ONCE_ROWS = 4_000
"""Up to so many rows are brought in while the browser waits: a second or two."""
A_PART = 2_000
"""Lines in one transaction: about half a second in which nobody else writes."""
A_FEW = 25
"""Outings read between two words of how far it is."""
STOPPED_AFTER = timedelta(minutes=2)
"""Without a sign of life for so long the writing has stopped, and can be gone on with."""

log = logging.getLogger("haulbook.station")


def begin(row: BringIn, brought: Brought, chosen: Mapping[str, str], by: str) -> None:
    """Bring sheets in, or go on where it stopped.

    Raises
    ------
    Refusal
        It is in the book, on its way, or its lines can't be made or struck.
    """
    with transaction.atomic():
        row = BringIn.objects.select_for_update().get(pk=row.pk)
        if row.entered_at is not None:
            raise Refusal(_("This is in the book already; nothing more was written."))
        if row.progress and not stopped(row):
            raise Refusal(_("This is on its way into the book; the page says how far it is."))
        if not row.progress:
            plan = _plan(brought, chosen)
            row.progress = {"plan": plan.as_json(), "by": by, "struck": False, "lines": 0, "of": 0}
        row.progress = {**row.progress, "at": clock.now().isoformat()}
        row.save(update_fields=["progress"])
    if brought.rows <= AT_ONCE_ROWS:
        _write_or_undo(row)
        return
    name = f"bring in {row.pk}"
    threading.Thread(target=_write_beside, args=(row.pk,), name=name, daemon=True).start()


def stopped(row: BringIn) -> bool:
    """Say whether the writing stopped before its end: the station was closed, or something went wrong."""
    at = row.progress.get("at")
    alive = at is not None and clock.now() - datetime.fromisoformat(at) < STOPPED_AFTER
    return bool(row.progress) and row.entered_at is None and (not alive or bool(row.progress.get("problem")))


def _plan(brought: Brought, chosen: Mapping[str, str]) -> Plan:
    keys = [line.outing for line in brought.outings]
    devices = {
        device
        for ours in brought.devices.values()
        for device in EntryRow.objects.filter(device__startswith=ours)
        .order_by()
        .values_list("device", flat=True)
        .distinct()
    }
    return plan_for(keys, chosen, readings.outings(), len(devices))


def _write_or_undo(row: BringIn) -> None:
    """Write while the browser waits. What can't be written leaves the sheets as they were, to be mended."""
    try:
        with transaction.atomic():
            _write(row)
    except Refusal:
        BringIn.objects.filter(pk=row.pk).update(progress={})
        raise


def _write_beside(pk: int) -> None:
    try:
        _write(BringIn.objects.get(pk=pk))
    except Refusal as refusal:
        words = "; ".join(problem.message for problem in refusal.problems)
        _note(BringIn.objects.get(pk=pk), problem=words)
    except Exception:
        log.exception("bringing in %s stopped", pk)
        _note(BringIn.objects.get(pk=pk), problem=_("Something went wrong; it can be gone on with."))
    finally:
        close_old_connections()


def _write(row: BringIn) -> None:
    plan, by = plan_of_json(row.progress["plan"]), row.progress["by"]
    entries = as_planned(_entries(row, by), plan)
    _strike_replaced(row, plan, by)
    _note(row, of=len(entries), problem="")
    for i in range(0, len(entries), A_PART):
        with writing():
            book.add(entries[i : i + A_PART], clock.now())
        _note(row, lines=min(i + A_PART, len(entries)))
    _read_outings(row, list(dict.fromkeys(entry.outing for entry in entries if entry.outing)))
    row.entered_at, row.entries = clock.now(), len(entries)
    row.save(update_fields=["entered_at", "entries"])


def _read_outings(row: BringIn, outings: list[str]) -> None:
    """Read every outing that was touched, so that the next page does not have to."""
    for n, outing in enumerate(outings):
        if n % A_FEW == 0:
            _note(row, outings=len(outings), read=n)
        readings.outing(outing)


def _entries(row: BringIn, by: str) -> tuple[Entry, ...]:
    pack = reference.pack_of_station()
    with materials(row) as (paths, map_file, answers):
        reading, fit, _unfit = read_with(paths, map_file, answers, pack)
        return entries_of(reading, pack, fit, None, by)


def _strike_replaced(row: BringIn, plan: Plan, by: str) -> None:
    """Strike what earlier files say of outings that are brought in corrected; once, also where the writing stopped."""
    if row.progress["struck"]:
        return
    with writing():
        for outing in plan.replaced:
            bodies = strikes_for(book.book_of_outing(outing), outing, row.name)
            wanted = [book.Wanted(kind="strike", body=body, outing=outing) for body in bodies]
            book.write(wanted, by, reference.settings().zone)
        _note(row, struck=True)


def _note(row: BringIn, **what: Any) -> None:
    row.progress = {**row.progress, **what, "at": clock.now().isoformat()}
    BringIn.objects.filter(pk=row.pk).update(progress=row.progress)
