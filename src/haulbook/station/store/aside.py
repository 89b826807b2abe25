"""Work beside the pages: what takes longer than somebody wants to wait is done in a thread of its own."""

from __future__ import annotations

import logging
import threading
import time
from collections.abc import Callable

from django.db import close_old_connections

log = logging.getLogger("haulbook.station")
_lock = threading.Lock()
_now: set[str] = set()
LOOK_EVERY_S = 2.0


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
