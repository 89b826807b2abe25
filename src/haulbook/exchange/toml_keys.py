"""Reading a TOML file by known keys, so that all that is wrong with it is said at once, by dotted key."""

from __future__ import annotations

import tomllib
from collections.abc import Collection, Iterator
from datetime import date, datetime
from pathlib import Path
from typing import Any

from haulbook.problems import Problem, Refusal, unknown

OPEN = "?"
"""Stands in a file where somebody still has to answer."""
ANSWER_IT = 'write the answer in the place of "?"; the comments beside it say what is asked'


def load_toml(path: Path) -> dict[str, Any]:
    """Return the contents of a TOML file; one that is missing or no TOML is refused in words."""
    try:
        text = path.read_text(encoding="utf-8-sig")
    except FileNotFoundError:
        raise Refusal(f"there is no file {path}") from None
    except OSError as error:
        raise Refusal(f"{path} could not be read ({error.strerror})") from None
    except UnicodeDecodeError as error:
        raise Refusal(Problem("refused", f"is no TOML: {error}", file=path.name)) from None
    return parse_toml(text, path.name)


def parse_toml(text: str, name: str) -> dict[str, Any]:
    """Return the contents of a TOML text; one that is none is refused in words under the name of its file."""
    try:
        return tomllib.loads(text.removeprefix("\ufeff"))
    except tomllib.TOMLDecodeError as error:
        raise Refusal(Problem("refused", f"is no TOML: {error}", file=name)) from None
    except (ValueError, RecursionError):  # a number of thousands of digits; lists thousands deep
        message = "is no TOML of ours: it holds a number too long or lists too deep to read"
        raise Refusal(Problem("refused", message, file=name)) from None


