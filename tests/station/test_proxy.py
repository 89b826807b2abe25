"""Behind a proxy that speaks HTTPS: who asks, what cookies do, what the printed link is good for."""

from __future__ import annotations

import re
import shutil
import subprocess
import textwrap
from pathlib import Path

import pytest
from django.http import HttpResponse
from django.test import RequestFactory

from haulbook.problems import Refusal
from haulbook.station.serving import Serving, serve_station
from haulbook.station.web.security import asked_through_proxy

ROOT = Path(__file__).resolve().parents[2]


def caddyfile() -> str:
    page = (ROOT / "docs/how-to/reach-it-from-a-phone.md").read_text(encoding="utf-8")
    return textwrap.dedent(re.search(r"```caddyfile\n(.*?)```", page, re.DOTALL)[1])


def test_the_proxy_file_of_the_documentation_is_one(tmp_path):
    caddy = shutil.which("caddy")
    if caddy is None:
        pytest.skip("no caddy on this machine (apt-get install caddy)")
    (tmp_path / "Caddyfile").write_text(caddyfile(), encoding="utf-8")
    done = subprocess.run(
        [caddy, "validate", "--adapter", "caddyfile", "--config", str(tmp_path / "Caddyfile")],
        env={"HOME": str(tmp_path), "XDG_DATA_HOME": str(tmp_path), "XDG_CONFIG_HOME": str(tmp_path)},
        capture_output=True, text=True, timeout=60, check=False,
    )  # fmt: skip
    assert done.returncode == 0, done.stderr
    assert "Valid configuration" in done.stdout + done.stderr


def test_the_proxy_file_leads_to_the_port_that_is_served():
    assert f"127.0.0.1:{Serving(Path()).port}" in caddyfile()


@pytest.mark.parametrize(
    ("said", "address"),
    [
        ("203.0.113.9", "203.0.113.9"),
        ("198.51.100.7, 203.0.113.9", "203.0.113.9"),
        ("127.0.0.1, 203.0.113.9", "203.0.113.9"),
        ("", "127.0.0.1"),
    ],
)
def test_who_asks_is_whom_the_proxy_saw_not_who_they_say_they_are(said, address):
    """Addresses of RFC 5737. What a browser claims stands before what the proxy adds."""
    seen = []
    answer = asked_through_proxy(lambda request: seen.append(request.META["REMOTE_ADDR"]) or HttpResponse())
    answer(RequestFactory().get("/", headers={"x-forwarded-for": said} if said else {}))
    assert seen == [address]


@pytest.mark.parametrize(
    "public",
    [
        "http://station.example.org",
        "station.example.org",
        "https://",
        "https://station.example.org/book",
        "https://a?b",
    ],
)
def test_an_address_that_no_proxy_answers_at_is_refused(tmp_path, public):
    with pytest.raises(Refusal, match=r"--public is .*as https://station\.example\.org"):
        serve_station(Serving(tmp_path, public=public))


def test_certificate_and_proxy_are_not_used_together(tmp_path):
    file = tmp_path / "x.pem"
    with pytest.raises(Refusal, match="leave --certificate and --key to it"):
        serve_station(Serving(tmp_path, public="https://station.example.org", certificate=file, key=file))
