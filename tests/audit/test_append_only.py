"""What is append-only stays so whatever the code does: tried by raw SQL on the store itself."""

import pytest
from django.db import DatabaseError, connection, transaction

from tests.cast import Cast, a_treatment_document, save

TABLES = ["audit_auditentry", "records_treatmentversion", "records_recordversion"]
VERBS = {
    "update": "UPDATE {table} SET id = id",
    "delete": "DELETE FROM {table}",
    "truncate": "TRUNCATE {table}",
}


def rows(table: str) -> int:
    """How many rows a table has."""
    with connection.cursor() as cursor:
        cursor.execute(f"SELECT count(*) FROM {table}")  # noqa: S608
        return int(cursor.fetchone()[0])


@pytest.mark.parametrize("table", TABLES)
@pytest.mark.parametrize("verb", VERBS)
def test_a_kept_row_cannot_be_changed_or_removed(cast: Cast, table: str, verb: str) -> None:
    if verb == "truncate" and connection.vendor == "sqlite":
        pytest.skip("SQLite has no TRUNCATE")
    save(cast, a_treatment_document(cast.graft))
    connection.check_constraints()  # PostgreSQL truncates no table whose foreign keys are yet to be checked.
    before = rows(table)
    assert before > 0
    with (
        pytest.raises(DatabaseError, match="append-only"),
        transaction.atomic(),
        connection.cursor() as cursor,
    ):
        cursor.execute(VERBS[verb].format(table=table))
    assert rows(table) == before
