"""What happens with her pieces stands on her line, on the piece's own and on the unit's; what was wrong says so."""

from datetime import date, timedelta

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils.timezone import now

from fittings.correcting import strike_out
from fittings.models import ConditionCheck, Fitting, Loan, Override, Repair, Service, StrandTest, Wash, WearEntry
from fittings.timeline.lines_of import line_of_client, line_of_owned, line_of_unit
from tests.factories import DeskFactory, OwnerFactory, StylistFactory
from tests.fittings.factories import OwnedPieceFactory
from tests.pieces.factories import UnitFactory

pytestmark = pytest.mark.django_db
NOW = now()


def ago(**span):
    return NOW - timedelta(**span)


@pytest.fixture
def stylist():
    return StylistFactory(first_name="Imke", last_name="Valcourt")


@pytest.fixture
def hers(stylist):
    return OwnedPieceFactory(begun_by=stylist, begun_at=ago(days=90))


@pytest.fixture
def visit(hers, stylist):
    return Fitting.objects.create(
        client=hers.client, stylist=stylist, began_at=ago(days=30), finished_at=ago(days=29), finished_by=stylist
    )


def everything(hers, visit, stylist):
    """One row of each kind that a piece can have."""
    service = Service.objects.create(
        fitting=visit,
        owned_piece=hers,
        kind="heat",
        facts={"planned_heat": "tong", "tool_c": 150.0},
        note="a soft bend",
        planned_by=stylist,
        done_by=stylist,
        done_at=ago(days=30),
    )
    Override.objects.create(
        fitting=visit,
        service=service,
        rule_id="heat-unrated",
        finding="No figure, no heat.",
        reason="Tried on the maker's sample.",
        owner=OwnerFactory(first_name="Wilma", last_name="Oakes"),
    )
    ConditionCheck.objects.create(owned_piece=hers, checked_at=ago(days=29), checked_by=stylist, fibre=2, clips=0)
    WearEntry.objects.create(
        owned_piece=hers, told_on=date(2026, 9, 1), days_per_week=5, recorded_by=stylist, recorded_at=ago(days=28)
    )
    Wash.objects.create(
        owned_piece=hers, washed_on=date(2026, 9, 2), deep_care=True, recorded_by=stylist, recorded_at=ago(days=27)
    )
    StrandTest.objects.create(
        unit=hers.unit, product="Peat", held=True, seen="Even.", tested_at=ago(days=26), tested_by=stylist
    )
    Repair.objects.create(
        owned_piece=hers,
        what="Lace at the left",
        done_by="Weir Lane workshop",
        sent_on=date(2026, 9, 3),
        back_on=date(2026, 9, 20),
        sent_by=stylist,
        sent_at=ago(days=25),
        back_by=stylist,
        back_at=ago(days=20),
    )
    Loan.objects.create(
        client=hers.client,
        unit=UnitFactory(variant=hers.unit.variant),
        instead_of=hers,
        lent_on=date(2026, 9, 3),
        due_back_on=date(2026, 9, 21),
        back_on=date(2026, 9, 20),
        lent_by=stylist,
        lent_at=ago(days=25),
        back_by=stylist,
        back_at=ago(days=20),
    )
    return service


KINDS = {
    "Her piece",
    "Heat styling",
    "Looked over",
    "How she wears it",
    "Washed",
    "Strand test",
    "Sent for repair",
    "Back from repair",
    "Lent to her",
    "Loan came back",
}


def words(page):
    return {row.word for row in page.rows}


def row_of(page, word):
    return next(row for row in page.rows if row.word == word)


def test_everything_stands_on_her_line_on_the_pieces_and_on_the_units(hers, visit, stylist):
    everything(hers, visit, stylist)
    may = OwnerFactory().has_perm
    assert words(line_of_client(hers.client, may=may)) >= KINDS
    assert words(line_of_owned(hers, may=may)) == KINDS
    assert words(line_of_unit(hers.unit, may=may)) == (KINDS | {"Came in"}) - {"Lent to her", "Loan came back"}


def test_a_row_says_who_and_the_stop_that_was_let_pass(hers, visit, stylist):
    everything(hers, visit, stylist)
    row = row_of(line_of_owned(hers, may=stylist.has_perm), "Heat styling")
    assert row.title.endswith("by Imke Valcourt")
    facts = dict(row.facts)
    assert facts["Note"] == "a soft bend"
    assert facts["Set to"] == "150 °C"
    assert facts["Let pass by Wilma Oakes"] == "No figure, no heat. Because: Tried on the maker's sample."


def test_another_clients_things_are_not_on_her_line(hers, visit, stylist):
    everything(hers, visit, stylist)
    other = OwnedPieceFactory()
    may = OwnerFactory().has_perm
    assert words(line_of_client(other.client, may=may)) == {"Her piece", "Consent signed", "Registered"}
    assert words(line_of_owned(other, may=may)) == {"Her piece"}


def test_the_desk_sees_pieces_repairs_and_loans_and_nothing_of_her_health(hers, visit, stylist):
    everything(hers, visit, stylist)
    page = line_of_owned(hers, may=DeskFactory().has_perm)
    assert words(page) == {"Her piece", "Sent for repair", "Back from repair", "Lent to her", "Loan came back"}
    assert page.abouts == ("pieces", "repairs and loans")


def test_the_line_can_be_narrowed_to_one_kind(hers, visit, stylist):
    everything(hers, visit, stylist)
    page = line_of_owned(hers, may=stylist.has_perm, about="care")
    assert words(page) == {"Looked over", "How she wears it", "Washed"}
    assert page.narrowed == "?show=care"


