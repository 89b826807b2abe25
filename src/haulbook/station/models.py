"""Rows of a station's database.

``EntryRow`` is the book: the database itself refuses to change or remove its rows. People, sites, nets, instruments
and tanks are what stays beside it; every change to them is kept in ``Change``. ``Reading``, ``Touch`` and
``Said`` are worked out from entries and can be made anew at any time.
"""

from __future__ import annotations

import secrets
from typing import ClassVar

from django.contrib.auth.base_user import AbstractBaseUser, BaseUserManager
from django.db import models

from haulbook.station.people.roles import Role


def new_book() -> str:
    """Return a name that no other book has."""
    return secrets.token_hex(6)


class Settings(models.Model):
    """The station itself: one row.

    ``pack`` is the taxon pack, ``zone`` the IANA zone of what belongs to no site, ``feet`` and ``fahrenheit`` are for
    display only, ``public`` opens the pages that need no account. ``book`` names the book to phones: another one after
    a backup was brought back, so that they send everything again.
    """

    id = models.PositiveSmallIntegerField(primary_key=True, default=1)
    name = models.CharField(max_length=200)
    pack = models.CharField(max_length=40)
    zone = models.CharField(max_length=64)
    feet = models.BooleanField(default=False)
    fahrenheit = models.BooleanField(default=False)
    public = models.BooleanField(default=False)
    invented = models.BooleanField(default=False)
    book = models.CharField(max_length=16, default=new_book)


class People(BaseUserManager["Person"]):
    """Persons by login."""

    def get_by_natural_key(self, username: str | None) -> Person:
        """Return who signs in so."""
        return self.get(login=username)


class Person(AbstractBaseUser):
    """Somebody of the station; the book knows ``key`` only, so a name can be blanked.

    ``role`` is what they are at the beach and in the holding room (as in a station file); ``access`` is what their
    account may do, empty where they have none.
    """

    key = models.CharField(max_length=12, unique=True)
    role = models.CharField(max_length=20)
    name = models.CharField(max_length=200, blank=True)
    login = models.CharField(max_length=80, unique=True, null=True)
    access = models.CharField(max_length=12, blank=True, choices=[(role.value, role.value) for role in Role])
    is_active = models.BooleanField(default=True)

    USERNAME_FIELD = "login"
    objects: ClassVar[People] = People()

    @property
    def display(self) -> str:
        """Name, or role and key."""
        return self.name or f"{self.role} {self.key}"


class Site(models.Model):
    """A bed with its shoreline. ``shoreline`` is a list of [latitude, longitude] along the water's edge, EPSG:4326.

    ``tide`` holds a site's tide as in the station file; empty without one.
    """

    key = models.CharField(max_length=64, unique=True)
    name = models.CharField(max_length=200, blank=True)
    lat = models.FloatField()
    lon = models.FloatField()
    shoreline = models.JSONField(default=list)
    zone = models.CharField(max_length=64)
    tide = models.JSONField(default=dict)
    bed_m = models.FloatField(null=True)
    depth_least_m = models.FloatField(default=0.3)
    depth_most_m = models.FloatField(default=1.0)
    slack_lag_min = models.FloatField(default=0.0)
    coarsen_km = models.FloatField(default=0.0)
    retired = models.BooleanField(default=False)


class Net(models.Model):
    """A net; keys as in the station file, lengths in metres, mesh in millimetres."""

    key = models.CharField(max_length=64, unique=True)
    length_m = models.FloatField()
    height_m = models.FloatField()
    mesh_mm = models.FloatField()
    mesh_as = models.CharField(max_length=20)
    width_ratio = models.FloatField(null=True)
    retired = models.BooleanField(default=False)


class Instrument(models.Model):
    """A measuring instrument; keys as in the station file."""

    key = models.CharField(max_length=64, unique=True)
    kind = models.CharField(max_length=40)
    calibration = models.CharField(max_length=20, blank=True)
    scale = models.CharField(max_length=20, blank=True)
    salinity_setting = models.FloatField(null=True)
    retired = models.BooleanField(default=False)


class Tank(models.Model):
    """A tank; ``tank KEY`` is its place in the book."""

    key = models.CharField(max_length=64, unique=True)
    litres = models.FloatField()
    quarantine = models.BooleanField(default=False)
    retired = models.BooleanField(default=False)


