"""All that the database holds, to see that a refusal left it as it was."""

from typing import Any

from django.db import connection


def every_row() -> dict[str, list[tuple[Any, ...]]]:
    """Return every row of every table."""
    rows = {}
    with connection.cursor() as cursor:
        for table in connection.introspection.table_names(cursor):
            cursor.execute(f'SELECT * FROM "{table}" ORDER BY 1')
            rows[table] = cursor.fetchall()
    return rows