def test_the_queries_are_as_many_for_one_entry_as_for_many(hers, visit, stylist):
    everything(hers, visit, stylist)
    may = stylist.has_perm
    may("clients.view_health")

    def queries():
        with CaptureQueriesContext(connection) as asked:
            line_of_client(hers.client, may=may)
        return len(asked)

    few = queries()
    for number in range(15):
        ConditionCheck.objects.create(
            owned_piece=hers, checked_at=ago(days=10, hours=number), checked_by=stylist, base=1
        )
        Service.objects.create(
            fitting=visit,
            owned_piece=hers,
            kind="wash",
            planned_by=stylist,
            done_by=stylist,
            done_at=ago(days=9, hours=number),
        )
    assert queries() == few


def test_a_struck_out_entry_stays_and_says_so(hers, visit, stylist):
    everything(hers, visit, stylist)
    strike_out(entry=ConditionCheck.objects.get(), because="The other piece.", by=stylist, at=NOW)
    rows = [row for row in line_of_owned(hers, may=stylist.has_perm).rows if row.word == "Looked over"]
    assert [row.no_longer_counts for row in rows] == [True, True]
    assert rows[0].title.startswith("Struck out: ")
    assert rows[1].mended == "Struck out later: The other piece."
    assert [row.strike_out for row in rows] == ["", ""]


@pytest.mark.parametrize(
    ("kind", "model"),
    [("service", Service), ("check", ConditionCheck), ("wear", WearEntry), ("wash", Wash), ("strand", StrandTest)],
)
def test_each_kind_of_entry_is_struck_out_on_its_page(hers, visit, stylist, client, kind, model):
    everything(hers, visit, stylist)
    entry = model.objects.get()
    client.force_login(stylist)
    address = reverse("entry-strike-out", args=[hers.client.reference, kind, entry.pk])
    assert address in {row.strike_out for row in line_of_client(hers.client, may=stylist.has_perm).rows}
    page = client.get(address)
    assert page.status_code == 200
    nothing_said = client.post(address, {"because": "  "})
    assert b"Write why" in nothing_said.content
    assert model.objects.standing().count() == 1
    answer = client.post(address, {"because": "Entered for the wrong piece."}, follow=True)
    assert b"Struck out." in answer.content
    assert not model.objects.standing().exists()
    assert model.objects.count() == 2
    entry.refresh_from_db()
    assert entry.corrected_by.corrected_because == "Entered for the wrong piece."
    again = client.post(address, {"because": "Once more."})
    assert b"It no longer counts." in again.content
    assert model.objects.count() == 2


def test_striking_out_a_clip_move_says_that_the_clips_stay_as_kept(hers, visit, stylist, client):
    said = {"planned_by": stylist, "done_by": stylist, "done_at": ago(days=1)}
    moved = Service.objects.create(fitting=visit, owned_piece=hers, kind="clips", **said)
    heated = Service.objects.create(fitting=visit, owned_piece=hers, kind="heat", **said)
    client.force_login(stylist)
    for service, says in ((moved, True), (heated, False)):
        page = client.get(reverse("entry-strike-out", args=[hers.client.reference, "service", service.pk]))
        assert ("stays as it is kept now" in page.content.decode()) is says


def test_an_entry_is_not_found_under_another_client(hers, visit, stylist, client):
    everything(hers, visit, stylist)
    other = OwnedPieceFactory().client
    client.force_login(stylist)
    address = reverse("entry-strike-out", args=[other.reference, "check", ConditionCheck.objects.get().pk])
    assert client.get(address).status_code == 404
    assert client.get(address.replace("/check/", "/nothing/")).status_code == 404


def test_what_is_only_planned_is_not_struck_out(visit, hers, stylist, client):
    planned = Service.objects.create(fitting=visit, owned_piece=hers, kind="wash", planned_by=stylist)
    client.force_login(stylist)
    address = reverse("entry-strike-out", args=[hers.client.reference, "service", planned.pk])
    assert client.post(address, {"because": "No."}).status_code == 404


def test_a_units_line_is_a_page(hers, visit, stylist, client):
    everything(hers, visit, stylist)
    client.force_login(stylist)
    page = client.get(reverse("unit-line", args=[hers.unit.number])).content.decode()
    assert "Came in" in page
    assert "Lace at the left" in page


def test_a_units_page_leads_to_its_line(hers, stylist, client):
    client.force_login(stylist)
    page = client.get(reverse("unit", args=[hers.unit.number])).content.decode()
    assert f'href="{reverse("unit-line", args=[hers.unit.number])}"' in page


def test_a_corrected_service_says_who_wrote_the_correction(hers, visit, stylist):
    service = everything(hers, visit, stylist)
    other = StylistFactory(first_name="Noor", last_name="Hallam")
    Service.objects.create(
        fitting=visit,
        owned_piece=hers,
        kind="heat",
        planned_by=other,
        done_by=stylist,
        done_at=service.done_at,
        corrects=service,
        corrected_because="It was the tong.",
    )
    newer, older = (row for row in line_of_owned(hers, may=stylist.has_perm).rows if row.word == "Heat styling")
    assert dict(newer.facts)["Corrected by"].startswith("Noor Hallam, ")
    assert newer.mended == "In place of what was entered before: It was the tong."
    assert (newer.no_longer_counts, older.no_longer_counts) == (False, True)
    assert older.mended == "Corrected later: It was the tong."


def test_a_word_that_is_none_of_hers_narrows_nothing(hers, visit, stylist):
    everything(hers, visit, stylist)
    page = line_of_owned(hers, may=DeskFactory().has_perm, about="care")
    assert page.about == ""
    assert "Her piece" in words(page)
