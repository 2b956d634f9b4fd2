"""Which rows of the whole project belong to a client, and which of them one record can't have beside another's.

Found by walking the relations that point at `Client`, so that a table added later is not forgotten: nothing above this
app is named here. A relation or a constraint that the walk can't follow raises TypeError; a test asks for every one.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from django.contrib.postgres.constraints import ExclusionConstraint
from django.db.models import F, Field, ForeignKey, Func, ManyToOneRel, Max, Model, Q, QuerySet, UniqueConstraint
from simple_history.models import HistoricalChanges

from clients.models import Client

# What says something of the record itself, or is made anew from it, and so goes nowhere.
OF_THE_RECORD = {"clients.client.merged_into", "clients.merge.kept", "clients.merge.gone", "clients.searchkey.client"}


@dataclass(frozen=True)
class Belonging:
    """One table whose rows belong to a client, by one of its columns."""

    model: type[Model]
    field: str

    @property
    def label(self) -> str:
        return f"{self.model._meta.label_lower}.{self.field}"

    @property
    def name(self) -> str:
        return str(self.model._meta.verbose_name_plural)

    def name_of(self, count: int) -> str:
        """What so many of its rows are called: one consent, two consents."""
        return str(self.model._meta.verbose_name) if count == 1 else self.name

    @property
    def view_permission(self) -> str:
        return f"{self.model._meta.app_label}.view_{self.model._meta.model_name}"

    def rows(self) -> QuerySet[Any]:
        return self.model._base_manager.order_by("pk")

    def of(self, client: Client) -> QuerySet[Any]:
        return self.rows().filter(**{self.field: client})

    def newest(self) -> int:
        return int(self.rows().aggregate(newest=Max("pk"))["newest"] or 0)


@dataclass(frozen=True)
class Clash:
    """A row of each record, of which one record can't have both, and the sentence of the constraint that says so."""

    belonging: Belonging
    row: Any
    other: Any
    message: str


def belongings() -> list[Belonging]:
    """Every table whose rows belong to a client, but those that are about the record itself and what was before."""
    found = []
    for relation in Client._meta.get_fields(include_hidden=True):
        if not relation.auto_created or relation.concrete or issubclass(relation.related_model, HistoricalChanges):  # type: ignore[arg-type]  # a relation's model is a class by now
            continue
        if not isinstance(relation, ManyToOneRel) or not isinstance(relation.field, ForeignKey):
            raise TypeError(f"{relation} points at a client in a way that merging does not know: use a foreign key.")
        belonging = Belonging(relation.related_model, relation.field.name)
        if belonging.label not in OF_THE_RECORD:
            found.append(belonging)
    return sorted(found, key=lambda belonging: belonging.label)


def clashes(belonging: Belonging, keep: Client, gone: Client) -> Iterator[Clash]:
    """The rows of `gone` that can't stand beside a row of `keep`, each with the first such row."""
    field: Field[Any, Any] = belonging.model._meta.get_field(belonging.field)  # type: ignore[assignment]  # it is concrete
    if belonging.model._meta.unique_together:
        raise TypeError(f"{belonging.label}: write unique_together as constraints, which merging can read.")
    if field.unique:
        yield from _alike(
            belonging, keep, gone, Q(), [], f"There is one {belonging.model._meta.verbose_name} of a client."
        )
    for constraint in belonging.model._meta.constraints:
        message = str(constraint.violation_error_message)
        if isinstance(constraint, UniqueConstraint):
            if constraint.expressions:
                raise TypeError(f"{constraint.name}: merging reads constraints of fields, not of expressions.")
            if belonging.field in constraint.fields:
                others = [name for name in constraint.fields if name != belonging.field]
                yield from _alike(belonging, keep, gone, constraint.condition or Q(), others, message)
        elif isinstance(constraint, ExclusionConstraint) and (span := _span_kept_apart(constraint, belonging.field)):
            yield from _at_once(belonging, keep, gone, constraint.condition or Q(), span, message)


def _alike(
    belonging: Belonging, keep: Client, gone: Client, condition: Q, others: list[str], message: str
) -> Iterator[Clash]:
    def known(row: Model) -> tuple[Any, ...]:
        return tuple(getattr(row, belonging.model._meta.get_field(name).attname) for name in others)  # type: ignore[union-attr]  # a column

    kept: dict[tuple[Any, ...], Model] = {known(row): row for row in belonging.of(keep).filter(condition)}
    for row in belonging.of(gone).filter(condition) if kept else ():
        if known(row) in kept and None not in known(row):
            yield Clash(belonging, row, kept[known(row)], message)


def _span_kept_apart(constraint: ExclusionConstraint, field: str) -> tuple[str, str] | None:
    """The columns of the time during which a client can have one row only; None when the constraint is about others."""
    keys = [str(key) for key, operator in constraint.expressions if isinstance(key, str) and operator == "="]
    spans = [key for key, operator in constraint.expressions if isinstance(key, Func) and operator == "&&"]
    if field not in keys:
        return None
    parts: list[Any] = [part for span in spans for part in span.get_source_expressions()]
    columns = [str(vars(part)["name"]) for part in parts if isinstance(part, F)]
    if keys != [field] or len(columns) != 2 or len(constraint.expressions) != 2:
        raise TypeError(f"{constraint.name}: merging reads one span of two columns and the client.")
    return columns[0], columns[1]


def _at_once(
    belonging: Belonging, keep: Client, gone: Client, condition: Q, span: tuple[str, str], message: str
) -> Iterator[Clash]:
    begins, ends = span
    kept = list(belonging.of(keep).filter(condition))
    for row in belonging.of(gone).filter(condition):
        for other in kept:  # half-open: touching is not sharing
            if getattr(row, begins) < getattr(other, ends) and getattr(other, begins) < getattr(row, ends):
                yield Clash(belonging, row, other, message)
                break
