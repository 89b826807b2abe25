"""Transcribe: paper sheets typed in twice, their differences settled, and only then entered into the book.

typings     what is stored while somebody types: who may go on with which typing
words       how the places of a sheet are called on the page
grid        between the places of a form and a typed sheet
lists       outings with sheets, an outing's sheets, a new day, the sheets to print
typing      the grid itself
settle      differences, names, sums; entering
"""

from __future__ import annotations

from haulbook.station.pages.transcribe import lists, settle, typing
from haulbook.station.people.roles import SIGNED_IN, TALLY
from haulbook.station.web.route import route

ROUTES = [
    route("transcribe/", lists.transcribe, "transcribe", get=SIGNED_IN, post=TALLY),
    route("transcribe/tally-sheets.pdf", lists.printed, "tally-sheets", get=SIGNED_IN),
    route("transcribe/<str:outing>/", lists.outing_sheets, "transcribe-outing", get=SIGNED_IN),
    route("transcribe/<str:outing>/tally-sheet.pdf", lists.printed, "tally-sheet", get=SIGNED_IN),
    route("transcribe/<str:outing>/<int:haul>/begin/", typing.begin, "begin-typing", post=TALLY),
    route("transcribe/<str:outing>/<int:haul>/take-over/", typing.take_over, "take-over-typing", post=TALLY),
    route("transcribe/<str:outing>/<int:haul>/settle/", settle.settle, "settle-sheet", get=TALLY, post=TALLY),
    route("transcribe/<str:outing>/<int:haul>/<int:number>/", typing.grid, "typing", get=TALLY, post=TALLY),
]
