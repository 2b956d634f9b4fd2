"""Makes the people who can sign in, each with one role; changes what they may do, ends their access when they leave.

Each deed is written down with who did it (`AccessChange`); `by` is nobody at a terminal. Nobody shuts herself out, and
somebody who may do everything stays: without an owner no person could be let in again but at a terminal.
"""

from __future__ import annotations

from axes.utils import reset as forget_wrong_passwords
from django.contrib.auth.models import Group
from django.contrib.auth.password_validation import validate_password
from django.core.exceptions import ValidationError
from django.db import transaction

from salon.models import AccessChange, User

OWNER = "Owner"
What = AccessChange.What


@transaction.atomic
def make_user(
    *, username: str, role: str, password: str, first_name: str = "", last_name: str = "", by: User | None = None
) -> User:
    """Let somebody sign in with what her role may do; ValidationError for a role, name or password that won't do.

    The roles and their permissions are made by a migration of `salon`.
    """
    user = User(username=username.strip(), first_name=first_name.strip(), last_name=last_name.strip())
    group = _role(role)
    taken = User.objects.filter(username__iexact=user.username).first()
    if taken:  # nobody tells “Desk” from “desk” by ear
        says = f"Somebody signs in by “{taken.get_username()}” already; choose another name."
        raise ValidationError({"username": says})
    _set_password(user, password)
    user.full_clean()
    user.save()
    user.groups.set([group])
    _write_down(user, What.LET_IN, by, told=role)
    return user


@transaction.atomic
def change_person(*, user: User, first_name: str, last_name: str, role: str, by: User) -> User:
    """Change how others see her and which role she holds; a change to nothing leaves no trace."""
    kept, group = _held(user), _role(role)
    named = first_name.strip(), last_name.strip()
    if named != (kept.first_name, kept.last_name):
        kept.first_name, kept.last_name = named
        kept.full_clean()
        kept.save(update_fields=["first_name", "last_name"])
        _write_down(kept, What.NAME, by, told=str(kept))
    held = sorted(kept.groups.values_list("name", flat=True))
    if held != [role]:
        if kept == by:
            raise ValidationError(
                {"role": "Your own role is changed by another owner, so that nobody shuts herself out."}
            )
        if OWNER in held:
            _another_owner_stays(kept, "role")
        kept.groups.set([group])
        _write_down(kept, What.ROLE, by, told=role)
    return kept


@transaction.atomic
def give_new_password(*, user: User, password: str, by: User | None = None) -> User:
    """Let her in by another password from now on: what is open on her devices ends, wrong tries are forgotten."""
    kept = _held(user)
    _set_password(kept, password)
    kept.save(update_fields=["password"])
    forget_wrong_passwords(username=kept.get_username())
    _write_down(kept, What.PASSWORD, by)
    return kept


@transaction.atomic
def change_own_password(*, user: User, password: str) -> User:
    """Let her choose what nobody else knows, once she has shown that she knows the old one."""
    return give_new_password(user=user, password=password, by=user)


@transaction.atomic
def end_access(*, user: User, by: User | None = None) -> User:
    """Keep her name on what she did and let her in no more; what is open on her devices ends with the next page."""
    kept = _held(user)
    if kept == by:
        raise ValidationError("Your own access is ended by another owner, so that nobody shuts herself out.")
    if not kept.is_active:
        raise ValidationError(f"{kept} can sign in no more already.")
    if kept.groups.filter(name=OWNER).exists():
        _another_owner_stays(kept)
    return _let_in(kept, False, by)


@transaction.atomic
def give_back_access(*, user: User, by: User | None = None) -> User:
    """Let somebody in again who left, with the role and the password she had."""
    kept = _held(user)
    if kept.is_active:
        raise ValidationError(f"{kept} can sign in already.")
    return _let_in(kept, True, by)


def _held(user: User) -> User:
    """Her row as stored, held against others till the deed is done; of owners, all wait for one another."""
    Group.objects.select_for_update().filter(name=OWNER).first()
    return User.objects.select_for_update().get(pk=user.pk)


def _role(role: str) -> Group:
    group = Group.objects.filter(name=role).first()
    if group is None:
        roles = ", ".join(Group.objects.order_by("name").values_list("name", flat=True))
        raise ValidationError({"role": f"“{role}” is no role here. The roles are: {roles or 'none yet; run migrate'}."})
    return group


def _set_password(user: User, password: str) -> None:
    try:
        validate_password(password, user)
    except ValidationError as refusal:
        raise ValidationError({"password": refusal.messages}) from refusal
    user.set_password(password)


def _another_owner_stays(user: User, field: str = "__all__") -> None:
    if not User.objects.filter(is_active=True, groups__name=OWNER).exclude(pk=user.pk).exists():
        raise ValidationError({field: f"{user} is the only owner who can sign in: let in another owner first."})


def _let_in(user: User, is_active: bool, by: User | None) -> User:
    user.is_active = is_active
    user.full_clean()
    user.save(update_fields=["is_active"])
    _write_down(user, What.GIVEN_BACK if is_active else What.ENDED, by)
    return user


def _write_down(user: User, what: AccessChange.What, by: User | None, told: str = "") -> None:
    change = AccessChange(user=user, what=what, by=by, told=told)
    change.full_clean()
    change.save()
