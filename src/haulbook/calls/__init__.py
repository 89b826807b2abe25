"""Calls: a spoken or typed line -> counts, fates, places, and questions where it is not certain.

tokens        a call cut into runs of words
sound, slips, shorthand   what it costs to read one word for another
lexicon       all that can be said with one pack
spelling      the dictionary's words that a word may be
segments      the cheapest reading of a run, and what in it is sure
pieces        whole numbers, lengths, places
commands      "scratch that", "make that five"
remarks       what enters nothing
listing       who has which number, fate, place and stage
understand    a call to its answer
"""

from haulbook.calls.answer import Answer, Ask, Line
from haulbook.calls.understand import understand

__all__ = ["Answer", "Ask", "Line", "understand"]
