"""The permissions of orders, sales, returns and the review.

As in 0002, the permissions are made here because the roles need them now.
"""

from django.db import migrations

DESK = {
    "pieces": [
        "view_sale",
        "add_sale",
        "change_sale",
        "view_saleline",
        "view_payment",
        "add_payment",
        "view_receipt",
        "view_return",
        "add_return",
        "view_returnreason",
        "view_pricedservice",
        "view_taxrate",
        "view_makerorder",
        "view_orderline",
        "add_orderline",
        "view_stockmovement",
        "add_stockmovement",
        "view_stocktake",
        "add_stocktakescan",
        "view_piecepicture",
    ],
}
STYLIST = {"pieces": ["view_askedfor", "add_askedfor"]}
OWNER = {
    "pieces": [
        "review_sale",
        "allow_return",
        *(
            f"{verb}_{record}"
            for verb in ("add", "change")
            for record in ("taxrate", "pricedservice", "returnreason", "makerorder", "makercolumns", "stocktake")
        ),
        "change_orderline",
        "delete_orderline",
        "add_piecepicture",
        "change_piecepicture",
        "delete_piecepicture",
        "view_makercolumns",
    ]
}
ROLES = {"Front desk": [DESK], "Stylist": [DESK, STYLIST], "Owner": [DESK, STYLIST, OWNER]}

# permissions that stand on a model but are not named after it
ON_MODEL = {"review_sale": "sale", "allow_return": "return"}
NAMES = {
    "review_sale": "May see the owner's review, costs and margins",
    "allow_return": "May take back what the salon's terms refuse",
}


def give(apps, schema_editor):
    Group = apps.get_model("auth", "Group")
    Permission = apps.get_model("auth", "Permission")
    ContentType = apps.get_model("contenttypes", "ContentType")
    for role, parts in ROLES.items():
        group, _ = Group.objects.get_or_create(name=role)
        for part in parts:
            for app, codenames in part.items():
                for codename in codenames:
                    model = ON_MODEL.get(codename) or codename.split("_", 1)[1]
                    kind, _ = ContentType.objects.get_or_create(app_label=app, model=model)
                    permission, _ = Permission.objects.get_or_create(
                        codename=codename,
                        content_type=kind,
                        defaults={"name": NAMES.get(codename) or "Can " + codename.replace("_", " ")},
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
        ("salon", "0009_how_the_salon_reckons_and_takes_back"),
        ("pieces", "0003_stock_orders_and_sales"),
    ]
    operations = [migrations.RunPython(give, take_back)]
