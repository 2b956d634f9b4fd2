"""Every row that a post could change: read whole before and after it, and told apart."""

from contextlib import contextmanager
from functools import cache

from django.apps import apps
from django.db import connection

OURS = ("salon", "clients", "pieces", "fittings")
NOT_KEPT_BY_FORMS = ("clients_accessentry", "django_session", "axes_")  # written whether a form refuses or not
WRITES = ("INSERT", "UPDATE", "DELETE", "REPLACE")


@cache
def queries():
    """(model, the query for all its rows), the key first and without when somebody last signed in."""
    models = [model for app in OURS for model in apps.get_app_config(app).get_models(include_auto_created=True)]
    return [(model, _query(model)) for model in models if model._meta.db_table not in NOT_KEPT_BY_FORMS]


def _query(model):
    kept = [field for field in (model._meta.pk, *model._meta.concrete_fields) if field.name != "last_login"]
    columns = ", ".join(connection.ops.quote_name(field.column) for field in kept)
    return f"SELECT {columns} FROM {connection.ops.quote_name(model._meta.db_table)}"  # noqa: S608  # our own names


def all_rows():
    """{(model, key): its columns}."""
    rows = {}
    with connection.cursor() as cursor:
        for model, query in queries():
            cursor.execute(query)
            rows |= {(model, row[0]): row for row in cursor.fetchall()}
    return rows


def changed(before, after):
    """Rows that are new or different, and rows that are gone."""
    return [key for key, row in after.items() if before.get(key) != row], [key for key in before if key not in after]


@contextmanager
def writes():
    """The statements that write anything a form keeps; a list that fills while the block runs."""
    written = []

    def watch(execute, sql, params, many, context):
        if sql.lstrip().upper().startswith(WRITES) and not any(name in sql for name in NOT_KEPT_BY_FORMS):
            written.append(sql)
        return execute(sql, params, many, context)

    with connection.execute_wrapper(watch):
        yield written
