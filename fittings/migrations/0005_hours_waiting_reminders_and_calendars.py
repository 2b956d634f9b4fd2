"""Hours, days off, the waiting list, messages, calendars; what each kind of visit needs; every change of a booking.

What the old columns said is carried over by 0006. The triggers that refuse an overlap on SQLite would be lost when the
table is made anew here; they are taken off first and come back, faster, in 0007.
"""

from importlib import import_module

import django.db.models.deletion
import simple_history.models
from django.conf import settings
from django.db import migrations, models

import fittings.models.waiting

drop_triggers = import_module("fittings.migrations.0002_no_two_at_once_on_sqlite").drop_triggers
make_triggers = import_module("fittings.migrations.0002_no_two_at_once_on_sqlite").make_triggers


class Migration(migrations.Migration):
    dependencies = [
        ("clients", "0006_intakes_signatures_and_merged_records"),
        ("fittings", "0004_photos_of_a_visit"),
        ("pieces", "0002_shades_read_from_photos"),
        migrations.swappable_dependency(settings.AUTH_USER_MODEL),
    ]

    operations = [
        migrations.RunPython(drop_triggers, make_triggers),
        migrations.CreateModel(
            name="AppointmentChange",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                (
                    "what",
                    models.CharField(
                        choices=[
                            ("booked", "Booked"),
                            ("moved", "Moved"),
                            ("arrived", "Arrived"),
                            ("in the chair", "In the chair"),
                            ("done", "Done"),
                            ("cancelled", "Cancelled"),
                            ("missed", "Did not come"),
                            ("deposit", "Deposit taken"),
                        ],
                        max_length=12,
                    ),
                ),
                ("at", models.DateTimeField()),
                ("starts_at", models.DateTimeField(verbose_name="began then at")),
                ("because", models.CharField(blank=True, max_length=240, verbose_name="why")),
                (
                    "passed",
                    models.JSONField(blank=True, default=list, help_text="What stood in the way and was gone past."),
                ),
            ],
            options={
                "ordering": ["at", "pk"],
            },
        ),
        migrations.CreateModel(
            name="AwaitedPiece",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("what", models.CharField(max_length=120, verbose_name="which piece")),
                ("expected_on", models.DateField(blank=True, null=True, verbose_name="expected on")),
                ("noted_at", models.DateTimeField()),
                ("in_at", models.DateTimeField(blank=True, null=True, verbose_name="came in")),
                ("given_up_at", models.DateTimeField(blank=True, null=True, verbose_name="no longer wanted since")),
            ],
            options={
                "ordering": ["expected_on", "pk"],
            },
        ),
        migrations.CreateModel(
            name="CalendarFeed",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("digest", models.CharField(editable=False, max_length=64, unique=True)),
                ("made_at", models.DateTimeField()),
                ("last_read_at", models.DateTimeField(blank=True, null=True)),
                ("revoked_at", models.DateTimeField(blank=True, null=True)),
            ],
            options={
                "ordering": ["-made_at", "-pk"],
            },
        ),
        migrations.CreateModel(
            name="Closure",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("first_day", models.DateField(verbose_name="from")),
                ("last_day", models.DateField(verbose_name="to and with")),
                ("because", models.CharField(max_length=120, verbose_name="what for")),
                ("opens", models.TimeField(blank=True, null=True, verbose_name="opens nevertheless")),
                ("closes", models.TimeField(blank=True, null=True, verbose_name="and closes")),
            ],
            options={
                "ordering": ["first_day", "pk"],
            },
        ),
        migrations.CreateModel(
            name="HistoricalClosure",
            fields=[
                ("id", models.BigIntegerField(auto_created=True, blank=True, db_index=True, verbose_name="ID")),
                ("first_day", models.DateField(verbose_name="from")),
                ("last_day", models.DateField(verbose_name="to and with")),
                ("because", models.CharField(max_length=120, verbose_name="what for")),
                ("opens", models.TimeField(blank=True, null=True, verbose_name="opens nevertheless")),
                ("closes", models.TimeField(blank=True, null=True, verbose_name="and closes")),
                ("history_id", models.AutoField(primary_key=True, serialize=False)),
                ("history_date", models.DateTimeField(db_index=True)),
                ("history_change_reason", models.CharField(max_length=100, null=True)),
                (
                    "history_type",
                    models.CharField(choices=[("+", "Created"), ("~", "Changed"), ("-", "Deleted")], max_length=1),
                ),
            ],
            options={
                "verbose_name": "historical closure",
                "verbose_name_plural": "historical closures",
                "ordering": ("-history_date", "-history_id"),
                "get_latest_by": ("history_date", "history_id"),
            },
            bases=(simple_history.models.HistoricalChanges, models.Model),
        ),
        migrations.CreateModel(
            name="HistoricalOpeningHours",
            fields=[
                ("id", models.BigIntegerField(auto_created=True, blank=True, db_index=True, verbose_name="ID")),
                (
                    "weekday",
                    models.PositiveSmallIntegerField(
                        choices=[
                            (1, "Monday"),
                            (2, "Tuesday"),
                            (3, "Wednesday"),
                            (4, "Thursday"),
                            (5, "Friday"),
                            (6, "Saturday"),
                            (7, "Sunday"),
                        ],
                        db_index=True,
                    ),
                ),
                ("opens", models.TimeField()),
                ("closes", models.TimeField()),
                ("history_id", models.AutoField(primary_key=True, serialize=False)),
                ("history_date", models.DateTimeField(db_index=True)),
                ("history_change_reason", models.CharField(max_length=100, null=True)),
                (
                    "history_type",
                    models.CharField(choices=[("+", "Created"), ("~", "Changed"), ("-", "Deleted")], max_length=1),
                ),
            ],
            options={
                "verbose_name": "historical opening hours",
                "verbose_name_plural": "historical opening hours",
                "ordering": ("-history_date", "-history_id"),
                "get_latest_by": ("history_date", "history_id"),
            },
            bases=(simple_history.models.HistoricalChanges, models.Model),
        ),
        migrations.CreateModel(
            name="HistoricalPlace",
            fields=[
                ("id", models.BigIntegerField(auto_created=True, blank=True, db_index=True, verbose_name="ID")),
                ("name", models.CharField(db_index=True, max_length=60)),
                (
                    "sort",
                    models.CharField(
                        choices=[("room", "Private room"), ("chair", "Chair"), ("basin", "Basin")],
                        default="chair",
                        max_length=5,
                        verbose_name="what it is",
                    ),
                ),
                ("is_in_use", models.BooleanField(default=True, verbose_name="can be booked")),
                ("history_id", models.AutoField(primary_key=True, serialize=False)),
                ("history_date", models.DateTimeField(db_index=True)),
                ("history_change_reason", models.CharField(max_length=100, null=True)),
                (
                    "history_type",
                    models.CharField(choices=[("+", "Created"), ("~", "Changed"), ("-", "Deleted")], max_length=1),
                ),
            ],
            options={
                "verbose_name": "historical place",
                "verbose_name_plural": "historical places",
                "ordering": ("-history_date", "-history_id"),
                "get_latest_by": ("history_date", "history_id"),
            },
            bases=(simple_history.models.HistoricalChanges, models.Model),
        ),
        migrations.CreateModel(
            name="HistoricalServiceKind",
            fields=[
                ("id", models.BigIntegerField(auto_created=True, blank=True, db_index=True, verbose_name="ID")),
                ("name", models.CharField(db_index=True, max_length=60)),
                (
                    "purpose",
                    models.CharField(
                        choices=[
                            ("consult", "Consult"),
                            ("fitting", "Fitting"),
                            ("cut-in", "Cut-in"),
                            ("colour", "Colour"),
                            ("wash", "Wash and care"),
                            ("check-up", "Check-up"),
                            ("repair", "Repair"),
                            ("skin test", "Skin test put on"),
                            ("test reading", "Skin test read"),
                            ("other", "Something else"),
                        ],
                        default="other",
                        max_length=12,
                    ),
                ),
                ("minutes", models.PositiveSmallIntegerField()),
                (
                    "clean_up_minutes",
                    models.PositiveSmallIntegerField(default=0, verbose_name="minutes before the place is free again"),
                ),
                ("price_minor", models.PositiveIntegerField(default=0, verbose_name="price")),
                ("deposit_minor", models.PositiveIntegerField(default=0, verbose_name="deposit")),
                ("in_private_room", models.BooleanField(default=True, verbose_name="in a private room")),
                ("at_chair", models.BooleanField(default=True, verbose_name="at a chair")),
                ("at_basin", models.BooleanField(default=True, verbose_name="at a basin")),
                (
                    "needs_tape_test",
                    models.BooleanField(default=False, verbose_name="tape or adhesive touches her skin"),
                ),
                ("needs_colour_test", models.BooleanField(default=False, verbose_name="colour touches her skin")),
                ("is_offered", models.BooleanField(default=True, verbose_name="can be booked")),
                ("history_id", models.AutoField(primary_key=True, serialize=False)),
                ("history_date", models.DateTimeField(db_index=True)),
                ("history_change_reason", models.CharField(max_length=100, null=True)),
                (
                    "history_type",
                    models.CharField(choices=[("+", "Created"), ("~", "Changed"), ("-", "Deleted")], max_length=1),
                ),
            ],
            options={
                "verbose_name": "historical service kind",
                "verbose_name_plural": "historical service kinds",
                "ordering": ("-history_date", "-history_id"),
                "get_latest_by": ("history_date", "history_id"),
            },
            bases=(simple_history.models.HistoricalChanges, models.Model),
        ),
        migrations.CreateModel(
            name="HistoricalServiceKind_done_by",
            fields=[
                ("id", models.BigIntegerField(auto_created=True, blank=True, db_index=True, verbose_name="ID")),
                ("m2m_history_id", models.AutoField(primary_key=True, serialize=False)),
            ],
            options={
                "verbose_name": "HistoricalServiceKind_done_by",
            },
            bases=(simple_history.models.HistoricalChanges, models.Model),
        ),
        migrations.CreateModel(
            name="HistoricalTimeOff",
            fields=[
                ("id", models.BigIntegerField(auto_created=True, blank=True, db_index=True, verbose_name="ID")),
                ("starts_at", models.DateTimeField(verbose_name="from")),
                ("ends_at", models.DateTimeField(verbose_name="until")),
                ("because", models.CharField(blank=True, max_length=120, verbose_name="what for")),
                ("history_id", models.AutoField(primary_key=True, serialize=False)),
                ("history_date", models.DateTimeField(db_index=True)),
                ("history_change_reason", models.CharField(max_length=100, null=True)),
                (
                    "history_type",
                    models.CharField(choices=[("+", "Created"), ("~", "Changed"), ("-", "Deleted")], max_length=1),
                ),
            ],
            options={
                "verbose_name": "historical time off",
                "verbose_name_plural": "historical time off",
                "ordering": ("-history_date", "-history_id"),
                "get_latest_by": ("history_date", "history_id"),
            },
            bases=(simple_history.models.HistoricalChanges, models.Model),
        ),
        migrations.CreateModel(
            name="HistoricalWorkingHours",
            fields=[
                ("id", models.BigIntegerField(auto_created=True, blank=True, db_index=True, verbose_name="ID")),
                (
                    "weekday",
                    models.PositiveSmallIntegerField(
                        choices=[
                            (1, "Monday"),
                            (2, "Tuesday"),
                            (3, "Wednesday"),
                            (4, "Thursday"),
                            (5, "Friday"),
                            (6, "Saturday"),
                            (7, "Sunday"),
                        ]
                    ),
                ),
                ("begins", models.TimeField()),
                ("ends", models.TimeField()),
                ("break_begins", models.TimeField(blank=True, null=True)),
                ("break_ends", models.TimeField(blank=True, null=True)),
                ("history_id", models.AutoField(primary_key=True, serialize=False)),
                ("history_date", models.DateTimeField(db_index=True)),
                ("history_change_reason", models.CharField(max_length=100, null=True)),
                (
                    "history_type",
                    models.CharField(choices=[("+", "Created"), ("~", "Changed"), ("-", "Deleted")], max_length=1),
                ),
            ],
            options={
                "verbose_name": "historical working hours",
                "verbose_name_plural": "historical working hours",
                "ordering": ("-history_date", "-history_id"),
                "get_latest_by": ("history_date", "history_id"),
            },
            bases=(simple_history.models.HistoricalChanges, models.Model),
        ),
        migrations.CreateModel(
            name="OpeningHours",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                (
                    "weekday",
                    models.PositiveSmallIntegerField(
                        choices=[
                            (1, "Monday"),
                            (2, "Tuesday"),
                            (3, "Wednesday"),
                            (4, "Thursday"),
                            (5, "Friday"),
                            (6, "Saturday"),
                            (7, "Sunday"),
                        ],
                        unique=True,
                    ),
                ),
                ("opens", models.TimeField()),
                ("closes", models.TimeField()),
            ],
            options={
                "verbose_name_plural": "opening hours",
                "ordering": ["weekday"],
            },
        ),
        migrations.CreateModel(
            name="Reminder",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                (
                    "kind",
                    models.CharField(
                        choices=[
                            ("confirmation", "Confirmation"),
                            ("changed", "New time"),
                            ("cancelled", "Cancelled"),
                            ("two days", "Two days before"),
                            ("same day", "On the day"),
                            ("reading", "Time to come back"),
                        ],
                        max_length=12,
                    ),
                ),
                ("channel", models.CharField(max_length=12)),
                (
                    "about",
                    models.CharField(
                        help_text="Which state of affairs it tells of, so that a moved appointment is told of anew.",
                        max_length=40,
                    ),
                ),
                ("due_at", models.DateTimeField()),
                ("next_try_at", models.DateTimeField()),
                (
                    "state",
                    models.CharField(
                        choices=[
                            ("due", "Due"),
                            ("sending", "Being sent"),
                            ("sent", "Sent"),
                            ("failed", "Could not be sent yet"),
                            ("given up", "Could not be sent"),
                            ("unknown", "May have been sent"),
                            ("dropped", "No longer wanted"),
                        ],
                        default="due",
                        max_length=8,
                    ),
                ),
                ("attempts", models.PositiveSmallIntegerField(default=0)),
                ("claimed_at", models.DateTimeField(blank=True, null=True)),
                ("run", models.UUIDField(blank=True, null=True, verbose_name="claimed by the run")),
                ("sent_at", models.DateTimeField(blank=True, null=True)),
                ("message_id", models.CharField(blank=True, max_length=120)),
                ("trouble", models.CharField(blank=True, max_length=240, verbose_name="why it could not be sent")),
                ("made_at", models.DateTimeField()),
            ],
            options={
                "verbose_name": "message",
                "ordering": ["-due_at", "-pk"],
            },
        ),
        migrations.CreateModel(
            name="TimeOff",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("starts_at", models.DateTimeField(verbose_name="from")),
                ("ends_at", models.DateTimeField(verbose_name="until")),
                ("because", models.CharField(blank=True, max_length=120, verbose_name="what for")),
            ],
            options={
                "verbose_name_plural": "time off",
                "ordering": ["starts_at", "pk"],
            },
        ),
        migrations.CreateModel(
            name="UnitToTry",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("added_at", models.DateTimeField()),
                ("laid_out_at", models.DateTimeField(blank=True, null=True)),
            ],
            options={
                "verbose_name_plural": "units to try",
                "ordering": ["pk"],
            },
        ),
        migrations.CreateModel(
            name="WaitingEntry",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                (
                    "reference",
                    models.CharField(
                        default=fittings.models.waiting._waiting_reference, editable=False, max_length=16, unique=True
                    ),
                ),
                ("earliest_on", models.DateField(verbose_name="not before")),
                ("latest_on", models.DateField(blank=True, null=True, verbose_name="not after")),
                (
                    "part_of_day",
                    models.CharField(
                        choices=[("any", "Any time"), ("mornings", "Mornings"), ("afternoons", "Afternoons")],
                        default="any",
                        max_length=10,
                    ),
                ),
                (
                    "weekdays",
                    models.JSONField(blank=True, default=list, help_text="ISO weekdays she can come; empty for any."),
                ),
                ("short_notice", models.BooleanField(default=False, verbose_name="can come at short notice")),
                ("note", models.CharField(blank=True, max_length=240)),
                (
                    "state",
                    models.CharField(
                        choices=[("waiting", "Waiting"), ("booked", "Booked"), ("given up", "No longer waiting")],
                        default="waiting",
                        max_length=8,
                    ),
                ),
                ("made_at", models.DateTimeField()),
                ("closed_at", models.DateTimeField(blank=True, null=True)),
                ("closed_because", models.CharField(blank=True, max_length=240)),
            ],
            options={
                "verbose_name": "wish on the waiting list",
                "verbose_name_plural": "wishes on the waiting list",
                "ordering": ["made_at", "pk"],
            },
        ),
        migrations.CreateModel(
            name="WorkingHours",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                (
                    "weekday",
                    models.PositiveSmallIntegerField(
                        choices=[
                            (1, "Monday"),
                            (2, "Tuesday"),
                            (3, "Wednesday"),
                            (4, "Thursday"),
                            (5, "Friday"),
                            (6, "Saturday"),
                            (7, "Sunday"),
                        ]
                    ),
                ),
                ("begins", models.TimeField()),
                ("ends", models.TimeField()),
                ("break_begins", models.TimeField(blank=True, null=True)),
                ("break_ends", models.TimeField(blank=True, null=True)),
            ],
            options={
                "verbose_name_plural": "working hours",
                "ordering": ["stylist", "weekday"],
            },
        ),
        migrations.AlterModelOptions(
            name="place",
            options={
                "ordering": [
                    models.Case(models.When(sort="room", then=0), models.When(sort="chair", then=1), default=2),
                    "name",
                ]
            },
        ),
        migrations.AddField(
            model_name="appointment",
            name="calendar_uid",
            field=models.UUIDField(editable=False, null=True, verbose_name="UID in calendars"),
        ),
        migrations.AddField(
            model_name="appointment",
            name="changed_at",
            field=models.DateTimeField(auto_now=True),
        ),
        migrations.AddField(
            model_name="appointment",
            name="deposit_minor",
            field=models.PositiveIntegerField(default=0, verbose_name="deposit"),
        ),
        migrations.AddField(
            model_name="appointment",
            name="deposit_paid_at",
            field=models.DateTimeField(blank=True, null=True, verbose_name="deposit paid"),
        ),
        migrations.AddField(
            model_name="appointment",
            name="deposit_taken_by",
            field=models.ForeignKey(
                blank=True,
                null=True,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="+",
                to=settings.AUTH_USER_MODEL,
            ),
        ),
        migrations.AddField(
            model_name="appointment",
            name="sequence",
            field=models.PositiveIntegerField(default=0, editable=False, verbose_name="SEQUENCE in calendars"),
        ),
        migrations.AddField(
            model_name="appointment",
            name="series",
            field=models.UUIDField(
                blank=True, db_index=True, editable=False, null=True, verbose_name="booked together"
            ),
        ),
        migrations.AddField(
            model_name="place",
            name="is_in_use",
            field=models.BooleanField(default=True, verbose_name="can be booked"),
        ),
        migrations.AddField(
            model_name="place",
            name="sort",
            field=models.CharField(
                choices=[("room", "Private room"), ("chair", "Chair"), ("basin", "Basin")],
                default="chair",
                max_length=5,
                verbose_name="what it is",
            ),
        ),
        migrations.AddField(
            model_name="servicekind",
            name="at_basin",
            field=models.BooleanField(default=True, verbose_name="at a basin"),
        ),
        migrations.AddField(
            model_name="servicekind",
            name="at_chair",
            field=models.BooleanField(default=True, verbose_name="at a chair"),
        ),
        migrations.AddField(
            model_name="servicekind",
            name="deposit_minor",
            field=models.PositiveIntegerField(default=0, verbose_name="deposit"),
        ),
        migrations.AddField(
            model_name="servicekind",
            name="done_by",
            field=models.ManyToManyField(
                blank=True,
                help_text="Nobody ticked: every stylist can do it.",
                related_name="+",
                to=settings.AUTH_USER_MODEL,
            ),
        ),
        migrations.AddField(
            model_name="servicekind",
            name="in_private_room",
            field=models.BooleanField(default=True, verbose_name="in a private room"),
        ),
        migrations.AddField(
            model_name="servicekind",
            name="is_offered",
            field=models.BooleanField(default=True, verbose_name="can be booked"),
        ),
        migrations.AddField(
            model_name="servicekind",
            name="needs_colour_test",
            field=models.BooleanField(default=False, verbose_name="colour touches her skin"),
        ),
        migrations.AddField(
            model_name="servicekind",
            name="needs_tape_test",
            field=models.BooleanField(default=False, verbose_name="tape or adhesive touches her skin"),
        ),
        migrations.AddField(
            model_name="servicekind",
            name="purpose",
            field=models.CharField(
                choices=[
                    ("consult", "Consult"),
                    ("fitting", "Fitting"),
                    ("cut-in", "Cut-in"),
                    ("colour", "Colour"),
                    ("wash", "Wash and care"),
                    ("check-up", "Check-up"),
                    ("repair", "Repair"),
                    ("skin test", "Skin test put on"),
                    ("test reading", "Skin test read"),
                    ("other", "Something else"),
                ],
                default="other",
                max_length=12,
            ),
        ),
        migrations.AddConstraint(
            model_name="servicekind",
            constraint=models.CheckConstraint(
                condition=models.Q(("clean_up_minutes__lte", 240)),
                name="service_kind_clean_up_within_4_hours",
                violation_error_message="Cleaning up takes 240 minutes at most.",
            ),
        ),
        migrations.AddConstraint(
            model_name="servicekind",
            constraint=models.CheckConstraint(
                condition=models.Q(("in_private_room", True), ("at_chair", True), ("at_basin", True), _connector="OR"),
                name="service_kind_is_held_somewhere",
                violation_error_message="A visit is held in a private room, at a chair or at a basin: choose one.",
            ),
        ),
        migrations.AddField(
            model_name="appointmentchange",
            name="appointment",
            field=models.ForeignKey(
                on_delete=django.db.models.deletion.PROTECT, related_name="changes", to="fittings.appointment"
            ),
        ),
        migrations.AddField(
            model_name="appointmentchange",
            name="by",
            field=models.ForeignKey(
                on_delete=django.db.models.deletion.PROTECT, related_name="+", to=settings.AUTH_USER_MODEL
            ),
        ),
        migrations.AddField(
            model_name="appointmentchange",
            name="place",
            field=models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name="+", to="fittings.place"),
        ),
        migrations.AddField(
            model_name="appointmentchange",
            name="stylist",
            field=models.ForeignKey(
                on_delete=django.db.models.deletion.PROTECT, related_name="+", to=settings.AUTH_USER_MODEL
            ),
        ),
        migrations.AddField(
            model_name="awaitedpiece",
            name="client",
            field=models.ForeignKey(
                on_delete=django.db.models.deletion.PROTECT, related_name="awaited_pieces", to="clients.client"
            ),
        ),
        migrations.AddField(
            model_name="awaitedpiece",
            name="given_up_by",
            field=models.ForeignKey(
                blank=True,
                null=True,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="+",
                to=settings.AUTH_USER_MODEL,
            ),
        ),
        migrations.AddField(
            model_name="awaitedpiece",
            name="in_by",
            field=models.ForeignKey(
                blank=True,
                null=True,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="+",
                to=settings.AUTH_USER_MODEL,
            ),
        ),
        migrations.AddField(
            model_name="awaitedpiece",
            name="noted_by",
            field=models.ForeignKey(
                on_delete=django.db.models.deletion.PROTECT, related_name="+", to=settings.AUTH_USER_MODEL
            ),
        ),
        migrations.AddField(
            model_name="awaitedpiece",
            name="variant",
            field=models.ForeignKey(
                blank=True,
                null=True,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="+",
                to="pieces.variant",
            ),
        ),
        migrations.AddField(
            model_name="appointment",
            name="awaits",
            field=models.ForeignKey(
                blank=True,
                null=True,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="appointments",
                to="fittings.awaitedpiece",
                verbose_name="for the piece",
            ),
        ),
        migrations.AddIndex(
            model_name="appointment",
            index=models.Index(fields=["stylist", "starts_at"], name="appointment_of_stylist"),
        ),
        migrations.AddIndex(
            model_name="appointment",
            index=models.Index(fields=["place", "starts_at"], name="appointment_at_place"),
        ),
        migrations.AddConstraint(
            model_name="appointment",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    models.Q(("deposit_paid_at__isnull", True), ("deposit_taken_by__isnull", True)),
                    models.Q(("deposit_paid_at__isnull", False), ("deposit_taken_by__isnull", False)),
                    _connector="OR",
                ),
                name="appointment_deposit_taken_by_somebody",
                violation_error_message="Somebody takes a deposit, at a time.",
            ),
        ),
        migrations.AddField(
            model_name="calendarfeed",
            name="made_by",
            field=models.ForeignKey(
                on_delete=django.db.models.deletion.PROTECT, related_name="+", to=settings.AUTH_USER_MODEL
            ),
        ),
        migrations.AddField(
            model_name="calendarfeed",
            name="place",
            field=models.ForeignKey(
                blank=True,
                null=True,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="calendar_feeds",
                to="fittings.place",
            ),
        ),
        migrations.AddField(
            model_name="calendarfeed",
            name="revoked_by",
            field=models.ForeignKey(
                blank=True,
                null=True,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="+",
                to=settings.AUTH_USER_MODEL,
            ),
        ),
        migrations.AddField(
            model_name="calendarfeed",
            name="stylist",
            field=models.ForeignKey(
                blank=True,
                null=True,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="calendar_feeds",
                to=settings.AUTH_USER_MODEL,
            ),
        ),
        migrations.AddConstraint(
            model_name="closure",
            constraint=models.CheckConstraint(
                condition=models.Q(("last_day__gte", models.F("first_day"))),
                name="closure_ends_after_it_begins",
                violation_error_message="The last closed day is not before the first.",
            ),
        ),
        migrations.AddConstraint(
            model_name="closure",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    models.Q(("closes__isnull", True), ("opens__isnull", True)),
                    ("closes__gt", models.F("opens")),
                    _connector="OR",
                ),
                name="closure_short_day_is_whole",
                violation_error_message="A short day opens and then closes; leave both empty for a closed one.",
            ),
        ),
        migrations.AddField(
            model_name="historicalclosure",
            name="history_user",
            field=models.ForeignKey(
                null=True, on_delete=django.db.models.deletion.SET_NULL, related_name="+", to=settings.AUTH_USER_MODEL
            ),
        ),
        migrations.AddField(
            model_name="historicalopeninghours",
            name="history_user",
            field=models.ForeignKey(
                null=True, on_delete=django.db.models.deletion.SET_NULL, related_name="+", to=settings.AUTH_USER_MODEL
            ),
        ),
        migrations.AddField(
            model_name="historicalplace",
            name="history_user",
            field=models.ForeignKey(
                null=True, on_delete=django.db.models.deletion.SET_NULL, related_name="+", to=settings.AUTH_USER_MODEL
            ),
        ),
        migrations.AddField(
            model_name="historicalservicekind",
            name="history_user",
            field=models.ForeignKey(
                null=True, on_delete=django.db.models.deletion.SET_NULL, related_name="+", to=settings.AUTH_USER_MODEL
            ),
        ),
        migrations.AddField(
            model_name="historicalservicekind_done_by",
            name="history",
            field=models.ForeignKey(
                db_constraint=False, on_delete=django.db.models.deletion.DO_NOTHING, to="fittings.historicalservicekind"
            ),
        ),
        migrations.AddField(
            model_name="historicalservicekind_done_by",
            name="servicekind",
            field=models.ForeignKey(
                blank=True,
                db_constraint=False,
                db_tablespace="",
                null=True,
                on_delete=django.db.models.deletion.DO_NOTHING,
                related_name="+",
                to="fittings.servicekind",
            ),
        ),
        migrations.AddField(
            model_name="historicalservicekind_done_by",
            name="user",
            field=models.ForeignKey(
                blank=True,
                db_constraint=False,
                db_tablespace="",
                null=True,
                on_delete=django.db.models.deletion.DO_NOTHING,
                related_name="+",
                to=settings.AUTH_USER_MODEL,
            ),
        ),
        migrations.AddField(
            model_name="historicaltimeoff",
            name="history_user",
            field=models.ForeignKey(
                null=True, on_delete=django.db.models.deletion.SET_NULL, related_name="+", to=settings.AUTH_USER_MODEL
            ),
        ),
        migrations.AddField(
            model_name="historicaltimeoff",
            name="stylist",
            field=models.ForeignKey(
                blank=True,
                db_constraint=False,
                null=True,
                on_delete=django.db.models.deletion.DO_NOTHING,
                related_name="+",
                to=settings.AUTH_USER_MODEL,
            ),
        ),
        migrations.AddField(
            model_name="historicalworkinghours",
            name="history_user",
            field=models.ForeignKey(
                null=True, on_delete=django.db.models.deletion.SET_NULL, related_name="+", to=settings.AUTH_USER_MODEL
            ),
        ),
        migrations.AddField(
            model_name="historicalworkinghours",
            name="stylist",
            field=models.ForeignKey(
                blank=True,
                db_constraint=False,
                null=True,
                on_delete=django.db.models.deletion.DO_NOTHING,
                related_name="+",
                to=settings.AUTH_USER_MODEL,
            ),
        ),
        migrations.AddConstraint(
            model_name="openinghours",
            constraint=models.CheckConstraint(
                condition=models.Q(("weekday__gte", 1), ("weekday__lte", 7)),
                name="opening_hours_on_a_weekday",
                violation_error_message="A weekday is 1 (Monday) to 7 (Sunday).",
            ),
        ),
        migrations.AddConstraint(
            model_name="openinghours",
            constraint=models.CheckConstraint(
                condition=models.Q(("closes__gt", models.F("opens"))),
                name="opening_hours_close_after_they_open",
                violation_error_message="The salon closes after it opens, on the same day.",
            ),
        ),
        migrations.AddField(
            model_name="reminder",
            name="appointment",
            field=models.ForeignKey(
                blank=True,
                null=True,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="reminders",
                to="fittings.appointment",
            ),
        ),
        migrations.AddField(
            model_name="reminder",
            name="client",
            field=models.ForeignKey(
                on_delete=django.db.models.deletion.PROTECT, related_name="reminders", to="clients.client"
            ),
        ),
        migrations.AddField(
            model_name="reminder",
            name="settled_by",
            field=models.ForeignKey(
                blank=True,
                null=True,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="+",
                to=settings.AUTH_USER_MODEL,
            ),
        ),
        migrations.AddField(
            model_name="reminder",
            name="skin_test",
            field=models.ForeignKey(
                blank=True,
                null=True,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="reminders",
                to="clients.skintest",
            ),
        ),
        migrations.AddField(
            model_name="timeoff",
            name="stylist",
            field=models.ForeignKey(
                on_delete=django.db.models.deletion.PROTECT, related_name="time_off", to=settings.AUTH_USER_MODEL
            ),
        ),
        migrations.AddField(
            model_name="unittotry",
            name="added_by",
            field=models.ForeignKey(
                on_delete=django.db.models.deletion.PROTECT, related_name="+", to=settings.AUTH_USER_MODEL
            ),
        ),
        migrations.AddField(
            model_name="unittotry",
            name="appointment",
            field=models.ForeignKey(
                on_delete=django.db.models.deletion.PROTECT, related_name="units_to_try", to="fittings.appointment"
            ),
        ),
        migrations.AddField(
            model_name="unittotry",
            name="laid_out_by",
            field=models.ForeignKey(
                blank=True,
                null=True,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="+",
                to=settings.AUTH_USER_MODEL,
            ),
        ),
        migrations.AddField(
            model_name="unittotry",
            name="unit",
            field=models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name="+", to="pieces.unit"),
        ),
        migrations.AddField(
            model_name="waitingentry",
            name="booked_as",
            field=models.OneToOneField(
                blank=True,
                null=True,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="taken_from_waiting",
                to="fittings.appointment",
            ),
        ),
        migrations.AddField(
            model_name="waitingentry",
            name="client",
            field=models.ForeignKey(
                on_delete=django.db.models.deletion.PROTECT, related_name="waiting_entries", to="clients.client"
            ),
        ),
        migrations.AddField(
            model_name="waitingentry",
            name="closed_by",
            field=models.ForeignKey(
                blank=True,
                null=True,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="+",
                to=settings.AUTH_USER_MODEL,
            ),
        ),
        migrations.AddField(
            model_name="waitingentry",
            name="instead_of",
            field=models.ForeignKey(
                blank=True,
                null=True,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="+",
                to="fittings.appointment",
                verbose_name="would come earlier than",
            ),
        ),
        migrations.AddField(
            model_name="waitingentry",
            name="kind",
            field=models.ForeignKey(
                on_delete=django.db.models.deletion.PROTECT,
                related_name="+",
                to="fittings.servicekind",
                verbose_name="kind of visit",
            ),
        ),
        migrations.AddField(
            model_name="waitingentry",
            name="made_by",
            field=models.ForeignKey(
                on_delete=django.db.models.deletion.PROTECT, related_name="+", to=settings.AUTH_USER_MODEL
            ),
        ),
        migrations.AddField(
            model_name="waitingentry",
            name="stylist",
            field=models.ForeignKey(
                blank=True,
                null=True,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="+",
                to=settings.AUTH_USER_MODEL,
            ),
        ),
        migrations.AddField(
            model_name="workinghours",
            name="stylist",
            field=models.ForeignKey(
                on_delete=django.db.models.deletion.PROTECT, related_name="working_hours", to=settings.AUTH_USER_MODEL
            ),
        ),
        migrations.AddIndex(
            model_name="appointmentchange",
            index=models.Index(fields=["appointment", "at"], name="appointment_changes_in_order"),
        ),
        migrations.AddConstraint(
            model_name="appointmentchange",
            constraint=models.CheckConstraint(
                condition=models.Q(("passed", []), models.Q(("because", ""), _negated=True), _connector="OR"),
                name="appointment_change_says_why_it_went_past",
                violation_error_message="Write why it is booked although something stands in the way.",
            ),
        ),
        migrations.AddConstraint(
            model_name="awaitedpiece",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    models.Q(("in_at__isnull", True), ("in_by__isnull", True)),
                    models.Q(
                        ("given_up_at__isnull", True), ("in_at__gte", models.F("noted_at")), ("in_by__isnull", False)
                    ),
                    _connector="OR",
                ),
                name="awaited_piece_came_in_after_it_was_noted",
                violation_error_message="A piece comes in after it was noted, and somebody takes it in.",
            ),
        ),
        migrations.AddConstraint(
            model_name="awaitedpiece",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    models.Q(("given_up_at__isnull", True), ("given_up_by__isnull", True)),
                    models.Q(("given_up_at__isnull", False), ("given_up_by__isnull", False)),
                    _connector="OR",
                ),
                name="awaited_piece_given_up_by_somebody",
                violation_error_message="Somebody says that a piece is no longer wanted.",
            ),
        ),
        migrations.AddConstraint(
            model_name="calendarfeed",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    models.Q(("place__isnull", True), ("stylist__isnull", False)),
                    models.Q(("place__isnull", False), ("stylist__isnull", True)),
                    _connector="OR",
                ),
                name="calendar_feed_of_a_stylist_or_a_place",
                violation_error_message="A calendar address is for one stylist or for one room.",
            ),
        ),
        migrations.AddConstraint(
            model_name="calendarfeed",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    models.Q(("revoked_at__isnull", True), ("revoked_by__isnull", True)),
                    models.Q(("revoked_at__gte", models.F("made_at")), ("revoked_by__isnull", False)),
                    _connector="OR",
                ),
                name="calendar_feed_revoked_by_somebody",
                violation_error_message="An address is taken back by somebody, after it was made.",
            ),
        ),
        migrations.AddIndex(
            model_name="reminder",
            index=models.Index(fields=["state", "next_try_at"], name="reminder_by_state_and_time"),
        ),
        migrations.AddIndex(
            model_name="reminder",
            index=models.Index(fields=["due_at"], name="reminder_by_due"),
        ),
        migrations.AddConstraint(
            model_name="reminder",
            constraint=models.UniqueConstraint(
                condition=models.Q(("appointment__isnull", False)),
                fields=("appointment", "kind", "channel", "about"),
                name="reminder_once_of_an_appointment",
                violation_error_message="This message exists already.",
            ),
        ),
        migrations.AddConstraint(
            model_name="reminder",
            constraint=models.UniqueConstraint(
                condition=models.Q(("skin_test__isnull", False)),
                fields=("skin_test", "kind", "channel", "about"),
                name="reminder_once_of_a_skin_test",
                violation_error_message="This message exists already.",
            ),
        ),
        migrations.AddConstraint(
            model_name="reminder",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    models.Q(("appointment__isnull", False), ("skin_test__isnull", True)),
                    models.Q(("appointment__isnull", True), ("skin_test__isnull", False)),
                    _connector="OR",
                ),
                name="reminder_is_about_one_thing",
                violation_error_message="A message is about an appointment or about a test.",
            ),
        ),
        migrations.AddConstraint(
            model_name="reminder",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    models.Q(("state", "sent"), _negated=True), ("sent_at__isnull", False), _connector="OR"
                ),
                name="reminder_sent_at_a_time",
                violation_error_message="What was sent was sent at a time.",
            ),
        ),
        migrations.AddIndex(
            model_name="timeoff",
            index=models.Index(fields=["stylist", "ends_at"], name="time_off_by_stylist"),
        ),
        migrations.AddConstraint(
            model_name="timeoff",
            constraint=models.CheckConstraint(
                condition=models.Q(("ends_at__gt", models.F("starts_at"))),
                name="time_off_ends_after_it_begins",
                violation_error_message="Time off ends after it begins.",
            ),
        ),
        migrations.AddConstraint(
            model_name="unittotry",
            constraint=models.UniqueConstraint(
                fields=("appointment", "unit"),
                name="unit_to_try_once_for_an_appointment",
                violation_error_message="This unit is already among those to lay out.",
            ),
        ),
        migrations.AddConstraint(
            model_name="unittotry",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    models.Q(("laid_out_at__isnull", True), ("laid_out_by__isnull", True)),
                    models.Q(("laid_out_at__isnull", False), ("laid_out_by__isnull", False)),
                    _connector="OR",
                ),
                name="unit_to_try_laid_out_by_somebody",
                violation_error_message="Somebody lays a unit out.",
            ),
        ),
        migrations.AddIndex(
            model_name="waitingentry",
            index=models.Index(fields=["state", "kind", "made_at"], name="waiting_by_state_and_kind"),
        ),
        migrations.AddConstraint(
            model_name="waitingentry",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    ("latest_on__isnull", True), ("latest_on__gte", models.F("earliest_on")), _connector="OR"
                ),
                name="waiting_latest_not_before_earliest",
                violation_error_message="The last day she can come is not before the first.",
            ),
        ),
        migrations.AddConstraint(
            model_name="waitingentry",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    models.Q(
                        ("booked_as__isnull", True),
                        ("closed_at__isnull", True),
                        ("closed_by__isnull", True),
                        ("state", "waiting"),
                    ),
                    models.Q(
                        ("booked_as__isnull", False),
                        ("closed_at__isnull", False),
                        ("closed_by__isnull", False),
                        ("state", "booked"),
                    ),
                    models.Q(
                        ("booked_as__isnull", True),
                        ("closed_at__isnull", False),
                        ("closed_by__isnull", False),
                        ("state", "given up"),
                    ),
                    _connector="OR",
                ),
                name="waiting_closed_by_somebody",
                violation_error_message="A wish ends as an appointment or is given up, by somebody, at a time.",
            ),
        ),
        migrations.AddConstraint(
            model_name="workinghours",
            constraint=models.CheckConstraint(
                condition=models.Q(("weekday__gte", 1), ("weekday__lte", 7)),
                name="working_hours_on_a_weekday",
                violation_error_message="A weekday is 1 (Monday) to 7 (Sunday).",
            ),
        ),
        migrations.AddConstraint(
            model_name="workinghours",
            constraint=models.UniqueConstraint(
                fields=("stylist", "weekday"),
                name="working_hours_once_a_weekday",
                violation_error_message="The hours of this weekday are written down already.",
            ),
        ),
        migrations.AddConstraint(
            model_name="workinghours",
            constraint=models.CheckConstraint(
                condition=models.Q(("ends__gt", models.F("begins"))),
                name="working_hours_end_after_they_begin",
                violation_error_message="Work ends after it begins, on the same day.",
            ),
        ),
        migrations.AddConstraint(
            model_name="workinghours",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    models.Q(("break_begins__isnull", True), ("break_ends__isnull", True)),
                    models.Q(
                        ("break_begins__gte", models.F("begins")),
                        ("break_ends__gt", models.F("break_begins")),
                        ("break_ends__lte", models.F("ends")),
                    ),
                    _connector="OR",
                ),
                name="working_hours_break_lies_within",
                violation_error_message="A break begins and ends within the working hours; leave both empty for none.",
            ),
        ),
    ]
