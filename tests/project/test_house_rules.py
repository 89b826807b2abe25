"""Rules about the project itself that a reader could not keep in their head."""

from __future__ import annotations

import re
import subprocess
import sys
import tomllib
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
SOURCES = sorted((ROOT / "src").rglob("*.py"))
LONGEST_MODULE_LINES = 600


def _tracked(*patterns: str) -> list[Path]:
    listed = subprocess.run(
        ["git", "ls-files", "--cached", "--others", "--exclude-standard", "--", *patterns],
        cwd=ROOT,
        capture_output=True,
        text=True,
        check=False,
    )
    if listed.returncode:
        pytest.skip("not a git checkout")
    return [ROOT / line for line in listed.stdout.splitlines() if (ROOT / line).is_file()]


def test_lock_files_hold_hashes_and_no_address():
    for name in ("requirements.lock", "requirements-dev.lock"):
        text = (ROOT / name).read_text(encoding="utf-8")
        assert "://" not in text, f"{name} names an address: make it anew with `make lock`"
        assert "--hash=sha256:" in text


def test_every_locked_dependency_has_a_reason_written_down():
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))
    reasons = "\n".join(page.read_text(encoding="utf-8") for page in (ROOT / "docs/decisions").glob("*.md"))
    wanted = list(project["project"]["dependencies"])
    for extra in project["project"]["optional-dependencies"].values():
        wanted += extra
    for requirement in wanted:
        name = re.split(r"[<>=\[ ]", requirement)[0]
        assert re.search(rf"\b{re.escape(name)}\b", reasons), f"no decision says why {name} is needed"


def test_no_module_grew_beyond_what_one_can_read_in_a_sitting():
    for path in SOURCES:
        lines = len(path.read_text(encoding="utf-8").splitlines())
        assert lines <= LONGEST_MODULE_LINES, (
            f"{path.relative_to(ROOT)} has {lines} lines: split it by noun or verb"
        )


def test_style_sheets_name_a_colour_in_one_place_only():
    literal = re.compile(r"#[0-9a-fA-F]{3,8}\b|\brgba?\(|\bhsla?\(|\boklch\(")
    for path in (ROOT / "src").rglob("*.css"):
        if path.name == "tokens.css":
            continue
        found = literal.findall(path.read_text(encoding="utf-8"))
        assert not found, f"{path.relative_to(ROOT)} names colours {found[:3]}: put them in tokens.css"


def test_help_loads_nothing_heavy():
    heavy = (
        "numpy",
        "scipy",
        "pydantic",
        "jinja2",
        "rapidfuzz",
        "django",
        "tomlkit",
        "xlsxwriter",
        "astral",
        "typst",
    )
    code = (
        "import sys\n"
        "from typer.testing import CliRunner\n"
        "from haulbook.cli.app import app\n"
        "assert CliRunner().invoke(app, ['--help']).exit_code == 0\n"
        f"print([name for name in {heavy!r} if name in sys.modules])"
    )
    said = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True).stdout
    assert said.strip() == "[]", f"`haulbook --help` imports {said.strip()}: import inside the command"


def test_command_reference_is_what_the_commands_say():
    subprocess.run([sys.executable, ROOT / "tools/make_docs.py", "--check"], check=True)


def test_every_local_link_in_the_documentation_leads_somewhere():
    link = re.compile(r"\]\((?!https?:|mailto:|#)([^)#\s]+)")
    for page in [*ROOT.glob("*.md"), *(ROOT / "docs").rglob("*.md")]:
        for target in link.findall(page.read_text(encoding="utf-8")):
            assert (page.parent / target).exists(), (
                f"{page.relative_to(ROOT)} links to {target}, which is not there"
            )


def test_nothing_in_the_tree_names_a_machine_path_or_a_registry():
    # The words are put together here so that this file does not name what it forbids.
    forbidden = re.compile(
        "|".join(
            [
                "/" + "work/",
                "/" + "farm/",
                "/" + "root/",
                "bash_" + "jobs",
                "pypi" + r"\.org",
                "npmjs" + r"\.",
            ]
        )
    )
    for path in _tracked(
        "*.py",
        "*.md",
        "*.toml",
        "*.txt",
        "*.lock",
        "*.json",
        "*.html",
        "*.css",
        "*.js",
        "Makefile",
        ".ci/run",
    ):
        found = forbidden.search(path.read_text(encoding="utf-8", errors="replace"))
        assert not found, f"{path.relative_to(ROOT)} names {found.group()}"
