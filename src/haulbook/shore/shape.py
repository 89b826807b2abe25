"""The parts of a kit, as they stand in its JSON. ``docs/reference/kit.md`` explains every key.

A key with a default is left out of the JSON where it has nothing to say.
"""

from __future__ import annotations

from typing import Literal

from pydantic import BaseModel, ConfigDict, Field


class Part(BaseModel):
    """What all parts share: nothing unknown is taken in, nothing is changed afterwards."""

    model_config = ConfigDict(extra="forbid", frozen=True, strict=True)


class PackName(Part):
    """The taxon pack that every key is of."""

    key: str
    version: str


class PermitName(Part):
    """A permit the outing goes under; ``version`` lists the clause versions of the day (``1:1 2a:3``).

    ``zone``: of its clocks and days (IANA).
    """

    permit: str
    version: str
    in_force: bool
    zone: str
    charge_to: str | None = None


class Person(Part):
    """One of the crew: a key and a role, never a name."""

    key: str
    role: str


class Place(Part):
    """A bucket or cooler; ``litres`` of water, ``air_per_h`` exchange of oxygen with the air per hour."""

    place: str
    purpose: str
    litres: float
    air_per_h: float | None = None


class Demand(Part):
    """Resting oxygen demand of one animal, mg/h, at the kit's temperature; never 0."""

    mid: float
    low: float
    high: float


class Taxon(Part):
    """One name of the pack."""

    key: str
    parent: str | None = None
    names: tuple[str, ...]
    stages: tuple[str, ...] = ()
    group: str
    drawing: str | None = None
    company: str
    uptake: str
    mg_h: Demand
    caution: str | None = None
    notice: dict[str, str] = Field(default_factory=dict)
    seen: int = 0


class Names(Part):
    """What one taxon is called; ``group``: no species, several animals go by these names."""

    taxon: str
    group: bool = False
    spoken: tuple[str, ...] = ()
    written: tuple[str, ...] = ()
    short: tuple[str, ...] = ()


class Words(Part):
    """The names of a call, in the order of the pack, and those that only other packs have."""

    names: tuple[Names, ...]
    strangers: tuple[str, ...]


class Past(Part):
    """Past hauls at this site in this season: ``Taxon.seen`` is out of ``hauls``."""

    hauls: int


class Sizes(Part):
    """A size class: ``min_mm`` <= length < ``max_mm``, measured as ``type``."""

    min_mm: float | None = None
    max_mm: float | None = None
    type: str | None = None


class Only(Part):
    """What a clause asks of an animal beside its name. What nobody noted makes it *possible*."""

    stage: tuple[str, ...] = ()
    words: tuple[str, ...] = ()
    size: Sizes | None = None
    origin: tuple[str, ...] = ()
    sex: tuple[str, ...] = ()
    area: tuple[str, ...] = ()
    gear: tuple[str, ...] = ()
    purpose: str | None = None


class Consequence(Part):
    """What follows: who is told within what time, and what stops."""

    stop: str
    notify: str | None = None
    within_h: float | None = None
    written_within_d: int | None = None
    clock_from: str = "landed_at"


CountingKind = Literal["limit", "prohibit", "percent"]


class Clause(Part):
    """One counting clause with its taxa written out, and what had been counted in its period."""

    permit: str
    id: str
    version: int
    kind: CountingKind
    basis: str
    period: str
    unit: str
    members: tuple[str, ...]
    possible: tuple[str, ...]
    unnamed: Literal["certain", "possible"]
    only: Only = Only()
    limit: int | None
    left: int | None
    before: int
    before_possible: int
    percent: str | None = None
    of: str | None = None
    min_n: int = 0
    before_of: int = 0
    before_of_possible: int = 0
    instead_of: tuple[str, ...] = ()
    retained_is_lethal: bool = False
    window_h: float
    on_any: Consequence | None = None
    on_reach: Consequence | None = None
    on_exceed: Consequence | None = None
    text: str
    where: str | None = None


class Condition(Part):
    """A clause that counts nothing, in the permit's own words."""

    permit: str
    id: str
    version: int
    kind: str
    text: str
    where: str | None = None


class Stop(Part):
    """A stop in force when the kit was made, and what it means on the beach."""

    permit: str
    clause: str
    stop: str
    why: str
    words: str


class Turn(Part):
    """A high or a low: instant to the minute, centimetres above mean lower low water."""

    at: str
    cm: int
    kind: Literal["high", "low"]


class Tide(Part):
    """The predicted water at the site: a height every ``step_min`` minutes from ``start``.

    Centimetres above mean lower low water. ``turn`` is the lowest low of the day in daylight.
    """

    station: str
    start: str
    step_min: int
    height_cm: tuple[int, ...]
    extremes: tuple[Turn, ...]
    turn: Turn | None = None
    drawn: bool = False
    bed_cm: int | None = None
    depth_cm: tuple[int, int]
    slack_lag_min: float | None = None


class Sun(Part):
    """The light of the day; absent where the sun does not pass that angle, as ``words`` says."""

    dawn: str | None = None
    sunrise: str | None = None
    sunset: str | None = None
    dusk: str | None = None
    words: str | None = None


class Oxygen(Part):
    """What the bucket's clock needs beside the demands.

    Every ``mg_h`` holds at ``temperature_c``; at another temperature it is multiplied by ``warmth`` of its
    uptake: one factor per whole degree from 0 to 30, straight lines between them.
    """

    temperature_c: float
    salinity: float
    readings: int
    warmth: dict[str, tuple[float, ...]]
    unnamed: Demand
    unnamed_uptake: str
    clock: dict[str, float]
