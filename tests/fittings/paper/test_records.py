"""The papers of a client's record: what each says, that corrections are told and nothing is left out."""

from datetime import date, timedelta

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.utils.timezone import localdate, now

from clients.belonging import belongings
from clients.models import Assessment, Client
from clients.skin_testing import apply_skin_test, read_skin_test, strike_out_skin_test
from fittings.models import Service
from fittings.paper.care_sheet import ASK_US, care_sheet
from fittings.paper.client_record import client_record
from fittings.paper.service_record import own_hair_record, service_record
from fittings.paper.skin_test_record import skin_test_record
from fittings.summary import consult_summary
from salon.models import Salon
from tests.factories import ClientFactory, ProductFactory, SkinTestFactory, StylistFactory
from tests.fittings.factories import OwnedPieceFactory
from tests.fittings.paper.papers import a_salon
from tests.fittings.paper.records import again, done, everything_of_her, her_piece, much_was_done, with_skin_tests

pytestmark = pytest.mark.django_db


def here():
    return {"salon": Salon.objects.default(), "on": localdate()}


def section(sheet, heading):
    return next(one for one in sheet.sections if one.heading == heading)


def all_words(sheet):
    """Everything a sheet says, in order."""

    def of(body):
        yield from (*body.says, *body.points)
        yield from (f"{fact.label}: {fact.words}" for fact in body.facts)
        for table in body.tables:
            yield table.caption
            yield from table.columns
            yield from (cell for row in table.rows for cell in row)

    words = [sheet.heading]
    for one in sheet.sections:
        words += [one.heading, *of(one), one.empty if one.is_empty else ""]
        for entry in one.entries:
            words += [entry.heading, entry.mended, *of(entry)]
    return " | ".join(filter(None, words)).replace("\N{NO-BREAK SPACE}", " ")


# the care sheet


def test_a_care_sheet_says_how_the_piece_is_worn_kept_and_when_it_wants_care():
    owned = her_piece()
    sheet = care_sheet(owned, **here())
    words = all_words(sheet)
    for said in (
        "How to wear and keep Heron Weir",
        "Held by: 2 clips, tape front edge (Weir tape)",
        f"Piece number: {owned.unit.number}",
        "Putting it on",
        "Taking it off",
        "Before an MRI scan | There is metal in this piece: take it off before an MRI scan and tell the staff",
        "What not to do | Do not sleep in it.",
        "No household glue, on your skin or on the piece.",
        "Wherever the maker's own instructions differ, they come first.",
    ):
        assert said in words, said
    assert sheet.whom_to_call
    kinds = [row[0] for row in section(sheet, "Its dates").tables[0].rows]
    assert kinds == [str(one.get_kind_display()) for one in owned.care_dates.all()]
    assert {"Wash", "Check-up", "Expected end"} <= set(kinds)


def test_the_base_is_told_in_a_clause_and_tape_by_its_product():
    owned = her_piece()
    places = [{"where": where, "product": "Weir tape"} for where in ("Front edge", "Left side", "Right side")]
    type(owned).objects.filter(pk=owned.pk).update(tape=places)
    words = all_words(care_sheet(again(owned), **here()))
    assert "Held by: 2 clips, tape front edge, left side and right side (Weir tape)" in words
    assert " front edge | Held by" in words
    assert "while a remover is wet" in words


def test_without_tape_or_adhesive_no_remover_is_spoken_of():
    owned = her_piece()
    type(owned).objects.filter(pk=owned.pk).update(tape=[])
    words = all_words(care_sheet(again(owned), **here()))
    assert "No flame, cigarette or hot tool near it." in words
    assert "remover" not in words


def test_the_summary_and_the_care_sheet_name_the_same_days_between_washes():
    owned = her_piece()
    often = "about every 8 days of wear"
    assert often in all_words(care_sheet(owned, **here()))
    told = consult_summary(owned.candidate.fitting, on=localdate())
    assert often in " ".join(said for one in told.instructions for said in one.sentences)


