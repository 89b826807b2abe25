"""The invented season: an invented station on an invented cove, drawn by a seeded generator.

Nothing here is data. It knows nothing of the rooms that estimate, so that what they find can be compared
with what was drawn.
"""
