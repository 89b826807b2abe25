"""The callable that a server runs."""

from __future__ import annotations

import os

from django.core.wsgi import get_wsgi_application

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "haulbook.station.settings")
application = get_wsgi_application()

if os.environ.get("HAULBOOK_FRESH") == "1":  # set by `haulbook serve`
    from haulbook.station import warming

    warming.begin()