def test_every_date_says_what_it_rests_on_and_which_figures_are_house_rules():
    rows = section(care_sheet(her_piece(), **here()), "Its dates").tables[0].rows
    why = {row[0]: row[2] for row in rows}
    assert "Human hair: a wash every 8 wears (house rules of common practice)." in why["Wash"]
    assert "As you told us: Worn 5 days a week" in why["Wash"]
    assert "Not asked yet: " in why["Wash"]
    assert all(row[2] for row in rows)


def test_what_is_told_to_the_salon_alone_is_not_on_her_sheet():
    owned = her_piece()
    owned.care_dates.filter(kind="wash").update(
        rests_on={"grounds": [{"says": "counted from the day she had it", "source": "recorded"}]}
    )
    assert "the day she had it" not in all_words(care_sheet(owned, **here()))


def test_a_date_that_is_past_is_said_to_be_due_since_then():
    owned = her_piece()
    owned.care_dates.filter(kind="check-up").update(due_on=date(2020, 1, 4))
    assert "since 4 January 2020" in all_words(care_sheet(owned, **here()))


def test_an_expected_end_says_between_which_days():
    owned = her_piece()
    owned.care_dates.filter(kind="replace").update(
        due_on=date(2027, 3, 2), earliest_on=date(2027, 1, 4), latest_on=None
    )
    assert "about 2 March 2027 (4 January 2027 to no latest day known)" in all_words(care_sheet(owned, **here()))


@pytest.mark.parametrize(
    ("piece", "said", "unsaid"),
    [
        ({"fibre": "standard", "texture": "straight"}, "No heat: no iron, tong, hot rollers", "keep tools under"),
        ({"fibre": "heat_friendly", "rated_c": 150}, "never above 150 °C", "No heat: no iron"),
        ({"fibre": "human"}, "it is tried on a strand first", "its fibre takes no dye"),
        ({"fibre": "standard"}, "its fibre takes no dye", "it is tried on a strand first"),
    ],
)
def test_what_not_to_do_follows_the_fibre(piece, said, unsaid):
    words = all_words(care_sheet(her_piece(**piece), **here()))
    assert said in words
    assert unsaid not in words


def test_a_piece_without_clips_or_tape_is_told_of_none_of_them():
    owned = her_piece()
    type(owned).objects.filter(pk=owned.pk).update(tape=[])
    words = all_words(care_sheet(again(owned), **here()))
    assert "the one your skin was tested with" not in words
    assert "Held by: 2 clips" in words


def test_a_piece_she_brought_is_placed_where_we_showed_her_and_has_dates_to_ask_for():
    a_salon()
    brought = again(OwnedPieceFactory())
    words = all_words(care_sheet(brought, **here()))
    assert "The front edge sits where we showed you." in words
    assert ASK_US in words


def test_a_piece_that_is_no_longer_hers_has_no_dates():
    a_salon()
    ended = OwnedPieceFactory(until=localdate(), ended="worn out", ended_by=StylistFactory(), ended_at=now())
    assert "Its dates" not in [one.heading for one in care_sheet(again(ended), **here()).sections]


# services


def test_a_service_record_tells_each_service_with_what_was_used_by_whom_and_when():
    owned = her_piece()
    much_was_done(owned)
    sheet = service_record(owned, **here())
    entries = section(sheet, "Services, newest first").entries
    assert [entry.heading.split(",")[0] for entry in entries] == ["Heat styling", "Heat styling", "Colour", "Colour"]
    hot, wrong, corrected, first = entries
    words = all_words(sheet)
    for said in (
        "Formula: Peat 4, 1 part; Ash 6, 1 part",
        "Developer: 3 % (10 vol), 4 parts",
        "Lots: Peat 4 P-1, Ash 6 A-9",
        "Note: a shade warmer",
        f"Done by: {owned.candidate.fitting.stylist}, in visit {owned.candidate.fitting.reference}",
        "A stop that Wilma Oakes let pass: The tool is above 200 °C. Because: Its maker allows 210 °C.",
        "Result: the strand took it well",
    ):
        assert said in words, said
    assert (hot.stands, wrong.stands, corrected.stands, first.stands) == (True, False, True, False)
    assert wrong.mended.startswith("Struck out by ")
    assert wrong.mended.endswith(": Another client's.")
    assert corrected.mended == "A correction of an earlier entry: It was 20 minutes, not 30."
    assert first.mended.startswith("Corrected by a later entry by ")


