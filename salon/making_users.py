"""Makes the people who can sign in, each with one role, and ends their access when they leave."""

from __future__ import annotations

from django.contrib.auth.models import Group
from django.contrib.auth.password_validation import validate_password
from django.core.exceptions import ValidationError
from django.db import transaction

from salon.models import User


@transaction.atomic
def make_user(*, username: str, role: str, password: str, first_name: str = "", last_name: str = "") -> User:
    """Let somebody sign in with what her role may do; ValidationError for a role, name or password that won't do.

    The roles and their permissions are made by a migration of `salon`.
    """
    user = User(username=username.strip(), first_name=first_name.strip(), last_name=last_name.strip())
    group = Group.objects.filter(name=role).first()
    if group is None:
        roles = ", ".join(Group.objects.order_by("name").values_list("name", flat=True))
        raise ValidationError({"role": f"“{role}” is no role here. The roles are: {roles or 'none yet; run migrate'}."})
    try:
        validate_password(password, user)
    except ValidationError as refusal:
        raise ValidationError({"password": refusal.messages}) from refusal
    user.set_password(password)
    user.full_clean()
    user.save()
    user.groups.set([group])
    return user


@transaction.atomic
def end_access(*, user: User) -> User:
    """Keep her name on what she did and let her in no more; what is open on her devices ends with the next page."""
    user.is_active = False
    user.full_clean()
    user.save(update_fields=["is_active"])
    return user
