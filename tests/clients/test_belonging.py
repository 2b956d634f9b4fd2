"""Every table whose rows belong to a client is found and its constraints read, those to come among them."""

import pytest
from django.db import connection, models
from django.test.utils import isolate_apps

from clients.belonging import Belonging, belongings, clashes
from clients.merge_plan import plan_merge
from clients.models import Client, Sensitivity
from fittings.models import Appointment
from tests.clients.records_to_merge import a_record
from tests.factories import ClientFactory

pytestmark = pytest.mark.django_db


def test_every_relation_and_constraint_there_is_can_be_followed():
    keep, gone = ClientFactory(), ClientFactory()
    assert plan_merge(keep, gone).refusals == []  # a relation or constraint that it can't read raises TypeError
    labels = [belonging.label for belonging in belongings()]
    pointing = {
        f"{model._meta.label_lower}.{field.name}"
        for model in connection.introspection.installed_models(connection.introspection.table_names())
        for field in model._meta.concrete_fields
        if field.remote_field and field.related_model is Client and not model.__name__.startswith("Historical")
    }
    apart = {"clients.client.merged_into", "clients.merge.kept", "clients.merge.gone", "clients.searchkey.client"}
    assert set(labels) | apart == pointing


@isolate_apps("clients")
def test_a_constraint_that_can_not_be_read_is_said():
    class Locker(models.Model):
        client = models.ForeignKey(Client, models.PROTECT, related_name="+")
        number = models.IntegerField()

        class Meta:
            app_label = "clients"
            constraints = [models.UniqueConstraint(models.functions.Abs("number"), "client", name="one_locker")]

        def __str__(self):
            return f"Locker {self.number}"

    with pytest.raises(TypeError, match="one_locker: merging reads constraints of fields"):
        list(clashes(Belonging(Locker, "client"), ClientFactory(), ClientFactory()))


def test_sensitivities_and_appointments_are_told_apart_by_their_constraints():
    keep, gone = a_record(reacts_to=["nickel"], hours=[1]), a_record(reacts_to=["nickel", "latex"], hours=[1, 3])
    by_model = {
        belonging.model: [(clash.row, clash.other) for clash in clashes(belonging, keep, gone)]
        for belonging in belongings()
        if belonging.model in (Sensitivity, Appointment)
    }
    assert by_model == {
        Sensitivity: [(gone.sensitivities.get(substance="nickel"), keep.sensitivities.get())],
        Appointment: [(gone.appointments.first(), keep.appointments.first())],
    }
