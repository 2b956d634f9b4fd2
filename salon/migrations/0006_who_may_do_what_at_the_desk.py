"""The desk's new permissions: hours, waiting list, messages, intakes, calendars, and making two records one.

As in 0002, the permissions are made here because the roles need them now.
"""

from django.db import migrations

DESK = {
    "clients": ["add_merge", "change_merge", "view_merge", "add_intakelink", "change_intakelink", "view_intakelink"],
    "fittings": [
        "view_waitingentry",
        "add_waitingentry",
        "change_waitingentry",
        "view_reminder",
        "change_reminder",
        "view_awaitedpiece",
        "add_awaitedpiece",
        "change_awaitedpiece",
        "view_unittotry",
        "add_unittotry",
        "change_unittotry",
        "delete_unittotry",
        "view_timeoff",
        "add_timeoff",
        "change_timeoff",
        "delete_timeoff",
        "view_servicekind",
        "view_place",
        "view_openinghours",
        "view_workinghours",
        "view_closure",
    ],
}
STYLIST = {"clients": ["view_intake", "change_intake"], "fittings": ["view_calendarfeed", "add_calendarfeed"]}
OWNER = {
    "clients": ["import_clients"],
    "fittings": [
        "change_calendarfeed",
        *(
            f"{verb}_{record}"
            for record in ("servicekind", "place", "openinghours", "workinghours", "closure")
            for verb in ("add", "change", "delete")
        ),
    ],
    "salon": ["view_user", "add_user", "change_user"],
}
ROLES = {"Front desk": [DESK], "Stylist": [DESK, STYLIST], "Owner": [DESK, STYLIST, OWNER]}
ON_MODEL = {"import_clients": ("clients", "client")}
NAMES = {"import_clients": "Can take clients in from a file"}


def give(apps, schema_editor):
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
        ("salon", "0005_the_country_numbers_are_from"),
        ("clients", "0007_email_as_quick_find_compares_it"),
        ("fittings", "0007_no_two_at_once_among_many"),
    ]
    operations = [migrations.RunPython(give, take_back)]
