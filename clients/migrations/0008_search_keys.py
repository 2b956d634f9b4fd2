import django.db.models.deletion
from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [("clients", "0007_email_as_quick_find_compares_it")]
    operations = [
        migrations.CreateModel(
            name="SearchKey",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("key", models.BinaryField(max_length=160)),
                (
                    "client",
                    models.ForeignKey(
                        db_index=False,
                        on_delete=django.db.models.deletion.CASCADE,
                        related_name="search_keys",
                        to="clients.client",
                    ),
                ),
            ],
            options={
                "ordering": ["client", "key"],
                "indexes": [models.Index(fields=["key", "client"], name="search_key_in_order")],
                "constraints": [models.UniqueConstraint(fields=("client", "key"), name="search_key_once_for_a_client")],
            },
        ),
    ]
