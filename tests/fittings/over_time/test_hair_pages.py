"""A client's hair over time, and two of her maps against each other: what the pages say, and to whom."""

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils.timezone import now

from clients.assessing import begin_assessment, save_map
from clients.models import AccessEntry, Assessment
from fittings.models import HouseRule
from fittings.over_time.apart import paintings_apart
from fittings.over_time.words import MORE, WITHIN
from fittings.visiting import begin_visit
from tests.factories import ClientFactory, StylistFactory
from tests.fittings.factories import OwnedPieceFactory
from tests.fittings.over_time.visits_over_time import TAPES, examined, numbers, painted_twice, round_loss
from tests.fittings.test_candidates import clipped_base
from tests.pieces.factories import PieceFactory, UnitFactory, VariantFactory

pytestmark = pytest.mark.django_db

SMALL, LARGE = round_loss(30), round_loss(60)
FORBIDDEN = ("progress", "diagnosis of", "worse", "bald", "problem", "suffer")


@pytest.fixture
def stylist():
    return StylistFactory()


@pytest.fixture
def read(client, stylist):
    """The answer to an address, as the stylist is given it."""
    client.force_login(stylist)

    def open_it(name, her, query=""):
        response = client.get(reverse(name, args=[her.reference]) + query)
        assert response.status_code == 200
        return response.content.decode()

    return open_it


def in_words(page_html):
    return " ".join(page_html.split())


def test_a_client_without_a_map_is_told_what_to_do_first(read):
    said = read("hair-over-time", ClientFactory(record_consent=True))
    assert "Nothing is painted and signed yet" in said


def test_every_signed_map_has_a_row_whether_replaced_since_or_not(read):
    her = examined(SMALL, LARGE, LARGE)
    assert set(her.assessments.values_list("state", flat=True)) == {"signed off", "superseded"}
    said = read("hair-over-time", her)
    assert said.count("Remaining hair, from above") == 3
    assert said.count("Nothing painted anew") == 1
    assert said.count("With the one before") == 1


def test_no_interval_is_shown_until_enough_heads_were_painted_twice(read):
    painted_twice(4)
    said = in_words(read("hair-over-time", examined(SMALL, LARGE)))
    assert "4 of 5 heads were painted twice, so 1 is missing" in said
    assert "One more head has to be painted twice before it can be said" in said
    assert MORE not in said.replace("whether that is more than painting alone explains", "").replace(
        "whether a change is more than painting alone explains", ""
    )
    assert 'class="time-interval"' not in said


def test_a_change_beyond_what_two_paintings_differ_by_is_more_than_painting_explains(read):
    painted_twice(5, share=0.5, area=2)
    said = in_words(read("hair-over-time", examined(SMALL, LARGE)))
    assert f": {MORE}." in said
    assert WITHIN not in said
    assert said.count('class="time-interval"') == 4


def test_a_change_that_paintings_differ_by_is_within_painting(read):
    painted_twice(5, share=30, area=300)
    said = in_words(read("hair-over-time", examined(SMALL, LARGE)))
    assert f": {WITHIN}." in said


def test_how_many_heads_it_takes_is_the_owner_s_to_say():
    painted_twice(5)
    assert paintings_apart(numbers()).share is not None
    HouseRule.objects.create(key="repaint_least", value=8)
    apart = paintings_apart(numbers())
    assert (apart.share, apart.missing) == (None, 3)


def test_the_words_are_calm_and_name_no_cause(read):
    painted_twice(5)
    her = examined(SMALL, LARGE)
    for name in ("hair-over-time", "hair-compare"):
        said = read(name, her).lower()
        assert not [word for word in FORBIDDEN if word in said.replace("not a diagnosis", "")]


def test_all_maps_are_laid_on_the_head_of_the_newest_tapes(read):
    her = examined(SMALL, SMALL)
    first = her.assessments.over_time().last()
    Assessment.objects.filter(pk=first.pk).update(circumference_mm=620, front_to_nape_mm=380, ear_to_ear_mm=370)
    said = read("hair-over-time", her)
    values = [part.split("</span>")[0] for part in said.split('class="time-value">')[1:]]
    assert values[:2] == values[2:]


def test_without_any_tape_the_page_says_that_the_head_is_an_average_one(read):
    her = examined(SMALL, tapes=dict.fromkeys(TAPES))
    assert "every map is laid on an average head" in read("hair-over-time", her)


