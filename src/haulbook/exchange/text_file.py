"""A text file with delimiters becomes rows of cells: its encoding and delimiter found from the whole file."""

from __future__ import annotations

import codecs
import csv
import hashlib
import io
import re
from collections import Counter
from collections.abc import Iterator
from itertools import islice
from pathlib import Path

from haulbook.exchange.records import Records
from haulbook.problems import Problem, Refusal

DELIMITERS = {",": "comma", ";": "semicolon", "\t": "tab", "|": "bar"}
_BOMS = ((codecs.BOM_UTF8, "utf-8-sig"), (codecs.BOM_UTF16_LE, "utf-16"), (codecs.BOM_UTF16_BE, "utf-16"))
_MOST_IN_A_CELL = 1_000_000
_LOOKED_AT = 200  # records that decide on the delimiter


def text_records(path: Path, encoding: str | None = None, delimiter: str | None = None) -> Records:
    """Read ``path`` as delimited text; what was not declared is found.

    Raises
    ------
    Refusal
        For an empty file, a file that is no text, or one that isn't in the declared or any one encoding.
    """
    data = path.read_bytes()
    if not data.strip(b"\x00\t\n\r ,;|\xef\xbb\xbf\xfe\xff"):
        raise Refusal(Problem("refused", "is empty", file=path.name))
    encoding, problems = _encoding_of(data, encoding, path.name)
    delimiter = delimiter or _delimiter_of(data, encoding)
    return Records(
        file=path.name,
        sheet=None,
        records=_records(data, encoding, delimiter, path.name),
        digest=hashlib.sha256(data).hexdigest(),
        encoding=encoding,
        delimiter=delimiter,
        problems=problems,
    )


def _records(data: bytes, encoding: str, delimiter: str, file: str) -> Iterator[list[str]]:
    csv.field_size_limit(_MOST_IN_A_CELL)
    lines = io.TextIOWrapper(io.BytesIO(data), encoding, newline="")
    reader = csv.reader(
        lines, delimiter=delimiter, strict=True
    )  # else an open quote swallows all that follows
    begun = 1
    try:
        for record in reader:
            yield record
            begun = reader.line_num + 1
    except csv.Error as error:
        message = (
            f"can't be read from line {begun} on ({error}): perhaps a quote is never closed, "
            "or stands alone within quotes, where it has to be doubled"
        )
        raise Refusal(Problem("refused", message, file=file, row=begun)) from None


def _encoding_of(data: bytes, declared: str | None, file: str) -> tuple[str, tuple[Problem, ...]]:
    if declared:
        _refuse_undecodable(data, declared, file)
        return declared, ()
    for bom, encoding in _BOMS:
        if data.startswith(bom):
            _refuse_undecodable(data, encoding, file)
            return encoding, ()
    if b"\x00" in data:
        raise Refusal(
            Problem("refused", "is no text (it holds zero bytes); save it as CSV or XLSX", file=file)
        )
    try:
        data.decode("utf-8")
    except UnicodeDecodeError:
        return _not_utf8(data, file)
    return "utf-8", ()


def _refuse_undecodable(data: bytes, encoding: str, file: str) -> None:
    try:
        data.decode(encoding)
    except LookupError:
        raise Refusal(Problem("refused", f"there is no encoding {encoding!r}", file=file)) from None
    except UnicodeDecodeError as error:
        line = data.count(b"\n", 0, error.start) + 1
        message = f"line {line} is not in {encoding}; name the encoding it was saved in, or save it as UTF-8"
        raise Refusal(Problem("refused", message, file=file, row=line)) from None


def _not_utf8(data: bytes, file: str) -> tuple[str, tuple[Problem, ...]]:
    """Tell text in an older encoding from a file that mixes two, and from no text at all."""
    if len(re.findall(rb"[\x01-\x08\x0e-\x1f\x7f]", data)) > len(data) // 1000:
        raise Refusal(Problem("refused", "is no text; save it as CSV or XLSX", file=file))
    as_utf8, as_other = _lines_by_encoding(data)
    if as_utf8 and as_other:
        message = (
            f"mixes encodings: line {as_utf8[0]} is UTF-8, line {as_other[0]} is not; "
            "mend those lines, or declare one encoding in the map and check the names that come out"
        )
        raise Refusal(Problem("refused", message, file=file))
    encoding = _likely_encoding(data)
    odd = dict.fromkeys(char for char in data.decode(encoding) if char.isprintable() and not char.isascii())
    shown = f"; its letters beyond ASCII are then {' '.join(list(odd)[:20])}" if odd else ""
    message = f"is not UTF-8 and was read as {encoding}{shown}. If that is wrong, say encoding in the map"
    return encoding, (Problem("note", message, file=file, row=as_other[0]),)


def _lines_by_encoding(data: bytes) -> tuple[list[int], list[int]]:
    """Return the lines that hold more than ASCII and are UTF-8, and those that are not."""
    as_utf8, as_other = [], []
    for number, line in enumerate(data.splitlines(), start=1):
        if not line.isascii():
            try:
                line.decode("utf-8")
                as_utf8.append(number)
            except UnicodeDecodeError:
                as_other.append(number)
    return as_utf8, as_other


def _likely_encoding(data: bytes) -> str:
    """Return Windows-1252 where every byte has a meaning in it, else the likeliest of the others."""
    try:
        data.decode("windows-1252")
    except UnicodeDecodeError:
        from charset_normalizer import from_bytes

        best = from_bytes(data).best()
        return best.encoding if best else "latin-1"
    return "windows-1252"


def _delimiter_of(data: bytes, encoding: str) -> str:
    """Return the delimiter that splits the first records most evenly; a comma where none splits them."""
    head = data[:500_000].decode(encoding, errors="ignore")
    csv.field_size_limit(_MOST_IN_A_CELL)

    def fit(delimiter: str) -> tuple[int, int]:
        try:
            rows = [
                r
                for r in islice(csv.reader(io.StringIO(head, newline=""), delimiter=delimiter), _LOOKED_AT)
                if r
            ]
        except csv.Error:
            return 0, 0
        width, times = Counter(map(len, rows)).most_common(1)[0] if rows else (1, 0)
        return (times, width) if width > 1 else (0, 1)

    return max(DELIMITERS, key=fit)
