"""Three roles, and the permissions each of them holds.

Django makes permissions after all migrations have run; a role made here needs them now, so they are made here too.
"""

from django.db import migrations

DESK = {
    "clients": ["view_client", "add_client", "change_client", "view_consent", "add_consent", "change_consent"],
    "fittings": ["view_appointment", "add_appointment", "change_appointment"],
    "pieces": ["view_base", "view_piece", "view_shade", "view_variant", "view_unit"],
}
STYLIST = {
    "clients": [
        "view_health",
        "view_assessment",
        "add_assessment",
        "change_assessment",
        "view_sensitivity",
        "add_sensitivity",
        "view_skintest",
        "add_skintest",
        "change_skintest",
    ],
    "fittings": [
        "view_fitting",
        "add_fitting",
        "change_fitting",
        "view_candidate",
        "add_candidate",
        "delete_candidate",
        "view_tryon",
        "add_tryon",
        "change_tryon",
        "view_service",
        "add_service",
        "delete_service",
        "view_override",
        "view_houserule",
    ],
}
OWNER = {
    "clients": ["view_accessentry"],
    "fittings": ["pass_stop", "change_houserule", "add_override"],
    "pieces": [
        f"{verb}_{record}"
        for verb in ("add", "change")
        for record in ("maker", "base", "piece", "shade", "variant", "unit")
    ],
    "salon": ["change_salon"],
}
ROLES = {"Front desk": [DESK], "Stylist": [DESK, STYLIST], "Owner": [DESK, STYLIST, OWNER]}

# permissions that stand on a model but are not named after it
ON_MODEL = {"view_health": ("clients", "client"), "pass_stop": ("fittings", "override")}
NAMES = {"view_health": "Can see assessments and health facts", "pass_stop": "May go past a stop with a written reason"}


def make_roles(apps, schema_editor):
    Group = apps.get_model("auth", "Group")
    Permission = apps.get_model("auth", "Permission")
    ContentType = apps.get_model("contenttypes", "ContentType")
    for role, parts in ROLES.items():
        group, _ = Group.objects.get_or_create(name=role)
        for part in parts:
            for app, codenames in part.items():
                for codename in codenames:
                    label, model = ON_MODEL.get(codename, (app, codename.split("_", 1)[1]))
                    kind, _ = ContentType.objects.get_or_create(app_label=label, model=model)
                    permission, _ = Permission.objects.get_or_create(
                        codename=codename,
                        content_type=kind,
                        defaults={"name": NAMES.get(codename, "Can " + codename.replace("_", " "))},
                    )
                    group.permissions.add(permission)


def remove_roles(apps, schema_editor):
    apps.get_model("auth", "Group").objects.filter(name__in=ROLES).delete()


class Migration(migrations.Migration):
    dependencies = [
        ("salon", "0001_users_and_the_salon"),
        ("clients", "0001_clients_and_their_assessments"),
        ("pieces", "0001_bases_pieces_shades_and_units"),
        ("fittings", "0001_appointments_visits_and_house_rules"),
        ("auth", "0012_alter_user_first_name_max_length"),
        ("contenttypes", "0002_remove_content_type_name"),
    ]
    operations = [migrations.RunPython(make_roles, remove_roles)]
