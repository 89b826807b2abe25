"""Files that prove something: scanned permits, what was sent to an agency, what came back."""

from __future__ import annotations

import hashlib
from pathlib import PurePath

from django.utils.translation import gettext as _

from haulbook.problems import Problem, Refusal
from haulbook.station import clock
from haulbook.station.models import PermitFile, StoredFile
from haulbook.station.store import standings

KINDS = {
    ".pdf": "application/pdf",
    ".png": "image/png",
    ".jpg": "image/jpeg",
    ".jpeg": "image/jpeg",
    ".heic": "image/heic",
    ".tif": "image/tiff",
    ".tiff": "image/tiff",
    ".txt": "text/plain; charset=utf-8",
    ".eml": "message/rfc822",
    ".msg": "application/vnd.ms-outlook",
    ".csv": "text/csv; charset=utf-8",
    ".xlsx": "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet",
    ".json": "application/json",
}
"""Names that a proof may end with, and how it is given back."""
MOST_BYTES = 25_000_000


def keep(name: str, content: bytes, by: str) -> StoredFile:
    """Keep a file under the SHA-256 of its bytes; the same bytes again are the same file.

    Raises
    ------
    Refusal
        It is empty, too large, or of a kind that proves nothing here.
    """
    name = PurePath(name.replace("\\", "/").replace("\x00", "")).name[-200:] or "file"
    problems = []
    if PurePath(name).suffix.lower() not in KINDS:
        known = ", ".join(one.removeprefix(".") for one in KINDS)
        told = _("This file is of no kind that can be kept as a proof; hand in one of %(known)s.")
        problems.append(told % {"known": known})
    if not content:
        problems.append(_("The file is empty; look whether it was saved, and choose it again."))
    if len(content) > MOST_BYTES:
        told = _("The file is larger than %(most)s MB; scan it smaller, or in grey.")
        problems.append(told % {"most": MOST_BYTES // 1_000_000})
    if problems:
        raise Refusal([Problem("refused", message, file=name) for message in problems])
    row, _made = StoredFile.objects.get_or_create(
        sha256=hashlib.sha256(content).hexdigest(),
        defaults={
            "name": name,
            "media_type": KINDS[PurePath(name).suffix.lower()],
            "size": len(content),
            "content": content,
            "at": clock.now(),
            "by": by,
        },
    )
    return row


def find(sha256: str) -> StoredFile | None:
    """Return a file that proves something about a permit: its paper, or what a paper of the book names."""
    if not PermitFile.objects.filter(paper=sha256).exists():
        named = {one for paper in standings.papers() for one in (paper.sha256, paper.digest)}
        if sha256 not in named:
            return None
    return StoredFile.objects.filter(sha256=sha256).first()