class Change(models.Model):
    """One change to something that stays: what it was and what it became, by whom."""

    what = models.CharField(max_length=40)
    key = models.CharField(max_length=64)
    at = models.DateTimeField()
    by = models.CharField(max_length=12)
    before = models.JSONField(null=True)
    after = models.JSONField(null=True)

    class Meta:
        """Found by what they are about."""

        indexes: ClassVar = [models.Index(fields=["what", "key", "at"])]


class StoredFile(models.Model):
    """A file handed in: permit texts, proofs, sheets, pictures. Found by the SHA-256 of its bytes."""

    sha256 = models.CharField(max_length=64, primary_key=True)
    name = models.CharField(max_length=200)
    media_type = models.CharField(max_length=100)
    size = models.PositiveBigIntegerField()
    content = models.BinaryField()
    at = models.DateTimeField()
    by = models.CharField(max_length=12)


class PermitFile(models.Model):
    """One version of a permit's file: a permit is read from its newest; older ones stay."""

    no = models.CharField(max_length=80)
    number = models.PositiveIntegerField()
    text = models.TextField()
    sha256 = models.CharField(max_length=64)
    at = models.DateTimeField()
    by = models.CharField(max_length=12)
    why = models.CharField(max_length=400, blank=True)
    paper = models.ForeignKey(StoredFile, null=True, on_delete=models.PROTECT)

    class Meta:
        """Numbered 1, 2, 3 ... per permit."""

        constraints: ClassVar = [models.UniqueConstraint(fields=["no", "number"], name="permit_version")]


class Confirmation(models.Model):
    """Somebody compared one version of a clause with the paper. ``digest``: of the clause as it was then."""

    no = models.CharField(max_length=80)
    clause = models.CharField(max_length=40)
    version = models.PositiveIntegerField()
    digest = models.CharField(max_length=64)
    by = models.CharField(max_length=12)
    at = models.DateTimeField()

    class Meta:
        """Once a person and clause as it stands."""

        constraints: ClassVar = [
            models.UniqueConstraint(fields=["no", "clause", "digest", "by"], name="confirmed_once")
        ]


class LayoutFile(models.Model):
    """One version of an agency's layout, in the form of a layout file."""

    name = models.CharField(max_length=80)
    number = models.PositiveIntegerField()
    text = models.TextField()
    at = models.DateTimeField()
    by = models.CharField(max_length=12)

    class Meta:
        """Numbered 1, 2, 3 ... per layout."""

        constraints: ClassVar = [models.UniqueConstraint(fields=["name", "number"], name="layout_version")]


class PlanVersion(models.Model):
    """One version of an outing's plan (keys of a plan file); the newest counts until the outing is opened."""

    outing = models.CharField(max_length=64)
    number = models.PositiveIntegerField()
    body = models.JSONField()
    note = models.CharField(max_length=400, blank=True)
    dropped = models.BooleanField(default=False)
    at = models.DateTimeField()
    by = models.CharField(max_length=12)

    class Meta:
        """Numbered 1, 2, 3 ... per outing."""

        constraints: ClassVar = [models.UniqueConstraint(fields=["outing", "number"], name="plan_version")]


class EntryRow(models.Model):
    """One entry of the book, and its columns for finding it. Rows are only ever added: triggers refuse the rest.

    ``position`` is the order in which they came in, ``line`` the entry's canonical text.
    """

    position = models.BigAutoField(primary_key=True)
    hash = models.CharField(max_length=64, unique=True)
    entry = models.CharField(max_length=36, db_index=True)
    device = models.CharField(max_length=64)
    seq = models.PositiveBigIntegerField()
    prev = models.CharField(max_length=64, null=True)
    outing = models.CharField(max_length=64, null=True)
    kind = models.CharField(max_length=64)
    by = models.CharField(max_length=12)
    at = models.CharField(max_length=40)
    made_at = models.CharField(max_length=40)
    line = models.TextField()
    received_at = models.DateTimeField()

    class Meta:
        """Found by device and number, by outing, and by kind."""

        indexes: ClassVar = [
            models.Index(fields=["device", "seq"]),
            models.Index(fields=["outing", "position"]),
            models.Index(fields=["kind", "position"]),
        ]


