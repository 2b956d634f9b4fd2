"""Tells the looks at a record in plain words where rows are counted by their sort."""

from django.db import migrations


class Migration(migrations.Migration):
    dependencies = [
        ("clients", "0011_merge_remembers_what_was_newest"),
    ]

    operations = [
        migrations.AlterModelOptions(
            name="accessentry",
            options={
                "ordering": ["-at", "-pk"],
                "verbose_name": "look at her record",
                "verbose_name_plural": "looks at her record",
            },
        ),
    ]
