"""Skin tests: applied with consent, clear no sooner than 48 hours, a reaction at any time, struck out with a reason."""

from datetime import UTC, date, datetime, timedelta

import pytest
from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction
from django.utils.timezone import now

from clients.consenting import withdraw_consent
from clients.keeping_products import change_product
from clients.models import Consent, Sensitivity, SkinTest
from clients.skin_testing import apply_skin_test, read_skin_test, strike_out_skin_test
from tests.factories import ClientFactory, ProductFactory, SkinTestFactory, StylistFactory

pytestmark = pytest.mark.django_db


@pytest.fixture
def stylist():
    return StylistFactory()


@pytest.fixture
def client(stylist):
    return ClientFactory(given_name="Ada", family_name="Wren", record_consent=True)


def applied(client, stylist, **fields):
    given = {"kind": "adhesive", "product": "Soft tape no. 3", "at": now()} | fields
    return apply_skin_test(client=client, by=stylist, **given)


def test_a_test_is_applied_and_read_clear_after_48_hours(client, stylist):
    test = applied(client, stylist, product=" Soft  tape no. 3", lot="A-1107")
    assert (test.product, test.read_at, test.reacted) == ("Soft tape no. 3", None, None)
    read = read_skin_test(test=test, reacted=False, by=stylist, at=test.applied_at + timedelta(hours=48))
    assert (read.reacted, read.read_by) == (False, stylist)


def test_clear_is_refused_before_48_hours_and_a_reaction_is_not(client, stylist):
    # 48 hours: label wording of oxidative dyes, Regulation (EC) 1223/2009 Annex III (READ), and patch-test practice
    test = applied(client, stylist)
    early = test.applied_at + timedelta(hours=47, minutes=59)
    with pytest.raises(ValidationError) as refusal:
        read_skin_test(test=test, reacted=False, by=stylist, at=early)
    assert refusal.value.messages == [
        "It is 47 hours since the product was applied: a test is clear only after 48 hours. "
        "A reaction can be recorded at once."
    ]
    assert read_skin_test(test=test, reacted=True, by=stylist, at=early).reacted


def test_a_late_reaction_is_recorded_after_a_clear_reading_which_stays(client, stylist):
    test, other = applied(client, stylist), StylistFactory()
    first = test.applied_at + timedelta(hours=48)
    late = test.applied_at + timedelta(hours=80)
    read_skin_test(test=test, reacted=False, by=stylist, at=first)
    read = read_skin_test(test=test, reacted=True, by=other, at=late)
    assert (read.reacted, read.read_at, read.read_by) == (True, late, other)
    assert (read.earlier_read_at, read.earlier_read_by) == (first, stylist)
    assert not SkinTest.objects.clear_for(client, "adhesive", at=late, valid_for=timedelta(days=30)).exists()


def test_a_reaction_stays(client, stylist):
    test = applied(client, stylist)
    read_skin_test(test=test, reacted=True, by=stylist, at=test.applied_at)
    with pytest.raises(ValidationError, match="already recorded, and stays so"):
        read_skin_test(test=test, reacted=False, by=stylist, at=test.applied_at + timedelta(days=5))


def test_a_test_is_not_read_before_it_was_applied(client, stylist):
    test = applied(client, stylist)
    for reacted in (False, True):
        with pytest.raises(ValidationError, match="A skin test is read after it was applied"):
            read_skin_test(test=test, reacted=reacted, by=stylist, at=test.applied_at - timedelta(minutes=1))


def test_a_test_is_not_read_again_before_it_was_read(client, stylist):
    test = applied(client, stylist)
    read_skin_test(test=test, reacted=False, by=stylist, at=test.applied_at + timedelta(hours=60))
    with pytest.raises(ValidationError, match="read again after it was read the first time"):
        read_skin_test(test=test, reacted=True, by=stylist, at=test.applied_at + timedelta(hours=50))


