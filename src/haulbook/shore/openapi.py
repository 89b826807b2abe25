"""The OpenAPI document of what phones ask the station, made from the models of the protocol."""

from __future__ import annotations

from typing import Any

from pydantic.json_schema import models_json_schema

from haulbook.shore.kit import Kit
from haulbook.shore.picture import MEDIA_TYPE, MOST_BYTES, PictureAnswer
from haulbook.shore.sync import Enrolled, EnrolRequest, KitName, SyncAnswer, SyncRequest

_SCHEMAS = "#/components/schemas/"
_TEXT = {"type": "string"}
_NULLABLE = {"anyOf": [_TEXT, {"type": "null"}]}
_PROBLEMS = {
    "type": "object",
    "required": ["problems"],
    "properties": {
        "problems": {
            "type": "array",
            "items": {
                "type": "object",
                "required": ["kind", "message"],
                "properties": {
                    "kind": _TEXT,
                    "message": _TEXT,
                    "file": _NULLABLE,
                    "sheet": _NULLABLE,
                    "column": _NULLABLE,
                    "row": {"anyOf": [{"type": "integer"}, {"type": "null"}]},
                },
            },
        }
    },
}


def openapi(version: str) -> dict[str, Any]:
    """Return the OpenAPI 3.1 document of the routes for phones.

    Parameters
    ----------
    version : str
        Of haulbook.
    """
    _, schemas = models_json_schema(
        [
            (SyncRequest, "validation"),
            (SyncAnswer, "serialization"),
            (EnrolRequest, "validation"),
            (Enrolled, "serialization"),
            (Kit, "serialization"),
            (KitName, "serialization"),
            (PictureAnswer, "serialization"),
        ],
        ref_template=_SCHEMAS + "{model}",
    )
    device: dict[str, Any] = {"security": [{"device": []}]}
    return {
        "openapi": "3.1.0",
        "info": {"title": "haulbook: what phones ask the station", "version": version},
        "paths": {
            "/shore/sync": {"post": _sync() | device},
            "/shore/picture": {"post": _picture() | device},
            "/shore/kits": {"get": _kits() | device},
            "/shore/kit": {"get": _kit() | device},
            "/shore/enrol": {"post": _enrol()},
        },
        "components": {
            "schemas": {**schemas["$defs"], "Problems": _PROBLEMS},
            "securitySchemes": {"device": {"type": "http", "scheme": "bearer"}},
        },
    }


def _sync() -> dict[str, Any]:
    return {
        "operationId": "sync",
        "summary": "Hand in entries, and hear of those of other devices",
        "requestBody": _json("SyncRequest"),
        "responses": {
            "200": {"description": "A verdict for each entry", **_json("SyncAnswer")},
            "400": _refused("No request, or more than 500 entries: nothing was stored"),
            "401": _refused("A token that is not known here"),
            "409": _refused(
                "A cursor of another book, as after a backup was brought back: send everything again"
            ),
        },
    }


def _picture() -> dict[str, Any]:
    digest = {
        "name": "sha256",
        "in": "query",
        "required": True,
        "schema": {"type": "string", "pattern": "^[0-9a-f]{64}$"},
        "description": "Of the bytes, as the line names them",
    }
    return {
        "operationId": "picture",
        "summary": f"Hand in a picture that a line names: a JPEG of at most {MOST_BYTES} bytes",
        "parameters": [digest],
        "requestBody": {
            "required": True,
            "content": {MEDIA_TYPE: {"schema": {"type": "string", "format": "binary"}}},
        },
        "responses": {
            "200": {"description": "It is kept", **_json("PictureAnswer")},
            "400": _refused("No SHA-256, no JPEG, or other bytes than the line names: nothing was kept"),
            "401": _refused("A token that is not known here"),
            "409": _refused("No line of the book names it yet: send the line, then the picture again"),
            "413": _refused("Too many bytes"),
        },
    }


def _kits() -> dict[str, Any]:
    names = {"type": "array", "items": {"$ref": _SCHEMAS + "KitName"}}
    return {
        "operationId": "kits",
        "summary": "The kits of open outings",
        "responses": {
            "200": {
                "description": "The newest of each outing",
                "content": {"application/json": {"schema": names}},
            },
            "401": _refused("A token that is not known here"),
        },
    }


def _kit() -> dict[str, Any]:
    outing = {
        "name": "outing",
        "in": "query",
        "required": False,
        "schema": _TEXT,
        "description": "Left out: the outing that is on or comes next",
    }
    return {
        "operationId": "kit",
        "summary": "The newest kit of an outing",
        "parameters": [outing],
        "responses": {
            "200": {"description": "The kit", **_json("Kit")},
            "400": _refused("No request, or a plan that names what the station does not know"),
            "401": _refused("A token that is not known here"),
            "404": _refused("No kit was made for that outing"),
        },
    }


def _enrol() -> dict[str, Any]:
    return {
        "operationId": "enrol",
        "summary": "Become one of the station's devices",
        "requestBody": _json("EnrolRequest"),
        "responses": {
            "200": {"description": "Key and token, told this once", **_json("Enrolled")},
            "400": _refused("A code that is unknown, used or over"),
        },
    }


def _json(model: str) -> dict[str, Any]:
    return {"content": {"application/json": {"schema": {"$ref": _SCHEMAS + model}}}}


def _refused(words: str) -> dict[str, Any]:
    return {"description": words, **_json("Problems")}
