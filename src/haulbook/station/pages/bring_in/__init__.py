"""Bring in: sheets in files, understood by a map, asked about, looked at, and only then entered into the book.

handed      files as they were handed in, and their map, answers and choices so far
looking     what they would bring, read once and remembered
hand_in     the list of what was handed in, and handing in more
columns     what each column is
questions   what somebody has to say
check       the balance that would follow, what the book has already, and bringing in
entering    writing the lines, in parts where there are many
"""

from __future__ import annotations

from haulbook.station.pages.bring_in import check, columns, hand_in, questions
from haulbook.station.people.roles import SIGNED_IN, TALLY
from haulbook.station.web.route import route

ROUTES = [
    route("bring-in/", hand_in.bring_in, "bring-in", get=SIGNED_IN, post=TALLY),
    route("bring-in/<int:pk>/columns/", columns.columns, "bring-in-columns", get=TALLY, post=TALLY),
    route("bring-in/<int:pk>/questions/", questions.questions, "bring-in-questions", get=TALLY, post=TALLY),
    route("bring-in/<int:pk>/", check.check, "bring-in-check", get=TALLY, post=TALLY),
]
