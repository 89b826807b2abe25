"""Calls: a spoken or typed line -> counts, fates, places, and questions where it is not certain.

tokens        a call cut into runs of words
sound, slips, shorthand   what it costs to read one word for another
names, wordbook   what the animals of a pack are called, and what people say around the names, as data
lexicon       all that can be said with one pack
spelling      the dictionary's words that a word may be
phrases, segments   the cheapest reading of a run, and what in it is sure
numbers, pieces   whole numbers, lengths, places
commands      "scratch that", "make that five"
remarks       what enters nothing
order         "keep two" as "two kept"
listing       who has which number, fate, place and stage: counting, parts, naming, scope
understand    a call to its answer

The shore page reads calls by the same rules in ``shore/page/calls``; this room is the reference.
"""

from haulbook.calls.answer import Answer, Ask, Line
from haulbook.calls.understand import understand

__all__ = ["Answer", "Ask", "Line", "understand"]
