"""Work beside the pages: what takes longer than somebody wants to wait is done in a thread of its own."""

from __future__ import annotations

import logging
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from typing import TypeVar

from django.db import close_old_connections

log = logging.getLogger("haulbook.station")
_lock = threading.Lock()
_now: set[str] = set()
_failed: set[str] = set()
_somebody_waits: ContextVar[bool] = ContextVar("somebody_waits", default=False)
LOOK_EVERY_S = 2.0

T = TypeVar("T")


class BeingMade(Exception):
    """What a page shows is made beside it, for the first time: there is nothing to show yet."""


@contextmanager
def somebody_waits() -> Iterator[None]:
    """Within this, a first reading of a large book is made beside the page, which says so (:func:`first`)."""
    token = _somebody_waits.set(True)
    try:
        yield
    finally:
        _somebody_waits.reset(token)


def first(key: str, make: Callable[[], T]) -> T:
    """Make what was never made: at once, or beside the page where somebody waits for one.

    Raises
    ------
    BeingMade
        It is being made. What went wrong beside a page is made once more before the next who asks, and is told there.
    """
    with _lock:
        failed = key in _failed
        _failed.discard(key)
    if failed or not _somebody_waits.get():
        return make()
    work(key, make)
    raise BeingMade(key)


def work(key: str, make: Callable[[], object]) -> None:
    """Do something in a thread, unless just this is being done."""
    with _lock:
        if key in _now:
            return
        _now.add(key)

    def run() -> None:
        try:
            make()
        except Exception:  # whoever asks next makes it before their own eyes, and is told
            log.exception("%s could not be made beside the pages", key)
            with _lock:
                _failed.add(key)
        finally:
            with _lock:
                _now.discard(key)
            close_old_connections()

    threading.Thread(target=run, name=f"aside {key}", daemon=True).start()


def keep_fresh(newest: Callable[[], int], makers: Callable[[], None]) -> None:
    """Make what pages ask for anew whenever lines came in, so that nobody has to wait for it.

    Runs until the process ends.
    """

    def run() -> None:
        seen = -1
        while True:
            try:
                last = newest()
                if last != seen:
                    makers()
                    seen = last
            except Exception:
                log.exception("readings could not be kept fresh")
            finally:
                close_old_connections()
            time.sleep(LOOK_EVERY_S)

    threading.Thread(target=run, name="keep fresh", daemon=True).start()
