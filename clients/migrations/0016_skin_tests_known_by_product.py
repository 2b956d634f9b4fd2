"""Tests on file get the folded name of what was tested, and say from when they could be read: 48 hours on."""

from datetime import timedelta

from django.db import migrations

from clients.models.search import folded_whole


def fill(apps, schema_editor):
    SkinTest = apps.get_model("clients", "SkinTest")
    rows = SkinTest.objects.using(schema_editor.connection.alias)
    for test in rows.all().iterator(chunk_size=500):
        read_from = test.read_from or test.applied_at + timedelta(hours=48)
        rows.filter(pk=test.pk).update(product_key=folded_whole(test.product), read_from=read_from)


class Migration(migrations.Migration):
    dependencies = [("clients", "0015_skin_tests_struck_out_and_known_by_product")]
    operations = [migrations.RunPython(fill, migrations.RunPython.noop)]