def test_her_own_hair_has_a_record_of_its_own():
    owned = her_piece()
    much_was_done(owned)
    assert "her own fringe" not in all_words(service_record(owned, **here()))
    own = own_hair_record(owned.client, **here())
    assert "Cut-in" in all_words(own)
    assert "her own fringe" in all_words(own)
    assert "Colour" not in all_words(own)
    assert "Nothing has been logged yet." in all_words(own_hair_record(ClientFactory(), **here()))


def test_what_is_only_planned_is_no_service_that_was_done():
    owned = her_piece()
    Service.objects.create(fitting=owned.candidate.fitting, owned_piece=owned, kind="steam", planned_by=owned.begun_by)
    assert "Nothing has been logged yet." in all_words(service_record(owned, **here()))


# skin tests


def test_a_skin_test_record_tells_product_lot_readings_and_window():
    client, stylist = ClientFactory(record_consent=True), StylistFactory()
    a_salon()
    with_skin_tests(client, stylist)
    sheet = skin_test_record(client, **here(), at=now())
    table = section(sheet, "Tests, newest first").tables[0]
    results = {row[0]: row[2:] for row in table.rows}
    assert results["Quarry bond"] == ("Not read yet", "does not count")
    assert results["Old glue"] == ("Reaction, struck out", "does not count")
    words = all_words(sheet)
    for said in (
        "Old glue: a reaction was recorded and struck out; none of it on your skin, not even as a test",
        "Nickel: It itched (told on ",
        "Lot: L-1",
        "A clear reading counts for: 90 days, as its maker says",
        "A clear reading counts for: 180 days, by the house rule",
        "Second reading: ",
        "To be read: from ",
        "it promises nothing",
    ):
        assert said in words, said
    assert section(sheet, "Reactions") == sheet.sections[0], "said first"
    struck = next(entry for entry in sheet.sections[1].entries if entry.heading.startswith("Old glue"))
    assert not struck.stands
    assert struck.mended.endswith(f"by {stylist}: Pressed by mistake")


def test_a_window_that_is_over_says_so():
    a_salon()
    client, stylist, at = ClientFactory(record_consent=True), StylistFactory(), now()
    tape = ProductFactory(test_valid_days=1)
    test = apply_skin_test(client=client, product=tape, by=stylist, at=at - timedelta(days=6))
    read_skin_test(test=test, reacted=False, by=stylist, at=at - timedelta(days=3))
    assert "(no longer)" in all_words(skin_test_record(client, **here(), at=at))
    strike_out_skin_test(test=test, because="Wrong", by=stylist, at=at)
    assert "No reaction, struck out | does not count" in all_words(skin_test_record(client, **here(), at=at))


def test_a_client_without_tests_is_told_so():
    assert "No test is on record." in all_words(skin_test_record(ClientFactory(), **here(), at=now()))


# everything


def record_of(client):
    return client_record(client, **here(), at=now())


# every table whose rows belong to a client, and the section in which they stand
WHERE_IT_IS = {
    "clients.accessentry.client": "Who looked at the record",
    "clients.assessment.client": "Assessments",
    "clients.consent.client": "Consents",
    "clients.intake.client": "What was told before a visit",
    "clients.intakelink.client": "What was told before a visit",
    "clients.photoset.client": "Photos",
    "clients.sensitivity.client": "Reactions",
    "clients.skintest.client": "Skin tests",
    "fittings.appointment.client": "Appointments",
    "fittings.awaitedpiece.client": "Pieces on their way",
    "fittings.fitting.client": "Visits",
    "fittings.loan.client": "Repairs and loans",
    "fittings.ownedpiece.client": "Pieces",
    "fittings.reminder.client": "Messages",
    "fittings.waitingentry.client": "Wishes on the waiting list",
    "pieces.orderline.for_client": "Ordered, set aside and handed over",
    "pieces.payment.client": "Paid and given back",
    "pieces.sale.client": "Bought",
    "pieces.stockmovement.for_client": "Ordered, set aside and handed over",
    "pieces.unit.reserved_for": "Ordered, set aside and handed over",
}


