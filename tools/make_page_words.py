"""Write the words of calls into the shore page's folder, where the phone reads them: run it after changing one.

python tools/make_page_words.py
"""

from __future__ import annotations

from pathlib import Path

from haulbook.calls.wordbook import page_module

OUT = Path(__file__).resolve().parents[1] / "src/haulbook/shore/page/calls/grammar.js"


def main() -> None:
    """Write the file."""
    OUT.write_text(page_module(), encoding="utf-8", newline="\n")
    print(f"{OUT.name}: {OUT.stat().st_size} bytes")


if __name__ == "__main__":
    main()
