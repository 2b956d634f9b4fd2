"""Keeps the salon's own short list of reasons for which pieces come back: the only writer of ReturnReason.

None is ever taken away, for returns name it; one that is used no more goes out of use.
"""

from __future__ import annotations

from django.core.exceptions import ValidationError
from django.db import transaction

from pieces.models import ReturnReason

MOST_IN_USE = 20  # a longer list is not read through with a client waiting


@transaction.atomic
def add_reason(*, name: str, position: int) -> ReturnReason:
    """One more reason; raises ValidationError for a name that is listed, in whatever case, or a list grown too long."""
    return _keep(ReturnReason(), name=name, position=position, is_in_use=True)


@transaction.atomic
def change_reason(*, reason: ReturnReason, name: str, position: int, is_in_use: bool) -> ReturnReason:
    """Change its words or its place, or take it out of use; returns that name it show the new words."""
    kept = ReturnReason.objects.select_for_update().get(pk=reason.pk)
    return _keep(kept, name=name, position=position, is_in_use=is_in_use)


def _keep(reason: ReturnReason, *, name: str, position: int, is_in_use: bool) -> ReturnReason:
    reason.name, reason.position, reason.is_in_use = " ".join(name.split()), position, is_in_use
    others = ReturnReason.objects.in_use().exclude(pk=reason.pk).count()
    if is_in_use and others >= MOST_IN_USE:
        raise ValidationError(f"{MOST_IN_USE} reasons are in use already; take one out of use first.")
    reason.full_clean()
    reason.save()
    return reason
