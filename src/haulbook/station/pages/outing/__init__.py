"""One outing: its page, what stands open, its calls, what is added at the desk, closing, signing, versions."""

from __future__ import annotations

from haulbook.station.pages.outing.account import account
from haulbook.station.pages.outing.add import add, add_one
from haulbook.station.pages.outing.calls import calls
from haulbook.station.pages.outing.entry import entry
from haulbook.station.pages.outing.page import outing
from haulbook.station.pages.outing.settling import settle
from haulbook.station.pages.outing.signing import close, open_outing, reopen, sign
from haulbook.station.pages.outing.versions import differences
from haulbook.station.people.roles import LEAD, SIGNED_IN, TALLY
from haulbook.station.web.route import route

ROUTES = [
    route("outing/<str:outing>/", outing, "outing", get=SIGNED_IN),
    route("outing/<str:outing>/settle/", settle, "settle", get=SIGNED_IN, post=TALLY),
    route("outing/<str:outing>/calls/", calls, "outing-calls", get=SIGNED_IN),
    route("outing/<str:outing>/entry/<str:key>/", entry, "outing-entry", get=SIGNED_IN, post=TALLY),
    route("outing/<str:outing>/add/", add, "outing-add", get=TALLY),
    route("outing/<str:outing>/add/<str:what>/", add_one, "outing-add-one", get=TALLY, post=TALLY),
    route("outing/<str:outing>/open/", open_outing, "open-outing", post=TALLY),
    route("outing/<str:outing>/close/", close, "close-outing", post=TALLY),
    route("outing/<str:outing>/reopen/", reopen, "reopen-outing", post=TALLY),
    route("outing/<str:outing>/sign/", sign, "sign-outing", get=SIGNED_IN, post=LEAD),
    route("outing/<str:outing>/differences/", differences, "outing-differences", get=SIGNED_IN),
    route("outing/<str:outing>/account/", account, "outing-account", get=SIGNED_IN),
]
