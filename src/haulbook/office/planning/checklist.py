"""What people tick on paper: who does what, what goes along, when to stay ashore and when to get out.

Figures and their sources: ``docs/reference/plan.md``. All of it can be changed by the lead, who decides.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime, timedelta

from haulbook.gear import Net
from haulbook.office.planning.asked import Asked
from haulbook.tide import Window, Work
from haulbook.tide.clock import say_clock

PRACTICE = "common practice, no source"
SECOND_HAND = "read second-hand"
NET_TIMES_DEPTH = 1.5


@dataclass(frozen=True, slots=True)
class Tick:
    """One line to tick.

    Attributes
    ----------
    when : str
        The heading it stands under.
    text : str
    source : str
        Document, or that it is common practice without one.
    """

    when: str
    text: str
    source: str


BEFORE, THERE, OUT = "Before you leave", "On the beach", "Get out of the water when"

_FORECAST = (
    "Forecast read: an advisory for small craft or a gale warning keeps the crew ashore (US Pacific coast: from 21 "
    "knots or seas over 3 m, and from 34 knots; your own forecast office has its own figures)"
)
_BEFORE = (
    (_FORECAST, "US National Weather Service, JetStream table"),
    ("Onshore wind under 15 knots and chop under 0.3 m, or no net is set", PRACTICE),
    ("Somebody ashore has the plan and a time by which the crew checks in", PRACTICE),
    ("Phone signal at the beach is known, and the way to help without it", PRACTICE),
    ("Young people have the number of adults that their organisation asks for", PRACTICE),
    ("Dressed for the water, not the air: at 15 °C or less it counts as cold",
     "American Boating Association; US Army Corps of Engineers"),
)  # fmt: skip
_THERE = (
    ("One person for the buckets, and buckets of clear water filled before the first set",
     "Bamfield beach-seine SOP"),
    ("Arrive on the ebb and follow the water down; everybody knows the way out",
     "University of Liverpool, coastal fieldwork guidance, 2019"),
    ("Wader belt closed, life jacket on from knee depth, nobody in the water alone", PRACTICE),
    ("Two on the net, one on the buckets, one who writes; more with a group", PRACTICE),
    ("Each strip of the bed hauled once in a tide", PRACTICE),
    ("Feet shuffled over sand where rays lie; hands kept from spines, pincers and stings; cuts covered", PRACTICE),
    ("An eye on the sea: sneaker waves on open coast, soft mud on the flat", PRACTICE),
)  # fmt: skip
_OUT = (
    ("Thunder within 30 s of a flash: into a building or a car, back 30 min after the last thunder",
     "30-30 rule of the US National Weather Service"),
    ("Water to mid-thigh where it runs, to the waist where it stands", PRACTICE),
    ("Depth in feet times current in feet a second reaches 10: in 0.9 m of water that is 0.9 m/s",
     f"US Geological Survey rule, {SECOND_HAND}"),
    ("Somebody fell in: cold shock passes in 1 min, hands work for 10, an hour to hypothermia",
     f"1-10-1, attributed to Canadian guidance, {SECOND_HAND}"),
)  # fmt: skip


def checklist(asked: Asked, window: Window | None, work: Work) -> tuple[Tick, ...]:
    """Return the lines to tick for an outing; turn-round times are those of its window."""
    return (
        *(Tick(BEFORE, *line) for line in _BEFORE),
        *(Tick(THERE, *line) for line in (*_THERE, *_of_the_coast(asked))),
        *_turn_round(asked, window, work),
        *(Tick(OUT, *line) for line in _OUT),
    )


def _of_the_coast(asked: Asked) -> tuple[tuple[str, str], ...]:
    if asked.station.pack != "nepacific":
        return ()
    return (("Salmon smolts go back first, before any is handled twice", "Bamfield beach-seine SOP"),)


def _turn_round(asked: Asked, window: Window | None, work: Work) -> Iterator[Tick]:
    if window is None:
        return
    out_by, ends = (say_clock(at, asked.zone) for at in turn_round(window, work))
    yield Tick(
        OUT,
        f"It is {out_by}: net and people out of the water, whatever the net holds; the water leaves the band at "
        f"{ends}. A time, not a depth",
        "University of Liverpool, coastal fieldwork guidance, 2019",
    )


def turn_round(window: Window, work: Work) -> tuple[datetime, datetime]:
    """Return when the crew has to be out of the water, pack-out before the end, and the end of the window."""
    return window.end - timedelta(minutes=work.packout_min), window.end


def gear_lines(asked: Asked) -> tuple[str, ...]:
    """Return what goes along, with what is to be said of it."""
    deepest = asked.site.depth_m[1]
    return (
        *(_net(net, deepest) for net in asked.nets),
        *(f"{one.place}, to {one.purpose}, {one.litres:g} L{_air(one.air_per_h)}" for one in asked.buckets),
        *(f"{one.kind} {one.key}" for one in asked.station.instruments.values()),
        "measuring board, wet hand net, tally sheet and pencil, phone in a pouch",
        "first aid, drinking water, throw line, dry clothes",
    )


def _net(net: Net, deepest_m: float) -> str:
    said = f"net {net.key}, {net.length_m:g} m by {net.height_m:g} m, mesh {net.mesh_mm:g} mm {net.mesh_as}"
    asked = NET_TIMES_DEPTH * deepest_m
    if net.height_m < asked:
        said += (
            f"; for {deepest_m:g} m of water {asked:g} m of height serve best (1.5 times the depth, River "
            "Restoration Centre, PRAGMO A10)"
        )
    return said


def _air(per_h: float | None) -> str:
    return f", air {per_h:g} per hour" if per_h else ", no air"
