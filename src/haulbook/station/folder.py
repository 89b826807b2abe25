"""Where a station lives: a folder with its database and its secret, or a PostgreSQL database named by a URL."""

from __future__ import annotations

import os
import secrets
from dataclasses import dataclass
from pathlib import Path
from typing import Any
from urllib.parse import parse_qsl, unquote, urlsplit

from haulbook.problems import Refusal

FOLDER = "HAULBOOK_STATION"
"""Environment: the station's folder."""
DATABASE_URL = "HAULBOOK_DATABASE_URL"
"""Environment: a PostgreSQL database, as ``postgresql://user@host/name``; without it SQLite in the folder."""
USUAL = Path("season/station")

_SQLITE = {
    "transaction_mode": "IMMEDIATE",
    "timeout": 20,
    "init_command": "PRAGMA journal_mode=WAL; PRAGMA synchronous=FULL; PRAGMA foreign_keys=ON",
}


@dataclass(frozen=True, slots=True)
class Folder:
    """A station's folder.

    Attributes
    ----------
    path : Path
    database_url : str or None
        Of a PostgreSQL database; None for SQLite in the folder.
    """

    path: Path
    database_url: str | None = None

    @staticmethod
    def of_environment() -> Folder:
        """Return the folder and database that the environment names."""
        return Folder(Path(os.environ.get(FOLDER, USUAL)).resolve(), os.environ.get(DATABASE_URL) or None)

    @property
    def sqlite(self) -> Path:
        """The SQLite file."""
        return self.path / "haulbook.sqlite3"

    def make(self) -> None:
        """Make the folder, for its owner only.

        Raises
        ------
        Refusal
            Where something that is no folder stands there, or it can't be written to.
        """
        try:
            self.path.mkdir(parents=True, exist_ok=True, mode=0o700)
        except OSError as error:
            raise Refusal(
                f"{self.path} can't be the station's folder: {error.strerror}; name another with --station"
            ) from None
        if not os.access(self.path, os.W_OK):
            raise Refusal(f"{self.path} can't be written to; name another folder with --station")

    def secret(self) -> str:
        """Return the key that signs sessions and forms; made on first use, readable by its owner only."""
        file = self.path / "secret-key"
        if not file.exists():
            self.make()
            made = secrets.token_urlsafe(50)
            try:
                handle = os.open(file, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
            except FileExistsError:
                return file.read_text(encoding="ascii").strip()
            with os.fdopen(handle, "w", encoding="ascii") as out:
                out.write(made)
            return made
        return file.read_text(encoding="ascii").strip()

    def database(self) -> dict[str, Any]:
        """Return Django's description of the database.

        Raises
        ------
        Refusal
            Where the URL is of another kind than PostgreSQL or names no database.
        """
        if self.database_url is None:
            return {
                "ENGINE": "django.db.backends.sqlite3",
                "NAME": str(self.sqlite),
                "OPTIONS": dict(_SQLITE),
            }
        url = urlsplit(self.database_url)
        if url.scheme not in ("postgresql", "postgres"):
            raise Refusal(
                f"{DATABASE_URL} begins with {url.scheme!r}; write it as postgresql://user@host/name, "
                "or leave it out for SQLite in the station's folder"
            )
        options = dict(parse_qsl(url.query))
        name = unquote(url.path.lstrip("/"))
        if not name:
            raise Refusal(f"{DATABASE_URL} names no database; write it as postgresql://user@host/name")
        return {
            "ENGINE": "django.db.backends.postgresql",
            "NAME": name,
            "USER": unquote(url.username or ""),
            "PASSWORD": unquote(url.password or ""),
            "HOST": options.pop("host", "") or unquote(url.hostname or ""),
            "PORT": str(url.port or ""),
            "OPTIONS": {**options, "pool": {"min_size": 1, "max_size": 8, "timeout": 20}},
        }