def test_nothing_is_applied_or_read_without_her_consent(stylist):
    with pytest.raises(ValidationError, match="Ask for that consent first"):
        applied(ClientFactory(), stylist)
    test = SkinTestFactory()
    withdraw_consent(consent=Consent.objects.get(client=test.client), by=stylist, at=now())
    with pytest.raises(ValidationError, match="or has taken it back"):
        read_skin_test(test=test, reacted=True, by=stylist, at=now())
    assert SkinTest.objects.filter(read_at__isnull=False).count() == 0


def test_a_product_is_named_and_its_kind_is_known(client, stylist):
    with pytest.raises(ValidationError, match="cannot be blank"):
        applied(client, stylist, product=" ")
    with pytest.raises(ValidationError, match="is not a valid choice"):
        applied(client, stylist, kind="perfume")
    assert not SkinTest.objects.exists()


def test_a_product_she_reacted_to_does_not_go_on_her_skin_again(client, stylist):
    test = applied(client, stylist)
    read_skin_test(test=test, reacted=True, by=stylist, at=test.applied_at)
    with pytest.raises(ValidationError) as refusal:
        applied(client, stylist, product="SOFT TAPE NO. 3")
    assert refusal.value.messages == [
        "Ada Wren has reacted to SOFT TAPE NO. 3: no more of it on her skin, not even as a test."
    ]
    assert applied(client, stylist, product="Roll tape, clear")


def test_nobody_under_16_is_tested_with_colour(stylist):
    # label wording of oxidative dyes (Tukes, READ); no alert test under 16 either (NHBF, READ)
    at = now()
    fifteen = ClientFactory(given_name="Ida", family_name="Wren", record_consent=True)
    fifteen.born_on = date(at.year - 15, 1, 1)
    fifteen.save()
    with pytest.raises(ValidationError) as refusal:
        applied(fifteen, stylist, kind="colour", product="Cream colour", at=at)
    assert refusal.value.messages == ["Ida Wren is 15: hair dye and its test are for nobody under 16."]
    assert applied(fifteen, stylist, kind="adhesive", at=at)


@pytest.mark.parametrize(
    ("substance", "word"), [("hair dye", "hair dye"), ("black henna tattoo", "temporary black tattoo")]
)
def test_nobody_who_has_reacted_to_dye_is_tested_with_colour(client, stylist, substance, word):
    Sensitivity.objects.create(client=client, substance=substance, told_on=date(2025, 3, 3), recorded_by=stylist)
    with pytest.raises(ValidationError, match=f"Ada Wren has reacted to {word}: no hair dye on her skin"):
        applied(client, stylist, kind="colour", product="Cream colour")


def test_the_database_itself_refuses_half_a_reading(client, stylist):
    test = applied(client, stylist)
    for half in ({"read_at": now()}, {"reacted": True}, {"earlier_read_at": now()}):
        with pytest.raises(IntegrityError), transaction.atomic():
            SkinTest.objects.filter(pk=test.pk).update(**half)


def test_a_product_of_the_list_brings_its_hours_and_its_days_and_knows_what_its_test_is_for(client, stylist):
    tape = ProductFactory(name="Weir tape", read_after_hours=72, test_valid_days=90)
    test = applied(client, stylist, product=tape, kind="")
    assert (test.kind, test.product, test.known_product) == ("adhesive", "Weir tape", tape)
    assert (test.to_be_read_from, test.valid_days) == (test.applied_at + timedelta(hours=72), 90)
    with pytest.raises(ValidationError, match="a test is clear only after 72 hours"):
        read_skin_test(test=test, reacted=False, by=stylist, at=test.applied_at + timedelta(hours=71))
    change_product(product=tape, by=None, read_after_hours=48, test_valid_days=None)
    test.refresh_from_db()
    assert (test.to_be_read_from, test.valid_days) == (test.applied_at + timedelta(hours=72), 90), "as it was applied"


def test_a_name_typed_out_of_hand_is_known_when_it_is_on_the_list(client, stylist):
    tape = ProductFactory(name="Crème tape")
    assert applied(client, stylist, product=" creme  TAPE").known_product == tape
    assert applied(client, stylist, product="Creme tape 2").known_product is None


