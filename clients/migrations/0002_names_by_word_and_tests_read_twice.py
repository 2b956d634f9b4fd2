import datetime

import django.db.models.deletion
from django.conf import settings
from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [
        ("clients", "0001_clients_and_their_assessments"),
        migrations.swappable_dependency(settings.AUTH_USER_MODEL),
    ]

    operations = [
        migrations.CreateModel(
            name="NameWord",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("word", models.CharField(db_index=True, max_length=80)),
            ],
            options={
                "ordering": ["client", "word"],
            },
        ),
        migrations.RemoveField(
            model_name="client",
            name="preferred_folded",
        ),
        migrations.AddField(
            model_name="skintest",
            name="earlier_read_at",
            field=models.DateTimeField(blank=True, null=True, verbose_name="first read, clear"),
        ),
        migrations.AddField(
            model_name="skintest",
            name="earlier_read_by",
            field=models.ForeignKey(
                blank=True,
                null=True,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="+",
                to=settings.AUTH_USER_MODEL,
            ),
        ),
        migrations.AlterField(
            model_name="client",
            name="family_folded",
            field=models.CharField(editable=False, max_length=80),
        ),
        migrations.AlterField(
            model_name="client",
            name="given_folded",
            field=models.CharField(editable=False, max_length=80),
        ),
        migrations.AddConstraint(
            model_name="client",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    ("born_on__isnull", True), ("born_on__gte", datetime.date(1900, 1, 1)), _connector="OR"
                ),
                name="client_born_since_1900",
                violation_error_message="A date of birth lies in 1900 or later; write the year with four digits.",
            ),
        ),
        migrations.AddConstraint(
            model_name="skintest",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    models.Q(("earlier_read_at__isnull", True), ("earlier_read_by__isnull", True)),
                    models.Q(
                        ("earlier_read_at__gte", models.F("applied_at")),
                        ("earlier_read_at__lte", models.F("read_at")),
                        ("earlier_read_by__isnull", False),
                    ),
                    _connector="OR",
                ),
                name="skin_test_read_again_after_the_first_time",
                violation_error_message="A skin test is read again after it was read the first time.",
            ),
        ),
        migrations.AddField(
            model_name="nameword",
            name="client",
            field=models.ForeignKey(
                db_index=False,
                on_delete=django.db.models.deletion.CASCADE,
                related_name="name_words",
                to="clients.client",
            ),
        ),
        migrations.AddConstraint(
            model_name="nameword",
            constraint=models.UniqueConstraint(fields=("client", "word"), name="name_word_once_for_a_client"),
        ),
    ]
