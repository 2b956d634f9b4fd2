"""A constraint against two rows that share time, on the databases that have one.

PostgreSQL refuses the overlap itself by an exclusion constraint. SQLite has none: there a trigger, made in the same
migration that adds the constraint, refuses it (see `fittings.migrations`), and this class does nothing.
"""

from __future__ import annotations

from typing import Any

from django.contrib.postgres.constraints import ExclusionConstraint


class PostgresExclusion(ExclusionConstraint):
    """An exclusion constraint that other databases pass over."""

    def constraint_sql(self, model: Any, schema_editor: Any) -> Any:
        return super().constraint_sql(model, schema_editor) if _is_postgres(schema_editor.connection) else None

    def create_sql(self, model: Any, schema_editor: Any) -> Any:
        return super().create_sql(model, schema_editor) if _is_postgres(schema_editor.connection) else None

    def remove_sql(self, model: Any, schema_editor: Any) -> Any:
        return super().remove_sql(model, schema_editor) if _is_postgres(schema_editor.connection) else None

    def validate(self, model: Any, instance: Any, exclude: Any = None, using: str = "default") -> None:
        """Asks nothing: the deed refuses an overlap with who, where and until when, the database has the last word."""


def _is_postgres(connection: Any) -> bool:
    return bool(connection.vendor == "postgresql")
