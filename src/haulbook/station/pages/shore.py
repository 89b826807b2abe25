"""The shore page and its way in: its files, enrolling a phone, kits, the lines it sends and gets, and its photos."""

from __future__ import annotations

import gzip
import json
import re
from collections.abc import Mapping
from functools import cache, lru_cache
from hashlib import sha256
from importlib.metadata import version
from importlib.resources import files

from django.db.models import Max, Q
from django.http import Http404, HttpRequest, HttpResponse, JsonResponse
from django.utils.cache import get_conditional_response, patch_vary_headers
from django.utils.translation import gettext as _
from django.views.decorators.csrf import csrf_exempt
from pydantic import ValidationError

from haulbook.problems import Problem, Refusal
from haulbook.publish.silhouettes import names, silhouette
from haulbook.shore import picture as photo
from haulbook.shore import sync as protocol
from haulbook.shore.openapi import openapi
from haulbook.shore.shell import page_files, shell, sprite
from haulbook.station import clock
from haulbook.station.models import Device, EntryRow
from haulbook.station.people import devices
from haulbook.station.people.roles import ANYONE
from haulbook.station.store import book, kits, pictures, reference
from haulbook.station.store.writing import writing
from haulbook.station.web.answers import json_problems
from haulbook.station.web.route import DEVICE, device_of, route

_TYPES = {
    "html": "text/html; charset=utf-8",
    "css": "text/css; charset=utf-8",
    "js": "text/javascript; charset=utf-8",
    "json": "application/json",
    "webmanifest": "application/manifest+json",
    "svg": "image/svg+xml",
    "png": "image/png",
    "ico": "image/x-icon",
    "woff2": "font/woff2",
}
_SHA256 = re.compile(r"[0-9a-f]{64}")
_JITTER_S = 5.0
"""Seconds by which a clock seems to be off at one time and another, for the time that requests take."""
_PACKED_ALREADY = ("png", "ico", "woff2")


@cache
def shore_files() -> Mapping[str, bytes]:
    """Return every file of the shore page by address, those that the station adds among them."""
    tokens = files("haulbook.publish").joinpath("templates/tokens.css").read_bytes()
    drawings = sprite({name: str(silhouette(name, hidden=True)) for name in names()})
    beside = {"tokens.css": tokens, "silhouettes.svg": drawings.encode()}
    listed = json.dumps(shell(beside).as_json(), indent=1) + "\n"
    return {**page_files(), **beside, "shell.json": listed.encode()}


def page(request: HttpRequest, file: str = "index.html") -> HttpResponse:
    """Answer a file of the shore page. A browser asks each time whether it changed."""
    content = shore_files().get(file)
    if content is None:
        raise Http404(_("The shore page has no such file."))
    kind = file.rpartition(".")[2]
    answer = _tagged(
        request, content, _TYPES.get(kind, "application/octet-stream"), kind not in _PACKED_ALREADY
    )
    answer["X-Content-Type-Options"] = "nosniff"
    return answer


@csrf_exempt
def enrol(request: HttpRequest) -> HttpResponse:
    """Make a phone that shows a code one of the station's devices."""
    try:
        asked = _read_enrol(request.body)
        device, token = devices.enrol(asked.code, asked.device)
    except Refusal as refusal:
        return json_problems(400, refusal.problems)  # to a phone, whatever it says that it takes
    said = protocol.Enrolled(
        device=device.key, token=token, person=device.person.key if device.person else None
    )
    return JsonResponse(said.model_dump(mode="json"))


def kits_offered(request: HttpRequest) -> HttpResponse:
    """Say which kits there are, the one that this phone needs first."""
    now = clock.now()
    every = kits.offered(now)
    made = kits.of_open(every, now, kits.next_of(every, now, device_of(request).key))
    said = [
        protocol.KitName(outing=one.outing, site=one.site, made_at=one.made_at, digest=one.digest)
        for one in made
    ]
    return JsonResponse([one.model_dump(mode="json") for one in said], safe=False)


def kit(request: HttpRequest) -> HttpResponse:
    """Answer the kit of an outing; of the next one where none is named."""
    now = clock.now()
    outing = request.GET.get("outing") or kits.next_of(kits.offered(now), now, device_of(request).key)
    if outing is None:
        raise Http404(_("No outing is planned; the lead plans one at the station, then there is a kit."))
    return _tagged(request, kits.kit_of(outing, now).text, _TYPES["json"])


def sync(request: HttpRequest) -> HttpResponse:
    """Take in a phone's lines, and answer what it has not heard yet."""
    device, now = device_of(request), clock.now()
    asked = protocol.read_request(request.body)
    if asked.device != device.key:
        raise Refusal(f"the request is of {asked.device}, its token of {device.key}: enrol the device anew")
    name = reference.settings().book
    try:
        after = protocol.cursor_position(asked.cursor, name, _newest())
    except protocol.UnknownCursor as refusal:
        return json_problems(409, refusal.problems)
    _note_clock(device, protocol.clock_off_s(asked, now))
    every = kits.offered(now)
    verdicts = _taken_in(asked, device)
    unheard, heard, more = _unheard(asked, device, after, [one.outing for one in every])
    answer = protocol.SyncAnswer(
        answers=list(verdicts),
        entries=[protocol.EntryShape(**json.loads(line)) for line in unheard],
        cursor=protocol.cursor_text(name, heard),
        more=more,
        server_time=now,
        kit_digest=kits.digest_now(kits.next_of(every, now, device.key), now),
    )
    said = answer.model_dump() | {"server_time": now.isoformat()}
    return JsonResponse(said)  # which writes half characters too: a phone may have sent one as an id


