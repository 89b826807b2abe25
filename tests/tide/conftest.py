"""Constants as the agency published them on known days, for checks that belong to that day."""

from __future__ import annotations

from dataclasses import replace

import pytest

from haulbook.tide import Constant, Station, Vintage, load_catalog


def _constants(text: str) -> tuple[Constant, ...]:
    words = text.split()
    pairs = zip(words[::2], words[1::2], strict=True)
    return tuple(Constant(name, float(both.split("/")[0]), float(both.split("/")[1])) for name, both in pairs)


def _station(number: str, zone: str, mean_m: float, taken: str, text: str) -> Station:
    return Station(number, "", 40.0, -123.0, zone, _constants(text), mean_m, Vintage("NOAA CO-OPS", taken))


@pytest.fixture(scope="session")
def catalog():
    return load_catalog()


@pytest.fixture(scope="session")
def humboldt():
    """NOAA CO-OPS 9418767 North Spit, harmonic constituents in metres and degrees GMT, read 2024 and 2026."""
    station = _station(
        "9418767", "America/Los_Angeles", 1.128, "2026-09-24",
        "M2 .700/215.1 S2 .175/236.6 N2 .148/190.5 K1 .401/233.4 M4 .012/200.6 O1 .249/217.2 M6 .006/284.7 "
        "MK3 .006/197.5 MN4 .005/177.4 NU2 .029/194.5 MU2 .010/173.0 2N2 .017/164.2 OO1 .013/265.9 "
        "LAM2 .006/215.8 S1 .012/35.0 M1 .013/252.4 J1 .022/248.3 SSA .038/264.1 SA .065/255.0 MF .014/149.0 "
        "RHO .008/210.3 Q1 .044/211.3 T2 .010/235.8 R2 .002/237.5 2Q1 .005/216.4 P1 .126/231.2 L2 .016/225.2 "
        "K2 .047/228.3 MS4 .006/239.1",
    )  # fmt: skip
    return replace(station, latitude=40.7669, longitude=-124.2173)


@pytest.fixture(scope="session")
def monterey():
    """NOAA CO-OPS 9413450 Monterey, harmonic constituents in metres and degrees GMT, read 2024."""
    return _station(
        "9413450", "America/Los_Angeles", 0.862, "2024",
        "M2 .491/181.3 S2 .130/180.1 N2 .112/155.0 K1 .366/219.6 M4 .001/272.7 O1 .229/203.5 S4 .001/343.5 "
        "MN4 .001/233.4 NU2 .022/160.9 MU2 .013/114.7 2N2 .014/125.4 OO1 .011/246.4 LAM2 .003/213.6 S1 .008/317.1 "
        "M1 .013/224.9 J1 .022/232.3 SSA .020/264.6 SA .062/198.5 MF .011/138.1 RHO .007/197.0 Q1 .041/194.8 "
        "T2 .007/165.3 R2 .001/163.2 2Q1 .005/191.7 P1 .115/215.8 2SM2 .001/348.1 M3 .003/7.0 L2 .011/213.4 "
        "2MK3 .001/126.8 K2 .037/170.6 MS4 .001/264.0",
    )  # fmt: skip


@pytest.fixture(scope="session")
def seattle_2024():
    """NOAA CO-OPS 9447130 Seattle as published in 2024; revised since, so the packaged ones differ."""
    return _station(
        "9447130", "America/Los_Angeles", 2.024, "2024",
        "M2 1.072/10.6 S2 .268/37.0 N2 .216/340.8 K1 .834/277.0 M4 .021/200.2 O1 .461/254.6 M6 .009/313.6 "
        "MK3 .034/78.1 MN4 .009/174.0 NU2 .045/354.9 MU2 .034/236.6 2N2 .024/308.7 OO1 .032/328.9 LAM2 .020/48.4 "
        "S1 .016/44.2 M1 .027/319.8 J1 .040/315.2 SSA .033/231.1 SA .077/292.9 MF .022/140.5 RHO .015/246.6 "
        "Q1 .075/249.9 T2 .016/37.1 R2 .002/38.0 2Q1 .008/251.5 P1 .258/276.6 2SM2 .008/282.6 M3 .005/342.4 "
        "L2 .045/56.1 2MK3 .034/46.7 K2 .079/37.9 MS4 .012/229.9",
    )  # fmt: skip
