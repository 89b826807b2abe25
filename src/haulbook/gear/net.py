"""A net: what it measures dry, and how wide it fishes where nobody measured that."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from haulbook.problems import Problem, Refusal


@dataclass(frozen=True, slots=True)
class Net:
    """One seine of the station.

    Attributes
    ----------
    key : str
        As in the station file, ``n1``.
    length_m, height_m : float
        Corkline from wing end to wing end; corkline to leadline. Metres, above 0.
    mesh_mm : float
        Mesh, as ``mesh_as`` says.
    mesh_as : {"stretch", "bar"}
        Stretched mesh is knot to opposite knot; bar is knot to next knot, half of it.
    width_ratio : float or None
        Width between the wing ends over net length, used only where a haul's width was not measured, and
        flagged as assumed. Above 0, at most 1; 0.5 to 0.8 is a sensible start (proposal of this project, no
        source).
    """

    key: str
    length_m: float
    height_m: float
    mesh_mm: float
    mesh_as: Literal["stretch", "bar"]
    width_ratio: float | None = None

    def __post_init__(self) -> None:
        where = f"net {self.key}"
        problems = [
            Problem("refused", f"{where}: {name} is {value:g}; a net has more than 0", column=name)
            for name, value in (
                ("length_m", self.length_m),
                ("height_m", self.height_m),
                ("mesh_mm", self.mesh_mm),
            )
            if not value > 0
        ]
        if self.mesh_as not in ("stretch", "bar"):
            problems.append(
                Problem(
                    "refused",
                    f"{where}: mesh_as is {self.mesh_as!r}; say stretch (knot to opposite knot) "
                    "or bar (knot to next knot)",
                    column="mesh_as",
                )
            )
        if self.width_ratio is not None and not 0 < self.width_ratio <= 1:
            problems.append(
                Problem(
                    "refused",
                    f"{where}: width_ratio is {self.width_ratio:g}; "
                    "width over length lies above 0 and is at most 1",
                    column="width_ratio",
                )
            )
        if problems:
            raise Refusal(problems)
