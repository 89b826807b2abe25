"""``haulbook tide``: heights, highs and lows, windows, and the stations to ask for."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import datetime, timedelta
from typing import TYPE_CHECKING, Annotated

import typer

from haulbook.cli.common import print_json, print_problems
from haulbook.cli.tide_station import tide_station
from haulbook.problems import Problem, Refusal

if TYPE_CHECKING:
    from zoneinfo import ZoneInfo

    from haulbook.tide import Band, Ranked, SiteOffset, Station, Terms

StationWord = Annotated[
    str, typer.Argument(metavar="STATION", help="Number, name, or a CSV file with constants of your own.")
]
From = Annotated[
    str, typer.Option("--from", metavar="T", help="Begin: 2027-05-14T06:30 local, or with offset, or a date.")
]
To = Annotated[str, typer.Option("--to", metavar="T", help="End; a date alone means the end of that day.")]
FromDay = Annotated[str, typer.Option("--from", metavar="D", help="First day, as 2027-05-14.")]
ToDay = Annotated[str, typer.Option("--to", metavar="D", help="Last day, included.")]
AsJson = Annotated[
    bool, typer.Option("--json", help="Print JSON: times in UTC, metres above mean lower low water.")
]
Later = Annotated[
    tuple[float, float],
    typer.Option("--later", metavar="HIGH LOW", help="Site offset: minutes later at high and at low."),
]
Ratio = Annotated[float, typer.Option("--ratio", metavar="X", help="Site offset: factor on heights.")]
Add = Annotated[float, typer.Option("--add", metavar="M", help="Site offset: metres added.")]
SeenBy = Annotated[str, typer.Option("--seen-by", metavar="KEY", help="Who observed the site offset.")]
SeenOn = Annotated[str, typer.Option("--seen-on", metavar="D", help="When the site offset was observed.")]


def register(app: typer.Typer) -> None:
    """Add ``haulbook tide`` and its commands."""
    group = typer.Typer(
        no_args_is_help=True,
        help="What the water will do: predictions from published constants, offline; never observations.",
    )
    group.command("heights")(heights)
    group.command("extremes")(highs_and_lows)
    group.command("windows")(windows)
    group.command("stations")(stations)
    app.add_typer(group, name="tide")


def heights(
    station: StationWord,
    begin: From,
    end: To,
    step: Annotated[float, typer.Option("--step", metavar="MIN", help="Minutes between heights.")] = 10.0,
    interpolate: Annotated[
        bool, typer.Option("--interpolate", help="Draw a curve where only highs and lows are predicted.")
    ] = False,
    as_json: AsJson = False,
    later: Later = (0.0, 0.0),
    ratio: Ratio = 1.0,
    add: Add = 0.0,
    seen_by: SeenBy = "",
    seen_on: SeenOn = "",
) -> None:
    """Print predicted heights at equal steps, in metres above mean lower low water.

    \b
    Example:
        haulbook tide heights 8452660 --from 2027-05-14 --to 2027-05-14 --step 30
        haulbook tide heights 8452660 --from 2027-05-14T05:00 --to 2027-05-14T11:00 --step 6 --json
    """  # noqa: D301
    from haulbook.tide import load_catalog, water_at
    from haulbook.tide.clock import instant_of, utc_text, zone_of
    from haulbook.tide.series import series

    place, offset = tide_station(station), _offset(later, ratio, add, seen_by, seen_on)
    zone = zone_of(place.zone)
    start, until = instant_of(begin, zone), instant_of(end, zone, end=True)
    water = water_at(place, load_catalog().stations, offset)
    if water.interpolated and not interpolate:
        raise Refusal(
            f"for {place.title} only highs and lows are predicted: use `haulbook tide extremes`, or add "
            "--interpolate for a curve drawn between them, which is not the agency's"
        )
    values = series(water, start, until, step, zone)
    if as_json:
        print_json([{"time": utc_text(at), "height_m": height} for at, height in values])
    else:
        for at, height in values:
            typer.echo(f"{_when(at, zone)} {_metres(height)}")
    _say_cautions(place, offset, drawn=water.interpolated)


def highs_and_lows(
    station: StationWord,
    begin: From,
    end: To,
    as_json: AsJson = False,
    later: Later = (0.0, 0.0),
    ratio: Ratio = 1.0,
    add: Add = 0.0,
    seen_by: SeenBy = "",
    seen_on: SeenOn = "",
) -> None:
    """Print every high and low with its time and its height in metres above mean lower low water.

    \b
    Example:
        haulbook tide extremes 8452660 --from 2027-05-14 --to 2027-05-20
        haulbook tide extremes 8452660 --from 2027-05-14 --to 2027-05-14 --json
    """  # noqa: D301
    from haulbook.tide import check_years, extremes, load_catalog, water_at
    from haulbook.tide.clock import check_order, instant_of, utc_text, zone_of

    place, offset = tide_station(station), _offset(later, ratio, add, seen_by, seen_on)
    zone = zone_of(place.zone)
    start, until = instant_of(begin, zone), instant_of(end, zone, end=True)
    check_order(start, until, zone)
    check_years(start.astimezone(zone).date(), (until - timedelta(seconds=1)).astimezone(zone).date())
    found = extremes(water_at(place, load_catalog().stations, offset), start, until)
    if as_json:
        print_json(
            [
                {"time": utc_text(one.time), "height_m": round(one.height_m, 3), "kind": one.kind}
                for one in found
            ]
        )
    else:
        for one in found:
            typer.echo(f"{_when(one.time, zone)}  {one.kind:<4} {_metres(one.height_m)}")
    _say_cautions(place, offset)


def windows(
    station: StationWord,
    first: FromDay,
    last: ToDay,
    below: Annotated[
        float | None,
        typer.Option("--below", metavar="M", help="Water at or below this height, metres above MLLW."),
    ] = None,
    bed: Annotated[
        float | None, typer.Option("--bed", metavar="M", help="Elevation of the bed, metres above MLLW.")
    ] = None,
    depth: Annotated[
        tuple[float, float] | None,
        typer.Option(
            "--depth",
            metavar="MIN MAX",
            help="Least and greatest depth over the bed, metres. Default: 0.3 1.",
        ),
    ] = None,
    light: Annotated[
        str,
        typer.Option("--daylight", metavar="LAT,LON", help="Only between sunrise and sunset at the site."),
    ] = "",
    twilight: Annotated[bool, typer.Option("--twilight", help="Count civil twilight as daylight.")] = False,
    hours: Annotated[
        str, typer.Option("--hours", metavar="FROM-TO", help="Only in these local hours, as 07:00-16:00.")
    ] = "",
    closed: Annotated[
        list[str] | None,
        typer.Option("--closed", metavar="D[:D]", help="A day, or first and last, not to use."),
    ] = None,
    least: Annotated[
        float, typer.Option("--min-minutes", metavar="N", help="Drop windows shorter than this.")
    ] = 0.0,
    hauls: Annotated[int, typer.Option("--hauls", metavar="N", help="Hauls wanted in one window.")] = 3,
    takes: Annotated[
        tuple[float, float, float],
        typer.Option("--takes", metavar="SETUP HAUL PACK", help="Minutes to set up, per haul, to pack out."),
    ] = (30.0, 30.0, 20.0),
    lag: Annotated[
        float | None,
        typer.Option("--slack-lag", metavar="MIN", help="Slack current seen this long after low."),
    ] = None,
    rule: Annotated[
        str, typer.Option("--rank-by", metavar="A,B,C,D", help="Which score decides first, second and so on.")
    ] = "hauls,falling,spare,hour",
    as_json: AsJson = False,
    later: Later = (0.0, 0.0),
    ratio: Ratio = 1.0,
    add: Add = 0.0,
    seen_by: SeenBy = "",
    seen_on: SeenOn = "",
) -> None:
    """Print the windows in which a bed can be worked, best first, each with the reason for its place.

    Say the band of water: --below M, or --bed M with --depth MIN MAX. A window counts to the local day of its
    low. Ebb and flood are apart where the low itself lies outside the band.

    \b
    Example:
        haulbook tide windows 8452660 --from 2027-05-01 --to 2027-05-31 --bed -0.3 --daylight 41.46,-71.31
        haulbook tide windows 8452660 --from 2027-05-01 --to 2027-05-31 --below 0 --min-minutes 80 --json
    """  # noqa: D301
    from haulbook.tide import Terms, Work, find_windows, load_catalog, rank, water_at
    from haulbook.tide.clock import date_of, dates_of, hours_of, position_of, zone_of
    from haulbook.tide.terms import rule_of

    place, offset = tide_station(station), _offset(later, ratio, add, seen_by, seen_on)
    site = position_of(light) if light else None
    terms = Terms(
        date_of(first),
        date_of(last),
        zone_of(place.zone),
        light_at=site or (place.latitude, place.longitude),
        in_daylight=bool(light),
        light="civil" if twilight else "sun",
        hours=hours_of(hours) if hours else None,
        closed=tuple(dates_of(text) for text in closed or ()),
        least_minutes=least,
        slack_lag_min=lag,
        work=Work(*takes, hauls),
        rule=rule_of(rule),
    )
    band = _band(below, bed, depth)
    water = water_at(place, load_catalog().stations, offset)
    found = rank(find_windows(water, band, terms), terms)
    if as_json:
        print_json([_window_json(one) for one in found])
    else:
        for one in found:
            _print_window(one, terms)
    if found:
        print_problems([Problem("note", f"Hauls that fit: {terms.work}.")])
    else:
        print_problems(
            [Problem("note", f"no window from {first} to {last} has water {band} under these terms")]
        )
    _say_cautions(place, offset, site=site, drawn=water.interpolated, rates=True)


def stations(
    near: Annotated[
        str, typer.Option("--near", metavar="LAT,LON", help="List by distance from here, degrees N and E.")
    ],
    most: Annotated[int, typer.Option("--most", min=1, metavar="N", help="How many to list.")] = 10,
    as_json: Annotated[bool, typer.Option("--json", help="Print JSON.")] = False,
) -> None:
    """List the packaged tide stations nearest to a position, with what each can tell.

    A reference station has constants of its own; a subordinate one has highs and lows only, by differences
    against its reference.

    \b
    Example:
        haulbook tide stations --near 41.46,-71.31
        haulbook tide stations --near 41.46,-71.31 --most 3 --json
    """  # noqa: D301
    from haulbook.tide import load_catalog
    from haulbook.tide.clock import position_of

    found = load_catalog().near(*position_of(near), most=most)
    if as_json:
        print_json(
            [
                {
                    "station": one.id,
                    "name": one.name,
                    "latitude": one.latitude,
                    "longitude": one.longitude,
                    "zone": one.zone,
                    "reference": one.reference,
                    "distance_km": round(away, 1),
                }
                for one, away in found
            ]
        )
    else:
        for one, away in found:
            kind = f"highs and lows by {one.reference}" if one.reference else "constants of its own"
            typer.echo(f"{away:7.1f} km  {one.title}: {kind}")


def _offset(later: tuple[float, float], ratio: float, add: float, seen_by: str, seen_on: str) -> SiteOffset:
    from haulbook.tide import SiteOffset
    from haulbook.tide.clock import date_of

    return SiteOffset(*later, ratio, add, seen_by, date_of(seen_on) if seen_on else None)


def _band(below_m: float | None, bed_m: float | None, depth: tuple[float, float] | None) -> Band:
    from haulbook.tide import below, over_bed

    if bed_m is not None and below_m is None:
        return over_bed(bed_m, *(depth or ()))
    if below_m is None or bed_m is not None or depth:
        raise Refusal("say the band of water one way: --below M, or --bed M with --depth MIN MAX")
    return below(below_m)


def _window_json(one: Ranked) -> dict[str, str | float | int]:
    from haulbook.tide.clock import utc_text

    window = one.window
    return {
        "start": utc_text(window.start),
        "end": utc_text(window.end),
        "leg": window.leg,
        "low_time": utc_text(window.low.time),
        "low_m": round(window.low.height_m, 3),
        "daylight_minutes": round(window.daylight_minutes, 1),
        "rank": one.rank,
        "why": one.why,
    }


def _print_window(one: Ranked, terms: Terms) -> None:
    from haulbook.tide.clock import say_clock, say_day, to_minute

    window, zone = one.window, terms.zone
    day = to_minute(window.start, zone)
    hours = f"{say_clock(window.start, zone)} to {say_clock(window.end, zone)}"
    over = " the next day" if to_minute(window.end, zone).date() > day.date() else ""
    leg = "ebb and flood" if window.leg == "both" else window.leg
    typer.echo(f"{one.rank:3}  {day:%a} {say_day(day.date())}, {hours}{over}, {leg}")
    typer.echo(f"     {one.why}")


def _metres(height: float) -> str:
    return f"{round(height, 2) + 0.0:7.2f} m"


def _when(at: datetime, zone: ZoneInfo) -> str:
    from haulbook.tide.clock import to_minute

    return f"{to_minute(at, zone):%Y-%m-%d %H:%M %Z}"


def _say_cautions(
    place: Station,
    offset: SiteOffset,
    *,
    site: tuple[float, float] | None = None,
    drawn: bool = False,
    rates: bool = False,
) -> None:
    from haulbook.tide import cautions, load_catalog

    said: Iterable[str] = cautions(
        place, load_catalog().stations, offset=offset, site=site, drawn=drawn, rates=rates
    )
    print_problems(Problem("note", sentence) for sentence in said)
