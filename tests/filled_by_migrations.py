"""Makes the roles and reasons as the migrations make them, where a test with its own transactions emptied the tables.

The migrations ask for each permission of each role by itself. They do so once; after that what they made is written
down again in a few queries, for every test with its own transactions ends so.
"""

from importlib import import_module

from django.apps import apps
from django.contrib.auth.models import Group, Permission

from pieces.models import ReturnReason

KEY = ("content_type__app_label", "content_type__model", "codename")
MADE = {}  # the name of a role, and the keys of all its permissions


def fill_anew():
    if not ReturnReason.objects.exists():
        import_module("pieces.migrations.0004_every_units_first_movement_and_reasons").add_reasons(apps, None)
    if not MADE or not _write_down_again():
        _make_as_the_migrations_do()
        MADE.update((group.name, set(group.permissions.values_list(*KEY))) for group in Group.objects.all())


def _make_as_the_migrations_do():
    import_module("salon.migrations.0002_roles_and_what_they_may_do").make_roles(apps, None)
    import_module("salon.migrations.0004_who_may_see_photos_and_read_shades").give(apps, None)
    import_module("salon.migrations.0006_who_may_do_what_at_the_desk").give(apps, None)
    import_module("salon.migrations.0008_who_may_keep_the_record_of_a_piece").give(apps, None)
    import_module("salon.migrations.0010_who_may_sell_order_and_review").give(apps, None)


def _write_down_again():
    """Whether that could be done: not where a permission is missing, or a role is there already."""
    permissions = {tuple(key): pk for pk, *key in Permission.objects.values_list("pk", *KEY)}
    if Group.objects.exists() or not all(keys <= permissions.keys() for keys in MADE.values()):
        return False
    groups = Group.objects.bulk_create(Group(name=name) for name in MADE)
    Holds = Group.permissions.through
    Holds.objects.bulk_create(
        Holds(group=group, permission_id=permissions[key]) for group in groups for key in MADE[group.name]
    )
    return True
