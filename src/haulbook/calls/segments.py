"""The cheapest reading of a run: which stretches of it are which phrases, and which of them are sure.

A shortest path through all phrases that the words may spell (Viterbi 1967). A stretch is sure when every reading
that means something else there costs clearly more.
"""

from __future__ import annotations

from dataclasses import replace

from haulbook.calls.lexicon import Lexicon
from haulbook.calls.phrases import Mark, phrases
from haulbook.calls.tokens import Run

PER_SEGMENT = 0.1
AFTER_A_NAME = 0.8
"""Two names side by side, with neither number nor "and" between them, are seldom called."""
MARGIN = 0.7
"""How much more any other meaning must cost for one to be sure."""
_NAMES = ("name", "stranger")
_LEFT_OVER = ("digits", "ordinary", "unknown")

Edges = dict[int, list[Mark]]
Node = tuple[int, bool]


def read_run(run: Run, lexicon: Lexicon, *, shorthand: bool) -> tuple[Mark, ...]:
    """Return the marks of a run, in order and without gaps."""
    edges, length = phrases(run, lexicon, shorthand=shorthand), sum(map(len, run.words))
    cost, path = _cheapest(edges, length)
    return tuple(mark if mark.kind in _LEFT_OVER else _judged(mark, edges, length, cost) for mark in path)


def _judged(mark: Mark, edges: Edges, length: int, cost: float) -> Mark:
    """Say whether a mark is sure; a name that is not carries the taxa that rival it."""
    other, path = _cheapest(edges, length, mark)
    if other - cost >= MARGIN:
        return mark
    rivals = [one for one in path if one.kind == "name" and one.start < mark.end and mark.start < one.end]
    if mark.kind == "name":
        ambiguous = any((one.start, one.end) == (mark.start, mark.end) for one in rivals)
    else:
        # "snake prickle back": a fate, or its name
        ambiguous = mark.kind in ("fate", "stage") and any(one.stage != mark.value for one in rivals)
    if mark.cost == 0 and not ambiguous:  # said as listed
        return mark
    return replace(mark, sure=False, rivals=tuple(dict.fromkeys(one.value for one in rivals)))


def _cheapest(edges: Edges, length: int, banned: Mark | None = None) -> tuple[float, tuple[Mark, ...]]:
    """Return the cheapest path without what is banned, and its cost; a name right behind a name costs extra."""
    best: dict[Node, tuple[float, Node, Mark | None]] = {(0, False): (0.0, (0, False), None)}
    for at in range(length):
        for named in (False, True):
            node = at, named
            if node not in best:
                continue
            for mark in edges.get(at, ()):
                name = mark.kind in _NAMES
                cost = best[node][0] + mark.cost + PER_SEGMENT + (AFTER_A_NAME if named and name else 0.0)
                if cost < best.get((mark.end, name), (float("inf"),))[0] and not _means(mark, banned):
                    best[mark.end, name] = cost, node, mark
    ends = [(best[end][0], end) for end in ((length, False), (length, True)) if end in best]
    if not ends:
        return float("inf"), ()
    cost, node = min(ends)
    path: list[Mark] = []
    while (last := best[node][2]) is not None:
        path.append(last)
        node = best[node][1]
    return cost, tuple(reversed(path))


def _means(mark: Mark, banned: Mark | None) -> bool:
    """Say whether a mark means the banned thing, there or thereabouts."""
    if banned is None or (mark.kind, mark.value) != (banned.kind, banned.value):
        return False
    return mark.start < banned.end and banned.start < mark.end
