"""The account page: one HTML file that stands alone, from plain values.

No script, no address outside the file: it opens from a stick, prints on A4 and Letter, follows light and
dark.
"""

from __future__ import annotations

from functools import cache

from jinja2 import Environment

from haulbook.estimate import UNDERCOUNT, figure, in_figures
from haulbook.publish import account_view, marks, words
from haulbook.publish.account_parts import AccountPage
from haulbook.publish.pages import environment

CAUTIONS: tuple[str, ...] = (
    "The permit, the agency and local rules decide; this page counts and quotes.",
    "An animal that has been in captivity is not released unless the permit says so.",
    "Doses and treatments belong to a veterinarian.",
    "A tide table is not an observation: wind, pressure and surge move the water.",
    "Cold water, waves, soft mud and lightning stop an outing whatever the tide says.",
    "Spines, pincers and stings; cuts get infected in sea water.",
)
"""What belongs under every account."""


def render_account(page: AccountPage) -> str:
    """Return the account page as one HTML document.

    Parameters
    ----------
    page : AccountPage

    Returns
    -------
    str
        UTF-8 text to be written as it is. The same page gives the same text.
    """
    template = _environment().get_template("account.html.j2")
    return template.render(
        page=page,
        sentence=account_view.sentence(page),
        verdicts=account_view.verdicts(page),
        totals=account_view.totals(page),
        balance=account_view.balance(page),
        hauls=account_view.hauls(page),
        estimates=account_view.estimates(page),
        cautions=CAUTIONS,
        undercount=UNDERCOUNT,
        made=f"{words.day(page.made_at.date())}, {page.made_at:%H:%M}",
    )


@cache
def _environment() -> Environment:
    return environment(
        count=words.grouped,
        several=words.several,
        gates=marks.gates,
        headroom=marks.headroom,
        in_figures=in_figures,
        plain=figure,
    )
