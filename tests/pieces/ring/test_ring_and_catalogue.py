"""A maker's list sets what an instrument measured, and leaves alone what photos read."""

import pytest
from django.urls import reverse

from pieces.models import Shade, ShadeReading
from pieces.models.shade import INSTRUMENT
from tests.factories import OwnerFactory
from tests.pieces.factories import ShadeFactory, ShadeReadingFactory

pytestmark = pytest.mark.django_db

HEADING = "maker,code,name,method,root_l,root_a,root_b,mid_l,mid_a,mid_b,ends_l,ends_a,ends_b\n"
MEASURED = "Marrowick Atelier,sedge,Sedge brown,instrument,20,5,8,22,5,9,24,6,10\n"
NOT_MEASURED = "Marrowick Atelier,sedge,Sedge brown,,,,,,,,,,\n"


@pytest.mark.parametrize(("before", "line"), [(True, MEASURED), (True, NOT_MEASURED), (False, MEASURED)])
def test_an_import_changes_the_instruments_values_and_no_reading(read, before, line):
    shade = ShadeFactory(code="sedge", unmeasured=not before)
    ShadeReadingFactory(shade=shade)
    kept = ShadeReading.objects.values().get()
    assert read(shades=HEADING + line).stored
    assert ShadeReading.objects.values().get() == kept
    shade = Shade.objects.get()
    colours = shade.colours()
    assert colours["card-1"]["mid"] == (40.0, 6.0, 10.0)
    if line is MEASURED:
        assert (shade.method, colours[INSTRUMENT]["mid"]) == ("instrument", (22.0, 5.0, 9.0))
    else:
        assert (shade.method, set(colours)) == ("", {"card-1"})


def test_the_import_says_that_its_values_are_an_instruments(client):
    client.force_login(OwnerFactory())
    page = client.get(reverse("catalogue-columns")).content.decode()
    assert "as an instrument measured them" in page
