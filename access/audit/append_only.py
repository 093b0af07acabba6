"""Makes a table append-only in the database itself, so that no code path can rewrite what was kept.

It is used by migrations only and knows nothing of what the tables hold.
"""

from functools import partial

from django.apps.registry import Apps
from django.db import migrations
from django.db.backends.base.schema import BaseDatabaseSchemaEditor

_SQLITE = """
CREATE TRIGGER {table}_no_{word} BEFORE {verb} ON {table}
BEGIN SELECT RAISE(ABORT, '{table} is append-only'); END
"""
_POSTGRESQL_FUNCTION = """
CREATE FUNCTION {table}_append_only() RETURNS trigger LANGUAGE plpgsql AS
$$ BEGIN RAISE EXCEPTION '{table} is append-only'; END $$
"""
_POSTGRESQL = """
CREATE TRIGGER {table}_no_{word} BEFORE {verb} ON {table}
FOR EACH STATEMENT EXECUTE FUNCTION {table}_append_only()
"""


def append_only(table: str) -> migrations.RunPython:
    """The operation that forbids UPDATE and DELETE on a table, and TRUNCATE where the store has it."""
    return migrations.RunPython(partial(_forbid, table=table), partial(_allow, table=table))


def _forbid(_apps: Apps, editor: BaseDatabaseSchemaEditor, *, table: str) -> None:
    template = _SQLITE
    if editor.connection.vendor == "postgresql":
        template = _POSTGRESQL
        editor.execute(_POSTGRESQL_FUNCTION.format(table=table))
    for verb in _verbs(editor):
        editor.execute(template.format(table=table, verb=verb, word=verb.lower()))


def _allow(_apps: Apps, editor: BaseDatabaseSchemaEditor, *, table: str) -> None:
    on = f" ON {table}" if editor.connection.vendor == "postgresql" else ""
    for verb in _verbs(editor):
        editor.execute(f"DROP TRIGGER {table}_no_{verb.lower()}{on}")
    if editor.connection.vendor == "postgresql":
        editor.execute(f"DROP FUNCTION {table}_append_only()")


def _verbs(editor: BaseDatabaseSchemaEditor) -> tuple[str, ...]:
    """What is forbidden: SQLite has no TRUNCATE."""
    return ("UPDATE", "DELETE", "TRUNCATE") if editor.connection.vendor == "postgresql" else ("UPDATE", "DELETE")