class Keys:
    """One table of a TOML file. Reading a key that is wrong notes a problem and returns a stand-in.

    Parameters
    ----------
    found : object
        What stands in the file; anything but a table is a problem.
    where : str
        Dotted key of the table, empty for the whole file.
    file : str
        Name of the file.
    known : collection of str or None
        Keys that may stand here; None where every key is a name of its own.
    problems : list of Problem
        Shared by all tables of the file; ``refuse_problems`` raises them together.
    """

    def __init__(
        self, found: Any, where: str, file: str, known: Collection[str] | None, problems: list[Problem]
    ) -> None:
        self._where, self._file, self.problems = where, file, problems
        self.found: dict[str, Any] = found if isinstance(found, dict) else {}
        if not isinstance(found, dict):
            self.wrong("", "write a table")
        for key in tuple(self.found):
            if known is not None and key not in known:
                self.wrong(key, unknown("key", key, known))
            elif known is None and self.found[key] == OPEN:
                self.wrong(key, f"is still a question; {ANSWER_IT}")
                self.found = {name: value for name, value in self.found.items() if name != key}

    def wrong(self, key: str, message: str) -> None:
        """Note that ``key`` of this table is not as it should be."""
        dotted = ".".join(part for part in (self._where, key) if part)
        self.problems.append(Problem("refused", message, file=self._file, column=dotted or None))

    def text(self, key: str, default: str | None = None) -> str:
        """Return a text that isn't empty; without ``default`` the key is needed."""
        return str(self._read(key, str, "a text", default or "", needed=default is None))

    def maybe_text(self, key: str) -> str | None:
        """Return a text, or None where the key is absent."""
        return self.text(key) if key in self.found else None

    def one_of(self, key: str, words: Collection[str], default: str | None = None) -> str:
        """Return one of the known words; another is refused naming the nearest."""
        said = self.text(key, default)
        if said and said not in words:
            self.wrong(key, unknown("word", said, words))
        return said

    def number(
        self, key: str, default: float | None = None, *, low: float | None = None, high: float | None = None,
        above: float | None = None,
    ) -> float:  # fmt: skip
        """Return a number within its bounds (``low`` and ``high`` included, ``above`` not)."""
        value = float(self._read(key, (int, float), "a number", default or 0.0, needed=default is None))
        if key in self.found:
            if above is not None and not value > above:
                self.wrong(key, f"is {value:g}; it has to be above {above:g}")
            if (low is not None and value < low) or (high is not None and value > high):
                self.wrong(key, f"is {value:g}; it lies between {_end(low)} and {_end(high)}")
        return value

    def maybe_number(self, key: str, *, low: float | None = None, above: float | None = None) -> float | None:
        """Return a number, or None where the key is absent."""
        return self.number(key, low=low, above=above) if key in self.found else None

    def whole(self, key: str, *, low: int = 0) -> int:
        """Return a whole number of at least ``low``."""
        value = int(self._read(key, int, "a whole number", low, needed=True))
        if value < low:
            self.wrong(key, f"is {value}; it is at least {low}")
        return value

    def flag(self, key: str, default: bool = False) -> bool:
        """Return true or false."""
        if key in self.found and not isinstance(self.found[key], bool):
            self.wrong(key, f"is {self.found[key]!r}; write true or false")
            return default
        return bool(self.found.get(key, default))

    def day(self, key: str) -> date | None:
        """Return a date, or None where the key is absent."""
        value = self.found.get(key)
        if key in self.found and (not isinstance(value, date) or isinstance(value, datetime)):
            self.wrong(key, f"is {value!r}; write a date without quotes, as 2027-05-14")
            return None
        return value

    def instant(self, key: str) -> datetime | None:
        """Return a moment with its offset from UTC, or None after noting what is wrong."""
        value = self.found.get(key)
        if not isinstance(value, datetime) or value.tzinfo is None:
            self.wrong(key, "write a moment with its offset, without quotes, as 2027-05-12T09:00:00-04:00")
            return None
        return value

    def texts(self, key: str, *, needed: bool = False) -> tuple[str, ...]:
        """Return a list of texts, each once; absent means none unless ``needed``."""
        value = self._read(key, list, 'a list, as ["p1", "p3"]', [], needed=needed)
        good = [word for word in value if isinstance(word, str) and word]
        if len(good) != len(value):
            self.wrong(key, 'write a list of texts, as ["p1", "p3"]')
        if needed and key in self.found and not value:
            self.wrong(key, "is empty; name at least one")
        for word in sorted({word for word in good if good.count(word) > 1}):
            self.wrong(key, f"names {word!r} twice")
        return tuple(dict.fromkeys(good))

    def pair(self, key: str) -> tuple[float, float] | None:
        """Return two numbers, or None where the key is absent or wrong."""
        value = self.found.get(key)
        if key not in self.found:
            return None
        if not isinstance(value, list) or len(value) != 2 or not all(_is_number(part) for part in value):
            self.wrong(key, "write two numbers, as [41.0, -70.0]")
            return None
        return float(value[0]), float(value[1])

    def table(self, key: str, known: Collection[str] | None) -> Keys | None:
        """Return the table at ``key``, or None where it is absent."""
        if key not in self.found:
            return None
        return Keys(
            self.found[key], ".".join(filter(None, (self._where, key))), self._file, known, self.problems
        )

    def tables(self, key: str, known: Collection[str]) -> Iterator[Keys]:
        """Yield each table of a list of tables, numbered from 1 in its dotted key."""
        value = self.found.get(key, [])
        if not isinstance(value, list):
            self.wrong(key, f"write a list of tables, each under [[{key}]]")
            return
        for i, found in enumerate(value, start=1):
            yield Keys(
                found, ".".join(filter(None, (self._where, key, str(i)))), self._file, known, self.problems
            )

    def _read(self, key: str, kind: Any, words: str, stand_in: Any, *, needed: bool) -> Any:
        if key not in self.found:
            if needed:
                self.wrong(key, f"is needed: write {words}")
            return stand_in
        value = self.found[key]
        if value == OPEN or (isinstance(value, list) and OPEN in value):
            self.wrong(key, f"is still a question; {ANSWER_IT}")
            return stand_in
        if not isinstance(value, kind) or isinstance(value, bool) or value == "":
            self.wrong(key, f"is {value!r}; write {words}")
            return stand_in
        return value


def each_once(keys: list[tuple[Keys, str]], what: str) -> None:
    """Note every key that an earlier table of the same list already has."""
    seen: set[str] = set()
    for table, key in keys:
        if key and key in seen:
            table.wrong("key", f"there already is a {what} {key!r}; keys stand once")
        seen.add(key)


def refuse_problems(problems: list[Problem]) -> None:
    """Raise all that was noted, if anything was."""
    if problems:
        raise Refusal(problems)


def _is_number(value: Any) -> bool:
    return isinstance(value, (int, float)) and not isinstance(value, bool)


def _end(bound: float | None) -> str:
    return "any" if bound is None else f"{bound:g}"
