"""What goes to the beach and comes back: the outing kit, and what a phone reckons from it.

shape   the parts of a kit
kit     one kit: written, read back, how old it is, merged with another
picture a photo of an animal, as it comes in
left    what is left of each clause after the entries that a device knows
"""

from haulbook.shore.kit import Kit, age_words, kit_book, kit_bytes, merge_kits, read_kit, seal
from haulbook.shore.left import Standing, standings

__all__ = [
    "Kit",
    "Standing",
    "age_words",
    "kit_book",
    "kit_bytes",
    "merge_kits",
    "read_kit",
    "seal",
    "standings",
]
