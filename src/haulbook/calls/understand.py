"""From a call to its answer: what is certain is a line, what is not is a question."""

from __future__ import annotations

from haulbook.calls.answer import Answer, Ask, Command
from haulbook.calls.candidates import candidates
from haulbook.calls.commands import amendments, without_undo
from haulbook.calls.lexicon import Lexicon, lexicon
from haulbook.calls.listing import Listing
from haulbook.calls.order import in_order
from haulbook.calls.pieces import Piece, pieces_of
from haulbook.calls.remarks import is_chatter, without_remarks
from haulbook.calls.segments import read_run
from haulbook.calls.tokens import Run, runs
from haulbook.taxa import Pack

MOST_CHOICES = 4


def understand(text: str, pack: Pack) -> Answer:
    """Return what a spoken or typed call means in a pack.

    Parameters
    ----------
    text : str
        One call, as dictated or typed.
    pack : Pack
    """
    words = lexicon(pack)
    said = runs(text)
    shorthand = any(word.isdigit() or word == "nil" for run in said for word in run.words)
    pieces = [
        piece
        for i, run in enumerate(said)
        for piece in pieces_of(read_run(run, words, shorthand=shorthand), i)
    ]
    if not pieces:
        return Answer()
    pieces, commands = without_undo(pieces)
    changes = amendments(pieces)
    if changes is not None:  # "scratch that, make it five" makes it five
        return Answer(commands=tuple(changes))
    if not commands and is_chatter(pieces, words):
        return Answer()
    called = in_order(without_remarks(pieces, said, words))
    listing = Listing(called, tuple(run.stop for run in said), pack)
    listing.read()
    return _answer(listing, said, words, tuple(commands))


def _answer(listing: Listing, said: tuple[Run, ...], words: Lexicon, commands: tuple[Command, ...]) -> Answer:
    asks: list[Ask] = []
    troubled: set[int] = set()
    for draft in listing.drafts:
        if not draft.sure:
            choices = tuple(dict.fromkeys((*draft.choices, *candidates(draft.said, words))))[:MOST_CHOICES]
            asks.append(Ask(draft.said, "name", choices, draft.line()))
            troubled |= draft.runs
    for run, ask in listing.asks:
        if run not in troubled or ask.line:
            text = " ".join(said[run].words)
            choices = candidates(_unread(listing.pieces, run) or text, words) if ask.about == "words" else ()
            asks.append(Ask(ask.said if ask.line else text, ask.about, choices, ask.line))
        troubled.add(run)
    if not listing.drafts and not asks and not commands:
        text = " ".join(word for run in said for word in run.words)
        asks.append(Ask(text, "words", candidates(text, words)))
    named = {run for draft in listing.drafts if draft.counted or draft.sure for run in draft.runs}
    # words that were not understood, and an undo in the middle, may speak of any lot of the call
    held = listing.undone or not troubled <= named
    lines = tuple(
        draft.line()
        for draft in listing.drafts
        if draft.sure and draft.counted and not held and not draft.runs & troubled
    )
    return Answer(lines, tuple(asks), commands)


def _unread(pieces: list[Piece], run: int) -> str:
    """Return the words of a run that may be a name: what is left over, and the names beside it."""
    return " ".join(
        one.said for one in pieces if one.run == run and one.kind in ("loose", "name", "stranger")
    )
