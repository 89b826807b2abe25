"""The triggers that keep entries: the database itself refuses to change or remove them."""

from __future__ import annotations

from typing import Any

TABLE = "station_entryrow"
SAYING = "entries are only ever added"

_SQLITE = [
    f"CREATE TRIGGER {TABLE}_no_update BEFORE UPDATE ON {TABLE} BEGIN SELECT RAISE(ABORT, '{SAYING}'); END",
    f"CREATE TRIGGER {TABLE}_no_delete BEFORE DELETE ON {TABLE} BEGIN SELECT RAISE(ABORT, '{SAYING}'); END",
]
_POSTGRESQL = [
    f"""CREATE FUNCTION {TABLE}_stays() RETURNS trigger LANGUAGE plpgsql AS
        $$ BEGIN RAISE EXCEPTION '{SAYING}'; END $$""",
    f"""CREATE TRIGGER {TABLE}_no_change BEFORE UPDATE OR DELETE ON {TABLE}
        FOR EACH ROW EXECUTE FUNCTION {TABLE}_stays()""",
    f"""CREATE TRIGGER {TABLE}_no_truncate BEFORE TRUNCATE ON {TABLE}
        FOR EACH STATEMENT EXECUTE FUNCTION {TABLE}_stays()""",
]


_SQLITE_OFF = [f"DROP TRIGGER IF EXISTS {TABLE}_no_update", f"DROP TRIGGER IF EXISTS {TABLE}_no_delete"]
_POSTGRESQL_OFF = [
    f"DROP TRIGGER IF EXISTS {TABLE}_no_change ON {TABLE}",
    f"DROP TRIGGER IF EXISTS {TABLE}_no_truncate ON {TABLE}",
    f"DROP FUNCTION IF EXISTS {TABLE}_stays()",
]


def add(apps: Any, editor: Any) -> None:
    """Add the triggers."""
    for statement in _POSTGRESQL if editor.connection.vendor == "postgresql" else _SQLITE:
        editor.execute(statement)


def put_back(connection: Any) -> None:
    """Add the triggers anew, whatever is left of them."""
    take_off(connection)
    _run(connection, _POSTGRESQL if connection.vendor == "postgresql" else _SQLITE)


def take_off(connection: Any) -> None:
    """Remove the triggers. Only a restore does so, inside the transaction in which it puts them back."""
    _run(connection, _POSTGRESQL_OFF if connection.vendor == "postgresql" else _SQLITE_OFF)


def standing(connection: Any) -> bool:
    """Say whether the triggers stand as they were made."""
    with connection.cursor() as cursor:
        if connection.vendor == "postgresql":
            cursor.execute(
                "SELECT count(*), bool_and(t.tgenabled = 'O' AND p.prosrc LIKE '%%RAISE EXCEPTION%%') "
                "FROM pg_trigger t JOIN pg_proc p ON p.oid = t.tgfoid "
                "WHERE t.tgrelid = %s::regclass AND NOT t.tgisinternal",
                [TABLE],
            )
            return bool(cursor.fetchone() == (2, True))
        cursor.execute("SELECT sql FROM sqlite_master WHERE type = 'trigger' AND tbl_name = %s", [TABLE])
        return sorted(sql for (sql,) in cursor.fetchall()) == sorted(_SQLITE)


def _run(connection: Any, statements: list[str]) -> None:
    with connection.cursor() as cursor:
        for statement in statements:
            cursor.execute(statement)
