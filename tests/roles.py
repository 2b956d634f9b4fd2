"""Makes the roles as the migrations make them, where a test with its own transactions has emptied the tables."""

from importlib import import_module

from django.apps import apps


def make_roles_anew():
    import_module("salon.migrations.0002_roles_and_what_they_may_do").make_roles(apps, None)
    import_module("salon.migrations.0004_who_may_see_photos_and_read_shades").give(apps, None)
    import_module("salon.migrations.0006_who_may_do_what_at_the_desk").give(apps, None)
    import_module("salon.migrations.0008_who_may_keep_the_record_of_a_piece").give(apps, None)
