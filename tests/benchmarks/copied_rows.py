"""Makes many rows out of one, in one statement each: half a million objects would take minutes to make."""

from django.db import connection


def copy(model, numbers, where, **changed):
    """Every row that `where` finds once more for each number n; `changed` says in SQL what a column then holds.

    Constraints and triggers look at each row. A changed `id` leaves the sequence of PostgreSQL behind.
    """
    columns = [
        field.column for field in model._meta.concrete_fields if not field.primary_key or field.column in changed
    ]
    taken = ", ".join(changed.get(column, column) for column in columns)
    table = model._meta.db_table
    copies = f"(SELECT {numbers.start} UNION ALL SELECT n + 1 FROM copies WHERE n + 1 < {numbers.stop})"  # noqa: S608  # numbers of our own
    into = f"INSERT INTO {table} ({', '.join(columns)})"
    source = f"SELECT {taken} FROM {table}, copies WHERE {where}"  # noqa: S608  # names of our own
    with connection.cursor() as cursor:
        cursor.execute(f"WITH RECURSIVE copies(n) AS {copies} {into} {source}")


def analyse():
    """Let PostgreSQL look at what has grown, which it does by itself, only later."""
    if connection.vendor == "postgresql":
        with connection.cursor() as cursor:
            cursor.execute("ANALYZE")
