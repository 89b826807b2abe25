"""How a haul went, and two things that follow apart: does it count for density, does it count for the permit.

Published practice keeps gear conditions 1 and 2 for analysis and drops 3, 4 and 9 (public processing code of
the San Francisco Estuary juvenile-fish series). Code 5 and the wording are this project's own. A haul that is
void for density still handled animals, so it counts in full for the permit.
"""

from __future__ import annotations

from dataclasses import dataclass

from haulbook.problems import Refusal


@dataclass(frozen=True, slots=True)
class Condition:
    """One condition code.

    Attributes
    ----------
    code : int
    words : str
        One or two words for tables.
    meaning : str
        What the crew saw.
    for_density : bool
        The haul enters catch per area.
    flagged : bool
        It enters, and every estimate that uses it says so.
    for_permit : bool
        Its animals count for the permit: always.
    """

    code: int
    words: str
    meaning: str
    for_density: bool
    flagged: bool
    for_permit: bool = True


CONDITIONS: dict[int, Condition] = {
    condition.code: condition
    for condition in (
        Condition(
            1,
            "good",
            "leadline on the bottom all the way, corkline up, path and width held",
            for_density=True,
            flagged=False,
        ),
        Condition(
            2,
            "minor fault",
            "brief lift, a snag on less than a tenth of the path, or part of the width lost",
            for_density=True,
            flagged=True,
        ),
        Condition(
            3,
            "poor",
            "leadline lifted or rolled, net overtopped, stopped by algae, or a stop of more than 30 s",
            for_density=False,
            flagged=False,
        ),
        Condition(4, "failed", "torn, blown, aborted, or the catch lost", for_density=False, flagged=False),
        Condition(
            5,
            "no measure",
            "a demonstration or collecting haul of unknown area",
            for_density=False,
            flagged=False,
        ),
        Condition(9, "not known", "nobody said how the haul went", for_density=False, flagged=False),
    )
}
"""Every condition by its code."""


def condition(code: int | None) -> Condition:
    """Return the condition of a code; where nobody said (None), that of 9.

    Raises
    ------
    Refusal
        The code is none of 1 2 3 4 5 9.
    """
    if code is None:
        return CONDITIONS[9]
    if code not in CONDITIONS:
        listed = ", ".join(f"{known.code} {known.words}" for known in CONDITIONS.values())
        raise Refusal(f"there is no condition {code}; known are {listed}")
    return CONDITIONS[code]