def test_a_colour_of_the_list_is_not_tested_as_a_tape(client, stylist):
    cream = ProductFactory(name="Cream colour", sort="colour")
    with pytest.raises(ValidationError) as refusal:
        applied(client, stylist, product=cream, kind="adhesive")
    assert refusal.value.messages == [
        "Cream colour is listed as colour, which asks for: Allergy alert test for colour."
    ]
    remover = ProductFactory(name="Remover", sort="remover")
    assert applied(client, stylist, product=remover, kind="adhesive").known_product == remover


def test_nothing_is_tested_whose_label_names_what_she_reacts_to(client, stylist):
    # natural-rubber-latex bonding glue: systemic anaphylaxis (Cogen and Beezhold 2002, READ)
    Sensitivity.objects.create(client=client, substance="latex", told_on=date(2025, 3, 3), recorded_by=stylist)
    glue = ProductFactory(name="Bond", sort="adhesive", contains=["latex"])
    with pytest.raises(ValidationError) as refusal:
        applied(client, stylist, product=glue, kind="")
    assert refusal.value.messages == [
        "Ada Wren has reacted to latex, and Bond contains it: none of it on her skin, not even as a test. "
        "A doctor can tell her more."
    ]


@pytest.mark.parametrize(("days", "minutes", "taken"), [(7, 0, True), (7, 1, False), (0, -1, False), (0, 0, True)])
def test_a_test_is_written_down_within_seven_days_and_never_ahead(client, stylist, days, minutes, taken):
    at = now()
    when = at - timedelta(days=days, minutes=minutes)
    if taken:
        test = applied(client, stylist, applied_at=when, at=at)
        assert (test.applied_at, test.written_at) == (when, at)
        return
    with pytest.raises(ValidationError, match="within the last seven days, or just now"):
        applied(client, stylist, applied_at=when, at=at)


def read_clear(client, stylist, at=None, read_after=48, **fields):
    """A test applied `read_after` hours before `at` and read then."""
    at = at or now()
    test = applied(client, stylist, at=at - timedelta(hours=read_after), **fields)
    return read_skin_test(test=test, reacted=False, by=stylist, at=at)


def clear(client, at, days=180, **asked):
    return list(SkinTest.objects.clear_for(client, "adhesive", at=at, valid_for=timedelta(days=days), **asked))


def test_each_test_counts_for_its_own_days_and_else_for_the_house_rules(client, stylist, django_assert_num_queries):
    at = now()
    short = read_clear(client, stylist, at, product=ProductFactory(name="Short", test_valid_days=10), kind="")
    house = read_clear(client, stylist, at, product="House")
    long = read_clear(client, stylist, at, product=ProductFactory(name="Long", test_valid_days=400), kind="")
    for days, counted in [(0, {short, house, long}), (10, {house, long}), (179, {house, long}), (180, {long})]:
        with django_assert_num_queries(1):
            assert set(clear(client, at + timedelta(days=days))) == counted, days
    assert clear(client, at + timedelta(days=400) - timedelta(microseconds=1)) == [long]
    assert clear(client, at + timedelta(days=400)) == []
    assert clear(client, at - timedelta(microseconds=1)) == [], "nothing is clear before it was read"


@pytest.mark.parametrize(
    "read_on",
    [
        datetime(2026, 3, 28, 12, tzinfo=UTC),  # British clocks go forward on 29 March 2026 (tzdata, COMPUTED)
        datetime(2026, 10, 24, 12, tzinfo=UTC),  # and back on 25 October
    ],
)
def test_a_window_is_as_long_when_the_clocks_change_in_it(client, stylist, read_on):
    cream = ProductFactory(name="Weir tape", test_valid_days=1)
    test = read_clear(client, stylist, read_on, product=cream, kind="")
    end = read_on + timedelta(hours=24)
    assert test.counts_until(house_days=180) == end
    assert clear(client, end - timedelta(seconds=1)) == [test]
    assert clear(client, end) == []
    assert test.to_be_read_from - test.applied_at == timedelta(hours=48)


