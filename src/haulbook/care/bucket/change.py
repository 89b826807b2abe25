"""What a part change of water does: to oxygen, salt, heat and ammonia alike."""

from __future__ import annotations

from haulbook.care.ranges import Within, require


def after_change(value: float, new_value: float, share: float) -> float:
    """Return a concentration, salinity or temperature after ``share`` (0 to 1) of the water was changed."""
    require(Within("share of the water", share, 0, 1))
    return value + share * (new_value - value)


def share_to_change(value: float, new_value: float, wanted: float) -> float | None:
    """Return the share of the water to change to bring ``value`` to ``wanted``; None where new water cannot.

    0 where ``value`` is already there. New water that lies short of what is wanted cannot bring it.
    """
    if value == wanted:
        return 0.0
    if value == new_value:
        return None
    share = (wanted - value) / (new_value - value)
    return share if 0.0 <= share <= 1.0 else None
