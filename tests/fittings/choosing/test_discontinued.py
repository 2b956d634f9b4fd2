"""What can't be had any more: visits, her own pieces and sales go on naming it, and nobody is proposed it."""

import pytest
from django.urls import reverse
from django.utils.timezone import localdate, now

from fittings.trying import choose_to_try
from pieces.keeping_catalogue import discontinue
from pieces.selling import LineAsked
from salon.models import Salon
from tests.factories import OwnerFactory, StylistFactory
from tests.fittings.factories import OwnedPieceFactory
from tests.fittings.test_candidates import clipped_base
from tests.fittings.visits import signed_off_visit
from tests.pieces.factories import PieceFactory, SaleFactory, UnitFactory, VariantFactory

pytestmark = pytest.mark.django_db


def test_a_discontinued_piece_stays_where_it_was_named_and_is_proposed_no_more(client):
    stylist = StylistFactory()
    client.force_login(stylist)
    variant = VariantFactory(piece=PieceFactory(base=clipped_base(), name="Quarry Lane"))
    visit = signed_off_visit(stylist=stylist)
    proposed = reverse("candidates", args=[visit.reference])
    assert "Quarry Lane" in client.get(proposed).content.decode()
    choose_to_try(fitting=visit, variant=variant, salon=Salon.objects.default(), by=stylist, at=now(), on=localdate())
    owned = OwnedPieceFactory(client=visit.client, unit__variant=variant, begun_by=stylist)
    sale = SaleFactory(client=visit.client, lines=[LineAsked(unit=UnitFactory(variant=variant))])
    discontinue(of=variant.piece, on=localdate(), by=OwnerFactory())
    later = signed_off_visit(stylist=stylist)
    assert "Quarry Lane" not in client.get(reverse("candidates", args=[later.reference])).content.decode()
    named_at = [
        reverse("try-ons", args=[visit.reference]),
        owned.get_absolute_url(),
        reverse("sale", args=[sale.reference]),
        reverse("piece", args=[variant.piece_id]),
        reverse("units"),
    ]
    assert [page for page in named_at if "Quarry Lane" in client.get(page).content.decode()] == named_at