def test_a_piece_that_no_longer_covers_leads_to_a_bigger_base(read, stylist):
    her = examined(SMALL, round_loss(95))
    variant = VariantFactory(piece=PieceFactory(base=clipped_base(length_mm=90, width_mm=80)))
    OwnedPieceFactory(client=her, unit=UnitFactory(variant=variant, state="with client"))
    said = in_words(read("hair-over-time", her))
    assert "No longer covers" in said
    assert "Begin a visit to look for a bigger base" in said
    visit = begin_visit(client=her, stylist=stylist, at=now())
    assert "Sign off the examination, then look for a bigger base" in in_words(read("hair-over-time", her))
    visit.assessment = her.assessments.signed_off().get()
    visit.save()
    assert reverse("candidates", args=[visit.reference]) in read("hair-over-time", her)


def test_opening_either_page_is_a_look_at_her_health(read):
    her = examined(SMALL, LARGE)
    for name in ("hair-over-time", "hair-compare"):
        AccessEntry.objects.all().delete()
        read(name, her)
        assert AccessEntry.objects.get().page == "hair over time"


def test_twenty_visits_take_as_many_queries_as_two(client, stylist):
    client.force_login(stylist)
    taken = []
    for maps in ([SMALL, LARGE], [round_loss(20 + at) for at in range(20)]):
        her = examined(*maps, days_apart=20)
        for name in ("hair-over-time", "hair-compare"):
            with CaptureQueriesContext(connection) as queries:
                client.get(reverse(name, args=[her.reference]))
            taken.append(len(queries))
    assert taken[:2] == taken[2:]


# two maps against each other


def test_the_newest_two_are_compared_the_older_first(read):
    her = examined(round_loss(20), SMALL, LARGE)
    newest, before, _ = her.assessments.over_time()
    said = read("hair-compare", her)
    assert f'<option value="{before.reference}" selected>' in said
    assert f'<option value="{newest.reference}" selected>' in said
    assert said.index('data-which="then"') < said.index('data-which="difference"') < said.index('data-which="now"')


def test_named_the_wrong_way_round_then_is_still_the_older(read):
    her = examined(SMALL, LARGE)
    newer, older = her.assessments.over_time()
    straight = read("hair-compare", her, f"?then={older.reference}&now={newer.reference}")
    turned = read("hair-compare", her, f"?then={newer.reference}&now={older.reference}")
    assert straight.split("<heads-together>")[1] == turned.split("<heads-together>")[1]


def test_the_difference_is_told_in_a_key_with_signs_and_in_words_by_zone(read):
    said = in_words(read("hair-compare", examined(SMALL, LARGE)))
    for words in ("Far less hair", "Much the same", "Far more hair", "There is less hair than then at:"):
        assert words in said
    assert "points less</td>" in said
    assert 'class="change-signs"' in said


def test_the_map_being_painted_in_a_visit_can_be_compared_with_the_last(read, stylist):
    her = examined(SMALL)
    visit = begin_visit(client=her, stylist=stylist, at=now())
    draft = save_map(
        assessment=visit.assessment, revision=visit.assessment.revision, by=stylist, density_hex=LARGE.to_hex()
    )
    said = read("hair-compare", her, f"?then={draft.supersedes.reference}&now={draft.reference}")
    assert "Now: today, not signed yet" in said
    assert said.count("Remaining hair, from above") == 0


def test_the_map_step_and_the_assessment_lead_to_the_comparison(client, stylist):
    client.force_login(stylist)
    her = examined(SMALL, LARGE)
    newest, before = her.assessments.over_time()
    address = f"{reverse('hair-compare', args=[her.reference])}?then={before.reference}&amp;now={newest.reference}"
    assert address in client.get(reverse("assessment", args=[newest.reference])).content.decode()
    visit = begin_visit(client=her, stylist=stylist, at=now())
    said = client.get(reverse("consult-map", args=[visit.reference])).content.decode()
    assert "Compare with last time" in said
    assert reverse("hair-over-time", args=[her.reference]) in client.get(her.get_absolute_url()).content.decode()


def test_different_hands_are_named(read):
    her = examined(SMALL)
    other = StylistFactory()
    draft = begin_assessment(client=her, stylist=other, at=now())
    save_map(assessment=draft, revision=draft.revision, by=other, density_hex=LARGE.to_hex())
    assert "painted by different hands" in read("hair-compare", her)


def test_with_one_map_or_the_same_twice_the_page_says_what_is_missing(read):
    her = examined(SMALL)
    assert "So far there is one." in in_words(read("hair-compare", her))
    her = examined(SMALL, LARGE)
    reference = her.assessments.over_time()[0].reference
    assert "The same map is chosen on both sides" in read("hair-compare", her, f"?then={reference}&now={reference}")


def test_a_map_of_somebody_else_is_not_found(client, stylist):
    client.force_login(stylist)
    her, other = examined(SMALL, LARGE), examined(SMALL)
    address = f"{reverse('hair-compare', args=[her.reference])}?then={other.assessments.get().reference}"
    assert client.get(address).status_code == 404