def test_every_table_that_holds_something_of_a_client_stands_in_the_full_record():
    assert set(WHERE_IT_IS) == {belonging.label for belonging in belongings()}
    owned = everything_of_her()
    assert all(belonging.of(owned.client).exists() for belonging in belongings()), (
        "the scene has something in every table"
    )
    sheet = record_of(owned.client)
    for label, heading in WHERE_IT_IS.items():
        assert not section(sheet, heading).is_empty, label


def test_the_full_record_holds_what_was_told_measured_signed_and_done():
    owned = everything_of_her()
    client = owned.client
    assessment = client.assessments.signed_off().get()
    Assessment.objects.filter(pk=assessment.pk).update(story="Thinner on top since spring", referral_signs=["patchy"])
    words = all_words(record_of(client))
    for said in (
        client.given_name,
        client.phone,
        client.consents.get(kind="record").text.split(".")[0],
        "What was told: Thinner on top since spring",
        "Signs with which a doctor should look first: Round or clear-edged patches",
        "Round the hairline: 55.9 cm",
        "Hair that remains, by zone",
        "Colour of your own hair",
        "Own hair: front",
        "Looked over: Heron Weir",
        "Sent for repair",
        "Lent to her",
        "Heron, walnut: noted on",
        "may have been sent",
        "Her hair: Since the winter",
        f"{owned.candidate.fitting.stylist}: visit",
        "Struck out by",
        "On: own hair",
    ):
        assert said in words, said
    entry = section(record_of(client), "Assessments").entries[0]
    assert [picture.caption for picture in entry.pictures] == [f"From above, {entry.heading.partition(',')[0]}"]


def test_a_proposal_says_of_cover_and_clips_no_more_than_is_so():
    owned = her_piece()
    proposal = owned.client.fittings.get().candidates.filter(pk=owned.candidate.pk)
    proposal.update(cover=0.996, uncovered_cm2=0.04, set_back_mm=0, clips_holding=0, clips_total=0)
    facts = {
        one.label: one.words for one in section(record_of(owned.client), "Pieces proposed and tried").entries[0].facts
    }
    assert facts["Cover"] == "99 % of the thinning; less than 0.1 cm² stay uncovered"
    assert facts["Front edge"] == "at your hairline"
    assert "Clips that hold" not in facts


def test_colours_of_her_hair_are_told_from_the_roots_to_the_ends():
    entry = section(record_of(everything_of_her().client), "Assessments").entries[0]
    read = next(table for table in entry.tables if table.caption == "Colour of your own hair")
    assert [row[0] for row in read.rows][:3] == ["Roots", "Mid-length", "Ends"]


def test_a_private_note_is_named_and_not_printed():
    client = ClientFactory(private_note="Rings before she comes")
    words = all_words(record_of(client))
    assert "Rings before she comes" not in words
    assert "one is kept; it is not printed, and you may ask what it says" in words
    assert "Private note of the salon: none" in all_words(record_of(ClientFactory()))


def queries_of(made):
    with CaptureQueriesContext(connection) as found:
        made()
    return len(found)


def test_papers_take_as_many_queries_for_few_entries_as_for_many():
    owned = everything_of_her()
    client = Client.objects.get(pk=owned.client.pk)
    papers = (
        lambda: care_sheet(again(owned), **here()),
        lambda: service_record(again(owned), **here()),
        lambda: skin_test_record(Client.objects.get(pk=client.pk), **here(), at=now()),
        lambda: record_of(Client.objects.get(pk=client.pk)),
    )
    few = [queries_of(paper) for paper in papers]
    for number in range(6):
        done(owned, "wash", days_ago=number)
        SkinTestFactory(client=client, product=f"Tape {number}")
        Assessment.objects.create(
            client=client,
            stylist=owned.begun_by,
            state="superseded",
            signed_at=now(),
            signed_by=owned.begun_by,
            map_painted=True,
        )
    assert [queries_of(paper) for paper in papers] == few
