"""The permissions of owned pieces, what is done to them, their care, and the salon's products.

As in 0002, the permissions are made here because the roles need them now.
"""

from django.db import migrations

DESK = {
    "fittings": [
        "view_ownedpiece",
        "view_caredate",
        "change_caredate",
        "view_loan",
        "add_loan",
        "change_loan",
        "view_repair",
        "add_repair",
        "change_repair",
    ]
}
STYLIST = {
    "clients": ["view_product", "view_repainting", "add_repainting", "change_repainting"],
    "fittings": [
        "add_ownedpiece",
        "change_ownedpiece",
        "change_service",
        "view_wearentry",
        "add_wearentry",
        "view_wash",
        "add_wash",
        "view_washlink",
        "add_washlink",
        "change_washlink",
        "view_conditioncheck",
        "add_conditioncheck",
        "view_strandtest",
        "add_strandtest",
        "view_lifelearnt",
    ],
}
OWNER = {"clients": ["add_product", "change_product"]}
ROLES = {"Front desk": [DESK], "Stylist": [DESK, STYLIST], "Owner": [DESK, STYLIST, OWNER]}


def give(apps, schema_editor):
    Group = apps.get_model("auth", "Group")
    Permission = apps.get_model("auth", "Permission")
    ContentType = apps.get_model("contenttypes", "ContentType")
    for role, parts in ROLES.items():
        group, _ = Group.objects.get_or_create(name=role)
        for part in parts:
            for app, codenames in part.items():
                for codename in codenames:
                    kind, _ = ContentType.objects.get_or_create(app_label=app, model=codename.split("_", 1)[1])
                    permission, _ = Permission.objects.get_or_create(
                        codename=codename,
                        content_type=kind,
                        defaults={"name": "Can " + codename.replace("_", " ")},
                    )
                    group.permissions.add(permission)


def take_back(apps, schema_editor):
    Group = apps.get_model("auth", "Group")
    Permission = apps.get_model("auth", "Permission")
    for role, parts in ROLES.items():
        group = Group.objects.filter(name=role).first()
        if group:
            for part in parts:
                for app, codenames in part.items():
                    group.permissions.remove(
                        *Permission.objects.filter(content_type__app_label=app, codename__in=codenames)
                    )


class Migration(migrations.Migration):
    dependencies = [
        ("salon", "0007_what_was_done_to_somebodys_access"),
        ("clients", "0013_products_stages_and_heads_painted_twice"),
        ("fittings", "0010_owned_pieces_their_care_and_what_was_done"),
    ]
    operations = [migrations.RunPython(give, take_back)]
