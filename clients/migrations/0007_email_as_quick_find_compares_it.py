"""Fills in the e-mail addresses that quick find compares."""

from django.db import migrations


def fold(apps, schema_editor):
    Client = apps.get_model("clients", "Client")
    batch = []
    for client in Client.objects.exclude(email="").only("pk", "email").iterator(chunk_size=2_000):
        client.email_folded = client.email.strip().casefold()[:254]
        batch.append(client)
        if len(batch) == 2_000:
            Client.objects.bulk_update(batch, ["email_folded"])
            batch = []
    Client.objects.bulk_update(batch, ["email_folded"])


class Migration(migrations.Migration):
    dependencies = [("clients", "0006_intakes_signatures_and_merged_records")]
    operations = [migrations.RunPython(fold, migrations.RunPython.noop)]
