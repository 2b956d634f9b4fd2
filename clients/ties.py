"""Which of a client's rows hang together, so that parting two records tears nothing apart.

A reminder hangs on its appointment, a visit on its assessment. Two rows hang together when a third, or one of the two,
points at both; the tables are found by their foreign keys, one or two steps long, so that one added later is not
forgotten.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Mapping
from itertools import pairwise
from typing import Any

from django.apps import apps
from django.core.exceptions import ValidationError
from django.db.models import ForeignKey, Model, Q
from simple_history.models import HistoricalChanges

from clients.belonging import Belonging, belongings
from clients.models import Client

Node = tuple[Belonging, int]


class Ties:
    """The rows of one client, and for each those it hangs together with."""

    def __init__(self) -> None:
        self.tied: dict[Node, set[Node]] = defaultdict(set)

    @classmethod
    def of(cls, client: Client) -> Ties:
        ties = cls()
        for model, ends in _tables_that_tie():
            hers = Q()
            for path, belonging in ends:
                hers |= Q(**{f"{path}__{belonging.field}" if path else belonging.field: client})
            columns = [f"{path}__pk" if path else "pk" for path, _ in ends]
            owners = [f"{path}__{belonging.field}" if path else belonging.field for path, belonging in ends]
            for row in model._base_manager.filter(hers).values_list(*columns, *owners):
                keys, whose = row[: len(ends)], row[len(ends) :]
                nodes = [
                    (belonging, key)
                    for (_, belonging), key, owner in zip(ends, keys, whose, strict=True)
                    if owner == client.pk
                ]
                for one, other in pairwise(nodes):
                    ties.tied[one].add(other)
                    ties.tied[other].add(one)
        return ties

    def gather(self, moving: dict[Belonging, set[int]], *, newest: Mapping[str, int]) -> list[str]:
        """Add to `moving` what was written since and hangs on it; returns a sentence about each table it is in.

        Raises ValidationError when it hangs on something older that stays as well.
        """
        went: dict[Belonging, int] = defaultdict(int)
        open_nodes = [(belonging, key) for belonging, keys in moving.items() for key in keys]
        while open_nodes:
            for belonging, key in self.tied.get(open_nodes.pop(), ()):
                if key in moving.get(belonging, ()):
                    continue
                if key <= newest.get(belonging.label, 0):
                    row = belonging.rows().get(pk=key)
                    raise ValidationError(
                        f"{str(belonging.model._meta.verbose_name).capitalize()} {row} has since been joined with what "
                        "came from the other record; the two can't be parted any more."
                    )
                moving.setdefault(belonging, set()).add(key)
                went[belonging] += 1
                open_nodes.append((belonging, key))
        what = (f"{count} {table.name_of(count)}" for table, count in went.items())
        return [f"Written since, and gone back with what it hangs on: {some}." for some in what]


def _tables_that_tie() -> Iterator[tuple[type[Model], list[tuple[str, Belonging]]]]:
    """Each table that points at two kinds of a client's rows, or is one and points at another; with the paths."""
    owned: dict[type[Model], Belonging] = {belonging.model: belonging for belonging in belongings()}
    for model in apps.get_models():
        if issubclass(model, HistoricalChanges) or model._meta.app_label not in {
            b.model._meta.app_label for b in owned.values()
        }:
            continue
        ends = [("", owned[model])] if model in owned else []
        for step in _steps(model):
            if step.related_model in owned:
                ends.append((step.name, owned[step.related_model]))
            else:
                ends += [
                    (f"{step.name}__{further.name}", owned[further.related_model])
                    for further in _steps(step.related_model)
                    if further.related_model in owned
                ]
        if len(ends) > 1:
            yield model, ends


def _steps(model: Any) -> list[Any]:
    return [
        field
        for field in model._meta.concrete_fields
        if isinstance(field, ForeignKey) and field.related_model != Client
    ]
