"""Collect every text of the station that can be translated, and compile what was translated.

``locale/haulbook.pot`` lists all texts; a language is a copy of it at ``locale/LANGUAGE/LC_MESSAGES/django.po`` with
the translations filled in. This command writes the list anew and a ``.mo`` beside every ``.po``.
"""

from __future__ import annotations

import ast
import re
import struct
from collections.abc import Iterable, Iterator, Mapping
from pathlib import Path
from typing import NamedTuple

from jinja2 import Environment
from jinja2.ext import extract_from_ast

STATION = Path(__file__).resolve().parents[1] / "src/haulbook/station"
LOCALE = STATION / "locale"
HEADER = "Content-Type: text/plain; charset=UTF-8\nPlural-Forms: nplurals=2; plural=(n != 1);\n"
SINGLE = {"_", "gettext", "gettext_lazy", "later", "gettext_noop"}
PLURAL = {"ngettext", "ngettext_lazy"}
IN_CONTEXT = {"pgettext", "pgettext_lazy"}


class Message(NamedTuple):
    """One text. ``context`` and ``plural`` are empty where there are none."""

    text: str
    plural: str = ""
    context: str = ""


def messages() -> dict[Message, list[str]]:
    """Return every text with the places where it stands, in their order."""
    found: dict[Message, list[str]] = {}
    for path in sorted([*STATION.rglob("*.html"), *STATION.rglob("*.py")]):
        source = path.read_text(encoding="utf-8")
        of_file = _in_template(source) if path.suffix == ".html" else _in_python(source)
        for line, message in of_file:
            found.setdefault(message, []).append(f"{path.relative_to(STATION).as_posix()}:{line}")
    return found


def _in_template(source: str) -> Iterator[tuple[int, Message]]:
    made = Environment(extensions=["jinja2.ext.i18n", "jinja2.ext.do"], autoescape=True)
    for line, function, said in extract_from_ast(made.parse(source)):
        words = [one for one in (said if isinstance(said, tuple) else (said,)) if one]
        if words:
            yield line, _message(function, words)


def _in_python(source: str) -> Iterator[tuple[int, Message]]:
    for node in ast.walk(ast.parse(source)):
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Name):
            words = [
                one.value for one in node.args if isinstance(one, ast.Constant) and isinstance(one.value, str)
            ]
            if words and node.func.id in SINGLE | PLURAL | IN_CONTEXT:
                yield node.lineno, _message(node.func.id, words)


def _message(function: str, words: list[str]) -> Message:
    if function in IN_CONTEXT and len(words) > 1:
        return Message(words[1], "", words[0])
    if function in PLURAL and len(words) > 1:
        return Message(words[0], words[1])
    return Message(words[0])


def template_of(found: Mapping[Message, Iterable[str]]) -> str:
    """Return the list of texts as a template for translators."""
    blocks = [f'msgid ""\nmsgstr ""\n{_quoted(HEADER)}']
    for message, places in found.items():
        lines = [f"#: {' '.join(list(places)[:3])}"]
        if re.search(r"%\(\w+\)", message.text):
            lines.append("#, python-format")
        if message.context:
            lines.append(f"msgctxt {_quoted(message.context)}")
        lines.append(f"msgid {_quoted(message.text)}")
        if message.plural:
            lines += [f"msgid_plural {_quoted(message.plural)}", 'msgstr[0] ""', 'msgstr[1] ""']
        else:
            lines.append('msgstr ""')
        blocks.append("\n".join(lines))
    return "\n\n".join(blocks) + "\n"


def _quoted(text: str) -> str:
    escaped = text.replace("\\", "\\\\").replace('"', '\\"').replace("\n", "\\n").replace("\t", "\\t")
    return f'"{escaped}"'


def translations_of(text: str) -> dict[Message, list[str]]:
    """Return the translations that a ``.po`` file holds; those left empty are left out."""
    found: dict[Message, list[str]] = {}
    for block in re.split(r"\n\s*\n", text):
        parts: dict[str, str] = {}
        key = ""
        for line in block.splitlines():
            if begun := re.match(r"(msgctxt|msgid_plural|msgid|msgstr(?:\[\d\])?)\s+(?=\")", line):
                key = begun[1]
            if key and (quoted := re.search(r'"((?:[^"\\]|\\.)*)"\s*$', line)):
                parts[key] = parts.get(key, "") + ast.literal_eval(f'"{quoted[1]}"')
        said = [value for name, value in sorted(parts.items()) if name.startswith("msgstr")]
        if "msgid" in parts and all(said):
            message = Message(parts["msgid"], parts.get("msgid_plural", ""), parts.get("msgctxt", ""))
            found[message] = said
    return found


def compiled(found: Mapping[Message, list[str]]) -> bytes:
    """Return translations as a ``.mo`` file.

    The form is that of the GNU gettext manual, "The Format of GNU MO Files": a header of seven words, a table of
    lengths and offsets for the texts in their order, another for the translations; a zero byte ends each of them.
    """
    pairs = sorted((_key(message), "\0".join(said).encode()) for message, said in found.items())
    at, tables, content = 28 + 16 * len(pairs), [b"", b""], b""
    for i in (0, 1):
        for pair in pairs:
            tables[i] += struct.pack("<II", len(pair[i]), at + len(content))
            content += pair[i] + b"\0"
    head = struct.pack("<7I", 0x950412DE, 0, len(pairs), 28, 28 + 8 * len(pairs), 0, at)
    return head + tables[0] + tables[1] + content


def _key(message: Message) -> bytes:
    context = f"{message.context}\x04" if message.context else ""
    plural = f"\0{message.plural}" if message.plural else ""
    return f"{context}{message.text}{plural}".encode()


def main() -> None:
    """Write the list of texts, and compile every language."""
    found = messages()
    (LOCALE / "haulbook.pot").write_text(template_of(found), encoding="utf-8")
    print(f"{len(found)} texts in {(LOCALE / 'haulbook.pot').relative_to(STATION)}")
    for path in sorted(LOCALE.glob("*/LC_MESSAGES/*.po")):
        said = translations_of(path.read_text(encoding="utf-8"))
        path.with_suffix(".mo").write_bytes(compiled(said))
        print(f"{len(said) - 1} translated in {path.relative_to(STATION)}")


if __name__ == "__main__":
    main()
