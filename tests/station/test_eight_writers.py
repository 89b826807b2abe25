"""Eight at once on one book: five phones that send batches, some of them again, and three people at the desk.

Six seconds here; ``HAULBOOK_WRITERS_S=60`` for the full minute. On SQLite, or on PostgreSQL where it is set.
"""

from __future__ import annotations

import http.client
import json
import os
import random
import re
import subprocess
import sys
import threading
import time
from collections import Counter
from datetime import UTC, datetime
from functools import partial
from http.cookies import SimpleCookie
from urllib.parse import urlencode, urlsplit

from haulbook.custody.entry import Draft, chain
from haulbook.custody.ids import uuid7

SECONDS = float(os.environ.get("HAULBOOK_WRITERS_S", "6"))
DAY = datetime.now(UTC).date().isoformat()
OUTING = f"{DAY}-a"
PLAN = {
    "outing": OUTING, "site": "sallowhorn-cove", "date": DAY, "hauls": 1, "permits": ["SC-24-031"], "nets": ["n1"],
    "crew": ["p1"], "people_present": 8,
}  # fmt: skip
KEEP_PLAN = f"""
from pathlib import Path; from haulbook.station.serving import connect; import sys; connect(Path(sys.argv[1]))
from haulbook.station.store import plans; plans.keep({PLAN!r}, "p1")
"""
PHONES, PEOPLE = 5, 3


class Client:
    """A browser's cookies and a connection, no more."""

    def __init__(self, url: str) -> None:
        self.host = urlsplit(url).netloc
        self.connection = http.client.HTTPConnection(self.host, timeout=60)
        self.cookies = SimpleCookie()

    def ask(self, method: str, path: str, body: bytes | None = None, **headers: str) -> tuple[int, str, str]:
        """Return status, place to go to, and text of an answer."""
        headers = {name.replace("_", "-"): value for name, value in headers.items()}
        if self.cookies:
            headers["Cookie"] = "; ".join(f"{key}={one.value}" for key, one in self.cookies.items())
        try:
            self.connection.request(method, path, body, headers)
            answer = self.connection.getresponse()
        except (http.client.HTTPException, ConnectionError):  # the server closed a connection that lay idle
            self.connection.close()
            self.connection.request(method, path, body, headers)
            answer = self.connection.getresponse()
        for said in answer.headers.get_all("Set-Cookie") or ():
            self.cookies.load(said)
        return answer.status, answer.headers.get("Location", ""), answer.read().decode()

    def post_form(self, path: str, said: dict[str, str]) -> tuple[int, str, str]:
        """Send a form as its page has it, hidden fields and all."""
        page = self.ask("GET", path)[2]
        hidden = dict(re.findall(r'<input type="hidden" name="(\w+)" value="([^"]*)"', page))
        body = urlencode({**hidden, **said}).encode()
        return self.ask("POST", path, body, Content_Type="application/x-www-form-urlencoded")


class Lead(Client):
    """Signed in by the link that the server printed."""

    def __init__(self, served) -> None:
        super().__init__(served.url)
        status, where, _ = self.ask("GET", urlsplit(served.link).path)
        assert (status, where) == (302, "/")

    def invite(self) -> str:
        """Return the code of a new phone."""
        assert self.post_form("/devices/", {"label": "one of five", "person": ""})[0] == 302
        return re.search(r'<p class="code">([a-z0-9-]+)</p>', self.ask("GET", "/devices/")[2])[1]


class Phone(Client):
    """A phone: writes, sends, at times again or before the answer came, and hears of the others."""

    def __init__(self, url: str, code: str, number: int) -> None:
        super().__init__(url)
        said = self.post("/shore/enrol", {"code": code, "device": None})
        self.device, self.token = said["device"], said["token"]
        self.chance = random.Random(number)
        self.sent: list[str] = []
        self.heard: Counter[str] = Counter()
        self.last, self.cursor = None, None
        self.requests = 0

    def post(self, path: str, said: object, token: str = "") -> dict:
        status, _, text = self.ask(
            "POST",
            path,
            json.dumps(said).encode(),
            Content_Type="application/json",
            Authorization=f"Bearer {token}",
        )
        assert status == 200, f"{path} answered {status}: {text[:500]}"
        return json.loads(text)

    def write(self, n: int) -> list[dict]:
        now = datetime.now(UTC)
        at = now.isoformat(timespec="seconds")
        line = {"from": "sea", "haul": f"{OUTING}/1", "n": 1, "taxon": "cunner", "to": "back"}
        made = chain(
            [
                Draft(uuid7(now, self.chance.randbytes(10)), at, at, "p3", OUTING, "move", {"lines": [line]})
                for _ in range(n)
            ],
            self.device,
            self.last,
        )
        self.last = made[-1]
        return [entry.as_json() for entry in made]

    def sync(self, entries: list[dict]) -> list[str]:
        said = self.post(
            "/shore/sync", {"device": self.device, "cursor": self.cursor, "entries": entries}, self.token
        )
        self.requests += 1
        self.cursor = said["cursor"]
        self.heard.update(one["hash"] for one in said["entries"])
        return [one["answer"] for one in said["answers"]]

    def run(self, until: float) -> None:
        before: list[dict] = []
        while time.monotonic() < until:
            fresh = self.write(self.chance.randint(1, 40))
            again = before if self.chance.random() < 0.3 else []
            assert self.sync([*again, *fresh]) == ["duplicate"] * len(again) + ["stored"] * len(fresh)
            if self.chance.random() < 0.2:  # the answer got lost: the phone sends the same once more
                assert self.sync(fresh) == ["duplicate"] * len(fresh)
            self.sent += [one["hash"] for one in fresh]
            before = fresh

    def listen(self) -> None:
        """Hear of everything that came in until now."""
        quiet = False
        while not quiet:
            heard = self.heard.total()
            self.sync([])
            quiet = self.heard.total() == heard


