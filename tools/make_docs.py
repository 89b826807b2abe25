"""Write the reference pages that come from the code itself; ``--check`` says whether they are current.

``docs/reference/commands.md`` is the help of every command, as the terminal shows it.
"""

from __future__ import annotations

import sys
from pathlib import Path

import click
import typer.main

from haulbook.cli.app import app

ROOT = Path(__file__).resolve().parents[1]


def _commands(command: click.Command, path: str) -> list[tuple[str, click.Command]]:
    found = [(path, command)]
    for name, child in sorted(getattr(command, "commands", {}).items()):
        found += _commands(child, f"{path} {name}")
    return found


def _entry(path: str, command: click.Command) -> str:
    context = click.Context(command, info_name=path)
    formatter = context.make_formatter()
    formatter.width = 100
    click.Command.format_usage(command, context, formatter)
    click.Command.format_options(command, context, formatter)
    words = (command.help or "").replace("\b", "").strip()
    return f"## {path}\n\n{words}\n\n```text\n{formatter.getvalue().strip()}\n```\n"


def commands_page() -> str:
    """Return the page on every command and option."""
    root = typer.main.get_command(app)
    entries = [_entry(path, command) for path, command in _commands(root, "haulbook")]
    return "# Commands\n\nWritten by `make docs` from the commands' own help.\n\n" + "\n".join(entries)


def main() -> None:
    """Write the pages, or with ``--check`` exit 1 where one is stale."""
    page = ROOT / "docs/reference/commands.md"
    text = commands_page()
    if "--check" in sys.argv[1:]:
        if not page.is_file() or page.read_text(encoding="utf-8") != text:
            sys.exit(f"{page.relative_to(ROOT)} is not what the commands say: run `make docs`")
        return
    page.write_text(text, encoding="utf-8")
    print(page.relative_to(ROOT))


if __name__ == "__main__":
    main()