def picture(request: HttpRequest) -> HttpResponse:
    """Take in a photo that a line names. One that is too large is turned away before it is read."""
    digest = request.GET.get("sha256", "")
    length = request.headers.get("Content-Length", "")
    try:
        photo.look_at_size(int(length) if length.isdecimal() else 0)
        new = pictures.keep(digest, request.body)
    except Refusal as refusal:
        return json_problems(_refused_with(refusal), refusal.problems)
    said = photo.PictureAnswer(sha256=digest, answer="stored" if new else "duplicate")
    return JsonResponse(said.model_dump(mode="json"))


def openapi_document(request: HttpRequest) -> HttpResponse:
    """Describe the protocol to programs."""
    return _tagged(
        request, (json.dumps(openapi(version("haulbook")), indent=1) + "\n").encode(), _TYPES["json"]
    )


def _read_enrol(text: bytes) -> protocol.EnrolRequest:
    try:
        return protocol.EnrolRequest.model_validate_json(text)
    except ValidationError as error:
        raise Refusal(
            Problem("refused", one["msg"], column=".".join(map(str, one["loc"])) or None)
            for one in error.errors(include_url=False, include_context=False, include_input=False)
        ) from None


def _refused_with(refusal: Refusal) -> int:
    return 409 if isinstance(refusal, photo.Unnamed) else 413 if isinstance(refusal, photo.TooLarge) else 400


def _newest() -> int:
    return EntryRow.objects.aggregate(n=Max("position"))["n"] or 0


def _taken_in(asked: protocol.SyncRequest, device: Device) -> tuple[protocol.Verdict, ...]:
    if not asked.entries:
        return ()
    with writing():
        rows = EntryRow.objects.filter(hash__in=_hashes(asked))
        judged = protocol.judge(asked.entries, device.key, set(rows.values_list("hash", flat=True)))
        book.add(judged.new, clock.now())
    return judged.verdicts


def _hashes(asked: protocol.SyncRequest) -> list[str]:
    """Return the hashes that a batch speaks of; only those that are right are asked for by who judges it."""
    found = (said.get("hash") for said in asked.entries if isinstance(said, dict))
    return [one for one in found if isinstance(one, str) and _SHA256.fullmatch(one)]


def _unheard(
    asked: protocol.SyncRequest, device: Device, after: int, outings: list[str]
) -> tuple[list[str], int, bool]:
    """Return lines that the phone has not heard, up to which position it has then, and whether there are more."""
    newest = _newest()  # asked first: what comes in meanwhile is told the next time
    rows = EntryRow.objects.filter(position__gt=after, position__lte=newest)
    rows = rows.filter(Q(device=device.key) | Q(outing__in=outings)).exclude(hash__in=_hashes(asked))
    found = list(rows.order_by("position").values_list("position", "line")[: protocol.MOST_ENTRIES + 1])
    more = len(found) > protocol.MOST_ENTRIES
    sent = found[: protocol.MOST_ENTRIES]
    return [line for _, line in sent], sent[-1][0] if more else newest, more


def _note_clock(device: Device, off_s: float | None) -> None:
    if off_s is not None and (device.clock_off_s is None or abs(device.clock_off_s - off_s) > _JITTER_S):
        device.clock_off_s = off_s
        device.save(update_fields=["clock_off_s"])


def _tagged(request: HttpRequest, content: bytes, kind: str, packs: bool = True) -> HttpResponse:
    """Answer content with its digest, packed where the browser takes that; 304 where it has it already."""
    tag = f'"{sha256(content).hexdigest()[:32]}"'
    answer: HttpResponse | None = get_conditional_response(request, etag=tag)
    if answer is None:
        packed = packs and "gzip" in request.headers.get("Accept-Encoding", "")
        answer = HttpResponse(_packed(content) if packed else content, content_type=kind)
        if packed:
            answer["Content-Encoding"] = "gzip"
    answer["ETag"] = tag
    answer["Cache-Control"] = "no-cache"
    if packs:
        patch_vary_headers(answer, ["Accept-Encoding"])
    return answer


@lru_cache(maxsize=128)
def _packed(content: bytes) -> bytes:
    return gzip.compress(content, mtime=0)


ROUTES = [
    route("shore/", page, "shore", get=ANYONE),
    route("shore/enrol", enrol, "shore-enrol", post=ANYONE),
    route("shore/kits", kits_offered, "shore-kits", get=DEVICE),
    route("shore/kit", kit, "shore-kit", get=DEVICE),
    route("shore/sync", sync, "shore-sync", post=DEVICE),
    route("shore/picture", picture, "shore-picture", post=DEVICE),
    route("shore/<path:file>", page, "shore-file", get=ANYONE),
    route("openapi.json", openapi_document, "openapi", get=ANYONE),
]