def test_the_test_of_one_product_does_not_clear_another(client, stylist):
    at = now()
    tape = ProductFactory(name="Weir tape no. 1")
    test = read_clear(client, stylist, at, product=tape, kind="")
    typed = read_clear(client, stylist, at, product="Soft  tape")
    assert clear(client, at, product="weir TAPE no. 1") == [test]
    assert clear(client, at, product="Weir tape no. 2") == []
    assert clear(client, at, product="Weir tape no. %") == []
    assert clear(client, at, product="") == []
    assert clear(client, at, product="soft tape") == [typed]
    change_product(product=tape, by=None, name="Weir tape, first")
    assert clear(client, at, product="Weir tape, first") == [test], "by the name it has today"
    assert clear(client, at, product="Weir tape no. 1") == [test], "and by the one it had"


def test_names_that_differ_only_at_their_end_are_two_products(client, stylist):
    long = "Clear tape for polyurethane fronts, extra strong, with blue liner, for sensitive skin, number "
    read_clear(client, stylist, product=f"{long}1")
    assert clear(client, now(), product=f"{long}2") == []


def test_a_later_reaction_to_a_product_ends_what_an_earlier_clear_test_of_it_said(client, stylist):
    at = now()
    tape = ProductFactory(name="Weir tape")
    read_clear(client, stylist, at - timedelta(days=30), product=tape, kind="")
    other = read_clear(client, stylist, at - timedelta(days=30), product="Soft tape")
    again = applied(client, stylist, at=at - timedelta(days=1), product=tape, kind="")
    assert len(clear(client, at)) == 2
    read_skin_test(test=again, reacted=True, by=stylist, at=at)
    assert clear(client, at) == [other]
    assert clear(client, at, product="Weir tape") == []


def test_a_test_is_struck_out_with_a_reason_once_and_clears_nothing(client, stylist):
    test, at = read_clear(client, stylist), now()
    with pytest.raises(ValidationError, match="Say why it is struck out"):
        strike_out_skin_test(test=test, because="  ", by=stylist, at=at)
    struck = strike_out_skin_test(test=test, because=" Another  client's ", by=stylist, at=at)
    assert (struck.struck_out_by, struck.struck_out_at, struck.struck_out_because) == (stylist, at, "Another client's")
    assert clear(client, at) == []
    assert struck.counts_until(house_days=180) is None
    with pytest.raises(ValidationError, match="struck out already"):
        strike_out_skin_test(test=test, because="again", by=stylist, at=at)
    with pytest.raises(ValidationError, match="was struck out and can't be read as clear"):
        read_skin_test(test=test, reacted=False, by=stylist, at=at)
    assert read_skin_test(test=test, reacted=True, by=stylist, at=at).reacted, "what was seen is always written down"


def test_a_reaction_that_was_struck_out_still_keeps_its_product_off_her_skin(client, stylist):
    test, at = applied(client, stylist, at=now() - timedelta(days=3)), now()
    other = read_clear(client, stylist, at, product="SOFT TAPE NO. 3", kind="adhesive")
    read_skin_test(test=test, reacted=True, by=stylist, at=at)
    struck = strike_out_skin_test(test=test, because="Pressed by mistake", by=stylist, at=at)
    assert struck.reacted
    assert clear(client, at) == []
    assert not other.reacted
    with pytest.raises(ValidationError, match="no more of it on her skin, not even as a test"):
        applied(client, stylist)


def test_a_test_is_not_struck_out_before_it_was_applied(client, stylist):
    test = applied(client, stylist)
    with pytest.raises(ValidationError, match="struck out after it was applied"):
        strike_out_skin_test(test=test, because="Wrong", by=stylist, at=test.applied_at - timedelta(seconds=1))


def test_the_database_itself_refuses_a_striking_out_without_name_or_reason(client, stylist):
    test = applied(client, stylist)
    for half in ({"struck_out_at": now()}, {"struck_out_because": "x"}, {"read_from": test.applied_at - timedelta(1)}):
        with pytest.raises(IntegrityError), transaction.atomic():
            SkinTest.objects.filter(pk=test.pk).update(**half)
