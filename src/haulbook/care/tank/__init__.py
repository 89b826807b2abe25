"""The first month in a tank: feeding, quarantine, checks, room, and what is written down.

ration      grams a day by mass and temperature; nauplii and cysts
live_food   what eats only what moves, and what to have ready tomorrow
diary       the bodies of care entries, and reading them back; a death is a move, a dose is never ours
quarantine  the all-in all-out clock
checks      the looks at 24, 48 and 72 hours, and days of refused food
stocking    how many a tank bears, by oxygen and by ammonia
"""