class AtTheDesk(Lead):
    """Somebody who types remarks."""

    written = 0

    def __init__(self, served, lead: Lead, number: int) -> None:
        Client.__init__(self, served.url)
        self.cookies = lead.cookies
        self.number = number

    def run(self, until: float) -> None:
        while time.monotonic() < until:
            text = f"person {self.number} remark {self.written}"
            status, where, page = self.post_form(f"/outing/{OUTING}/add/remark/", {"text": text})
            assert (status, where) == (302, f"/outing/{OUTING}/"), f"{status} {page[:2000]}"
            self.written += 1


def at_once(jobs) -> None:
    failed: list[BaseException] = []

    def work(job) -> None:
        try:
            job()
        except BaseException as error:  # told by the test, below
            failed.append(error)

    threads = [threading.Thread(target=work, args=(job,)) for job in jobs]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    if failed:
        raise failed[0]


def python(served, *words: str) -> str:
    done = subprocess.run(
        [sys.executable, *words],
        env=served.environment,
        capture_output=True,
        text=True,
        timeout=600,
        check=False,
    )
    assert done.returncode in (0, 1), done.stderr
    return done.stdout


def station(served, *words: str, folder=None) -> str:
    return python(served, "-m", "haulbook", "station", *words, "--station", str(folder or served.folder))


def test_eight_writers_lose_nothing_and_double_nothing(own_station, tmp_path, capsys):
    python(own_station, "-c", KEEP_PLAN, str(own_station.folder))
    lead = Lead(own_station)
    phones = [Phone(own_station.url, lead.invite(), n) for n in range(PHONES)]
    people = [AtTheDesk(own_station, lead, n) for n in range(PEOPLE)]
    for phone in phones:
        phone.listen()
        phone.heard.clear()
    until = time.monotonic() + SECONDS

    def back_up() -> None:
        time.sleep(SECONDS / 2)
        station(own_station, "backup", str(tmp_path / "meanwhile.zip"))

    at_once([*(partial(one.run, until) for one in [*phones, *people]), back_up])
    at_once([phone.listen for phone in phones])
    for one in (lead, *phones, *people):
        one.connection.close()

    station(own_station, "export", str(tmp_path / "open"))
    lines = [json.loads(line) for line in (tmp_path / "open" / "book.jsonl").read_text().splitlines()]
    nothing_lost_or_doubled(lines, phones, people)
    every_chain_is_whole(lines, phones)
    every_phone_heard_all(lines, phones)
    said = json.loads(station(own_station, "verify", "--json"))
    assert said["broken"] == []
    assert not [one for one in said["to_settle"] if one.startswith(("gap", "fork"))]
    a_backup_made_meanwhile_is_whole(own_station, tmp_path)
    log = (own_station.folder.parent / f"{own_station.folder.name}.log").read_text()
    assert log == ""
    with capsys.disabled():
        sent, asked = sum(len(one.sent) for one in phones), sum(one.requests for one in phones)
        typed = sum(one.written for one in people)
        kind = "PostgreSQL" if "HAULBOOK_DATABASE_URL" in own_station.environment else "SQLite"
        print(
            f"\n{kind}, {SECONDS:.0f} s: {sent} lines in {asked} requests of {PHONES} phones, {typed} remarks typed"
        )


def nothing_lost_or_doubled(lines, phones, people):
    hashes = Counter(line["hash"] for line in lines)
    assert max(hashes.values()) == 1
    assert max(Counter(line["id"] for line in lines).values()) == 1
    assert {one for phone in phones for one in phone.sent} <= hashes.keys()
    typed = Counter(
        line["body"]["text"] for line in lines if line["kind"] == "remark" and line["outing"] == OUTING
    )
    assert typed == Counter(f"person {one.number} remark {n}" for one in people for n in range(one.written))
    assert all(one.written for one in people)


def every_chain_is_whole(lines, phones):
    for device in ("desk", *(phone.device for phone in phones)):
        own = sorted((line["seq"], line["prev"], line["hash"]) for line in lines if line["device"] == device)
        assert [seq for seq, _, _ in own] == list(range(1, len(own) + 1)), device
        assert [prev for _, prev, _ in own] == [None, *(link for _, _, link in own[:-1])], device


def every_phone_heard_all(lines, phones):
    """The lines of all others, each once: no position was passed over while others were still writing."""
    everything = {line["hash"] for line in lines if line["outing"] == OUTING}
    for phone in phones:
        assert max(phone.heard.values()) == 1
        assert set(phone.heard) == everything - set(phone.sent)


def a_backup_made_meanwhile_is_whole(served, tmp_path):
    """It is brought back on SQLite, whichever database it was made of."""
    environment = {key: value for key, value in served.environment.items() if key != "HAULBOOK_DATABASE_URL"}
    own = type(served)(tmp_path / "restored", "", "", environment)
    station(own, "restore", str(tmp_path / "meanwhile.zip"))  # which looks at every entry, chain and sign-off