class Touch(models.Model):
    """An entry and a reading that it can change beside that of its own outing.

    ``subject`` is an outing's key, or that of the tank book.
    """

    position = models.BigIntegerField()
    subject = models.CharField(max_length=64)

    class Meta:
        """Once each."""

        constraints: ClassVar = [models.UniqueConstraint(fields=["subject", "position"], name="touched_once")]


class Naming(models.Model):
    """An entry that speaks of another one by its id: strikes and answers. ``named`` may not have come in yet."""

    position = models.BigIntegerField()
    named = models.CharField(max_length=36)

    class Meta:
        """Once each."""

        constraints: ClassVar = [models.UniqueConstraint(fields=["named", "position"], name="named_once")]


class Said(models.Model):
    """The words of an entry, for searching: calls, remarks, reasons."""

    position = models.BigIntegerField(primary_key=True)
    outing = models.CharField(max_length=64, null=True)
    kind = models.CharField(max_length=64)
    at = models.CharField(max_length=40)
    text = models.TextField()


class Reading(models.Model):
    """What the book says about one subject, worked out once and kept until an entry touches it.

    It holds while ``position`` (the last entry it has in it) is at least ``wanted`` (the last that touches it).
    ``brief`` holds what lists need, ``body`` everything.
    """

    kind = models.CharField(max_length=40)
    key = models.CharField(max_length=200)
    wanted = models.BigIntegerField()
    position = models.BigIntegerField(default=-1)
    brief = models.JSONField(default=dict)
    body = models.TextField(default="")

    class Meta:
        """One of a kind and key."""

        constraints: ClassVar = [models.UniqueConstraint(fields=["kind", "key"], name="one_reading")]


class Device(models.Model):
    """A phone or tablet that may send entries. ``key`` is d1, d2 ...; ``token`` the SHA-256 of its token."""

    key = models.CharField(max_length=64, unique=True)
    label = models.CharField(max_length=80)
    person = models.ForeignKey(Person, null=True, on_delete=models.PROTECT)
    token = models.CharField(max_length=64, unique=True)
    enrolled_at = models.DateTimeField()
    enrolled_by = models.CharField(max_length=12)
    last_seen = models.DateTimeField(null=True)
    clock_off_s = models.FloatField(null=True)
    revoked_at = models.DateTimeField(null=True)


class OneTime(models.Model):
    """A code or link that works once. ``digest`` is the SHA-256 of the code; ``use``: sign-in, set-up or device.

    ``device`` is the key that a device is given back which had it before.
    """

    digest = models.CharField(max_length=64, unique=True)
    use = models.CharField(max_length=12)
    person = models.ForeignKey(Person, null=True, on_delete=models.CASCADE)
    label = models.CharField(max_length=80, blank=True)
    device = models.CharField(max_length=64, blank=True)
    made_at = models.DateTimeField()
    made_by = models.CharField(max_length=12, blank=True)
    ends_at = models.DateTimeField()
    used_at = models.DateTimeField(null=True)


class SignInTry(models.Model):
    """A sign-in that failed, for slowing down those who guess."""

    login = models.CharField(max_length=80)
    address = models.CharField(max_length=64)
    at = models.DateTimeField(db_index=True)


class Typing(models.Model):
    """A paper sheet being typed in: kept while somebody types, compared with the other typing of the same sheet."""

    outing = models.CharField(max_length=64)
    sheet = models.CharField(max_length=80)
    number = models.PositiveSmallIntegerField()
    by = models.CharField(max_length=12)
    at = models.DateTimeField()
    body = models.JSONField()
    done = models.BooleanField(default=False)
    entered_at = models.DateTimeField(null=True)

    class Meta:
        """First and second typing of a sheet."""

        constraints: ClassVar = [
            models.UniqueConstraint(fields=["outing", "sheet", "number"], name="typed_once")
        ]


class BringIn(models.Model):
    """Sheets handed in, with their map and answers so far; nothing of them is in the book until confirmed.

    ``choices`` holds what was seen in the files and what was chosen for outings that the book has already;
    ``progress`` how far the writing is.
    """

    name = models.CharField(max_length=200)
    at = models.DateTimeField()
    by = models.CharField(max_length=12)
    files = models.JSONField(default=list)
    map = models.TextField(blank=True)
    answers = models.TextField(blank=True)
    choices = models.JSONField(default=dict)
    progress = models.JSONField(default=dict)
    entered_at = models.DateTimeField(null=True)
    entries = models.PositiveIntegerField(default=0)
