"""``haulbook call``: what a spoken or typed line means: animals, fates, places, and what has to be asked."""

from __future__ import annotations

import json
import sys
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from haulbook.cli.common import DONE, TO_SETTLE, leave, print_json
from haulbook.problems import Problem, Refusal

if TYPE_CHECKING:
    from haulbook.calls import Answer, Line
    from haulbook.taxa import Pack


def register(app: typer.Typer) -> None:
    """Add the command."""
    app.command(name="call")(call)


def call(
    pack: Annotated[str, typer.Option(help="nepacific or nwatlantic.")],
    text: Annotated[str | None, typer.Argument(help="One call, as spoken or typed.")] = None,
    lines: Annotated[
        Path | None, typer.Option(metavar="FILE", help="Text file, one call a line; one JSON answer a line.")
    ] = None,
    json_: Annotated[bool, typer.Option("--json", help="Print the answer as JSON.")] = False,
) -> None:
    """Say what a call means: lines to write, questions to ask, commands for the line before.

    A name that is not certain is asked with at most four choices, never guessed. Lengths are in millimetres.

    Exit status 1 where something is asked.

    Example: haulbook call "six cunner, two young flounder, kept" --pack nwatlantic

    Example: haulbook call "4x juv sculp rel b2" --pack nepacific --json

    Example: haulbook call --lines calls.txt --pack nwatlantic
    """
    from haulbook.calls import understand
    from haulbook.taxa import load_pack

    taxa = load_pack(pack)
    if (text is None) == (lines is None):
        raise Refusal("say one call, or name a file of calls with --lines; one of the two")
    if lines is not None:
        answers = [understand(said, taxa) for said in _read(lines)]
        for answer in answers:
            sys.stdout.write(json.dumps(answer.as_json(), ensure_ascii=False) + "\n")
    else:
        answers = [understand(text or "", taxa)]
        if json_:
            print_json(answers[0].as_json())
        else:
            _say(answers[0], taxa)
    leave(TO_SETTLE if any(answer.asks for answer in answers) else DONE)


def _read(path: Path) -> list[str]:
    try:
        return path.read_text(encoding="utf-8-sig").splitlines()
    except OSError as error:
        raise Refusal(Problem("refused", f"can't be read: {error.strerror}", file=str(path))) from None
    except UnicodeDecodeError:
        raise Refusal(Problem("refused", "is no UTF-8 text; save it as UTF-8", file=str(path))) from None


def _say(answer: Answer, pack: Pack) -> None:
    for command in answer.commands:
        if isinstance(command, str):
            typer.echo("the line before is taken back")
        else:
            for what, value in command.items():
                typer.echo(f"in the line before: {what.removeprefix('amend_')} is {value}")
    for line in answer.lines:
        typer.echo(_line_words(line, pack))
    for ask in answer.asks:
        typer.echo(f"{ask.said!r} is a question ({ask.about}).")
        for taxon in ask.choices:
            typer.echo(f"  {_name(taxon, pack)}")
    if not (answer.commands or answer.lines or answer.asks):
        typer.echo("nothing is called here")


def _line_words(line: Line, pack: Pack) -> str:
    taxon = _name(line.taxon or "", pack)
    if line.zero:
        return f"none of {taxon}: searched for and not there"
    said = [f"{'some' if line.count is None else line.count} {taxon}"]
    said += [word for word in (line.stage, line.fate, line.place) if word]
    if line.length_mm is not None:
        said.append(f"{line.length_mm} mm")
    if line.doubt_about:
        said.append(f"doubt about the {line.doubt_about}")
    return ", ".join(said)


def _name(taxon: str, pack: Pack) -> str:
    row = pack[taxon]
    return f"{taxon} ({row.common_names[0] if row.common_names else row.scientific_name})"
