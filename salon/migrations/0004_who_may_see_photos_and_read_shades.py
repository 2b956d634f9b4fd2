"""Photos are for those who see health facts; whoever examines a client may read the salon's shades too.

As in 0002, the permissions are made here because the roles need them now.
"""

from django.db import migrations

STYLIST_AND_OWNER = {
    "clients": ["view_photo", "add_photo", "change_photo", "delete_photo"],
    "pieces": ["add_shadereading"],
}
ROLES = ("Stylist", "Owner")


def give(apps, schema_editor):
    Group = apps.get_model("auth", "Group")
    Permission = apps.get_model("auth", "Permission")
    ContentType = apps.get_model("contenttypes", "ContentType")
    for app, codenames in STYLIST_AND_OWNER.items():
        for codename in codenames:
            kind, _ = ContentType.objects.get_or_create(app_label=app, model=codename.split("_", 1)[1])
            permission, _ = Permission.objects.get_or_create(
                codename=codename, content_type=kind, defaults={"name": "Can " + codename.replace("_", " ")}
            )
            for role in ROLES:
                group, _ = Group.objects.get_or_create(name=role)
                group.permissions.add(permission)


def take_back(apps, schema_editor):
    Group = apps.get_model("auth", "Group")
    Permission = apps.get_model("auth", "Permission")
    for app, codenames in STYLIST_AND_OWNER.items():
        given = Permission.objects.filter(content_type__app_label=app, codename__in=codenames)
        for group in Group.objects.filter(name__in=ROLES):
            group.permissions.remove(*given)


class Migration(migrations.Migration):
    dependencies = [
        ("salon", "0003_the_grey_card_and_the_chart"),
        ("clients", "0005_photos_and_colours_read_from_them"),
        ("pieces", "0002_shades_read_from_photos"),
    ]
    operations = [migrations.RunPython(give, take_back)]
