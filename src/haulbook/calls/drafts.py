"""Lines while a call is still being read: what is known of one lot of animals so far."""

from __future__ import annotations

from dataclasses import dataclass, field

from haulbook.calls.answer import Length, Line


@dataclass(slots=True, eq=False)
class Draft:
    """One lot of animals, equal only to itself.

    ``runs``: where it was spoken of; ``own``: what was said of it alone; ``opens``: its name opens the call; ``part``
    and ``split``: it was taken out of a lot, or a part was taken out of it; ``series``: where the lengths begin that it
    has one of.
    """

    taxon: str | None = None
    said: str = ""
    count: int | None = None
    vague: bool = False
    zero: bool = False
    stage: str | None = None
    fate: str | None = None
    place: str | None = None
    length_mm: Length | None = None
    doubts: list[str] = field(default_factory=list)
    runs: set[int] = field(default_factory=set)
    sure: bool = True
    choices: tuple[str, ...] = ()
    opens: bool = False
    plural: bool = False
    part: bool = False
    split: bool = False
    series: int | None = None
    own: set[str] = field(default_factory=set)

    @property
    def counted(self) -> bool:
        """Whether a number, "a few" or "none" was said."""
        return self.count is not None or self.vague or self.zero

    def line(self) -> Line:
        """Return the finished line."""
        doubt = "name" if "name" in self.doubts else "count" if self.doubts else None
        return Line(
            0 if self.zero else self.count,
            self.taxon if self.sure else None,
            self.stage,
            self.fate,
            self.place,
            self.length_mm,
            doubt,
            self.zero,
        )

    def give(self, kind: str, value: object, run: int) -> bool:
        """Say one more thing of the animals; False where something else was said already."""
        was = getattr(self, kind)
        if was is not None and was != value:
            return False
        setattr(self, kind, value)
        self.runs.add(run)
        self.own.add(kind)
        return True
