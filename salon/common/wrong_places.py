"""Where a refused form is wrong: its fields in their order, each with where on the page it is asked.

What stands there is said beside the field; this is what a list at the top of the form leads with.
"""

from __future__ import annotations

from dataclasses import dataclass

from django.forms import BaseForm, BoundField


@dataclass(frozen=True)
class WrongPlace:
    """One field that is wrong: its label, the sentences, and the id of what takes the focus (none of a hidden one)."""

    label: str
    sentences: tuple[str, ...]
    anchor: str


def wrong_places(form: BaseForm) -> list[WrongPlace]:
    """The fields that are wrong, in the order they are asked in; none of a form that was not sent."""
    if not form.errors:
        return []
    return [
        WrongPlace(str(field.label), tuple(str(sentence) for sentence in field.errors), _anchor(field))
        for field in form
        if field.errors
    ]


def _anchor(field: BoundField) -> str:
    """The id of its box, or of the first choice where it is several."""
    if field.is_hidden:
        return ""
    if field.id_for_label:
        return field.id_for_label
    first = next(iter(field.subwidgets), None)
    return (first.id_for_label or "") if first else ""
