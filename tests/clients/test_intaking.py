"""Links to an intake, what may be sent by one, and how it goes on into an examination."""

from concurrent.futures import ThreadPoolExecutor
from datetime import timedelta

import pytest
from django.core.exceptions import ValidationError
from django.db import IntegrityError, connection, transaction
from django.utils.timezone import localdate, now

from clients.assessing import begin_assessment, save_story
from clients.consenting import withdraw_consent
from clients.intaking import (
    Answers,
    AnswersNeedConsent,
    IntakeClosed,
    make_intake_link,
    open_intake,
    revoke_intake_link,
    send_intake,
    take_over_intake,
)
from clients.models import Client, Consent, Intake, IntakeLink, Sensitivity
from clients.models.intake import LinkState
from tests.clients.intake_scene import DRAWN, TOLD, adult, child, link_of
from tests.factories import ClientFactory, ConsentFactory, DeskFactory, StylistFactory

pytestmark = pytest.mark.django_db

YES = {"record": True}


def send(link, answers=TOLD, agrees=YES, **how):
    return send_intake(link=link, answers=answers, agrees=agrees, **{"signed_name": "Ada Wren", "at": now()} | how)


def stored():
    return Consent.objects.count(), Intake.objects.count(), IntakeLink.objects.filter(used_at__isnull=False).count()


# links


@pytest.mark.parametrize(("where", "lasts"), [("tablet", timedelta(hours=1)), ("home", timedelta(days=7))])
def test_a_link_lasts_an_hour_on_the_tablet_and_a_week_at_home(where, lasts):
    at = now()
    link, secret = link_of(adult(), where, at=at)
    assert link.expires_at == at + lasts
    assert open_intake(secret=secret, at=at + lasts - timedelta(seconds=1)) == link
    assert open_intake(secret=secret, at=at + lasts) is None
    assert link.state_at(at) == LinkState.WAITING
    assert link.state_at(at + lasts) == LinkState.OVER


def test_the_secret_is_kept_nowhere():
    link, secret = link_of(adult())
    assert secret not in "".join(str(value) for value in vars(link).values())
    assert len(secret) == 43


def test_a_link_taken_back_opens_nothing_and_is_taken_back_once():
    link, secret = link_of(adult())
    by = DeskFactory()
    revoked = revoke_intake_link(link=link, by=by, at=now())
    assert (revoked.revoked_by, revoked.state_at(now())) == (by, LinkState.TAKEN_BACK)
    assert open_intake(secret=secret, at=now()) is None
    with pytest.raises(ValidationError, match="opens nothing any more"):
        revoke_intake_link(link=link, by=by, at=now())


def test_a_new_link_for_the_tablet_takes_the_place_of_one_that_waits_and_leaves_those_for_home():
    her = adult()
    (first, _), (home, _) = link_of(her, "tablet"), link_of(her, "home")
    second, _ = link_of(her, "tablet")
    states = [IntakeLink.objects.get(pk=link.pk).state_at(now()) for link in (first, home, second)]
    assert states == [LinkState.TAKEN_BACK, LinkState.WAITING, LinkState.WAITING]


def test_nothing_is_filled_in_at_the_desk():
    with pytest.raises(ValidationError, match="on the salon's tablet or at home"):
        make_intake_link(client=adult(), where="desk", by=DeskFactory(), at=now())


def test_opening_is_one_query_whatever_the_secret(django_assert_num_queries):
    _, secret = link_of(adult())
    taken_back, other = link_of(adult())
    revoke_intake_link(link=taken_back, by=DeskFactory(), at=now())
    for one in (secret, other, "nothing"):
        with django_assert_num_queries(1):
            open_intake(secret=one, at=now())


def test_the_link_of_an_erased_client_opens_nothing():
    link, secret = link_of(adult())
    Client.objects.filter(pk=link.client_id).update(erased_at=now())
    assert open_intake(secret=secret, at=now()) is None
    with pytest.raises(IntakeClosed):
        send(link)


# sending


def test_one_sending_stores_consents_answers_and_that_the_link_is_used():
    link, secret = link_of(adult(), "tablet")
    at = now()
    intake = send(link, agrees=YES | {"photos": True, "publicity": False}, signature=DRAWN, at=at)
    assert (intake.story, intake.substances, intake.sent_at) == (TOLD.story, ["latex", "nickel"], at)
    consents = Consent.objects.order_by("kind")
    assert [consent.kind for consent in consents] == ["photos", "record"]
    for consent in consents:
        assert (consent.signed_how, consent.signed_where, consent.signature) == ("drawn", "tablet", DRAWN)
        assert (consent.signed_name, consent.given_at, consent.recorded_by) == ("Ada Wren", at, link.made_by)
    assert open_intake(secret=secret, at=now()).used_at == at


def test_a_typed_name_alone_signs_too():
    send(link_of(adult())[0])
    consent = Consent.objects.get()
    assert (consent.signed_how, consent.signed_where, consent.signature) == ("typed", "home", [])


def test_answers_without_consent_to_the_record_are_refused_and_nothing_is_stored():
    link, _ = link_of(adult())
    for agrees in ({"record": False, "photos": True}, {"photos": True}, {}):
        with pytest.raises(AnswersNeedConsent, match="only be kept if you agree"):
            send(link, agrees=agrees)
    assert stored() == (0, 0, 0)


def test_answers_are_kept_under_a_consent_that_stands_already():
    assert send(link_of(adult(record_consent=True))[0], agrees={}, signed_name="").story == TOLD.story


def test_taking_the_record_consent_back_and_answering_are_not_done_at_once():
    link, _ = link_of(adult(record_consent=True))
    with pytest.raises(AnswersNeedConsent):
        send(link, agrees={"record": False})
    assert Consent.objects.live().count() == 1


def test_she_takes_a_consent_back_by_the_same_page():
    her = adult(record_consent=True)
    ConsentFactory(client=her, kind="photos")
    send(link_of(her)[0], answers=Answers(), agrees={"photos": False, "record": True}, signed_name="")
    photos, record = her.consents.get(kind="photos"), her.consents.get(kind="record")
    assert (photos.withdrawn_by_link, photos.withdrawn_by) == (True, None)
    assert photos.withdrawn_at
    assert record.withdrawn_at is None


def test_who_agrees_to_nothing_and_tells_nothing_needs_no_signature():
    link, _ = link_of(adult())
    send(link, answers=Answers(), agrees=dict.fromkeys(("record", "photos"), False), signed_name="")
    assert stored() == (0, 1, 1)


@pytest.mark.parametrize("name", ["", "  "])
def test_whoever_agrees_signs(name):
    link, _ = link_of(adult())
    with pytest.raises(ValidationError, match="type your full name"):
        send(link, signed_name=name)
    assert stored() == (0, 0, 0)


def test_the_guardian_signs_for_a_client_under_age():
    link, _ = link_of(child())
    with pytest.raises(ValidationError, match="her guardian signs"):
        send(link, signed_name="Ida Wren")
    with pytest.raises(ValidationError, match="under age herself"):
        send(link, signed_name="Ida Wren", guardian_signs=True)
    assert stored() == (0, 0, 0)
    send(link, signed_name="Maud Wren", guardian_signs=True, signature=DRAWN)
    consent = Consent.objects.get()
    assert (consent.guardian_name, consent.signed_name) == ("Maud Wren", "Maud Wren")
    assert consent.text.startswith("The guardian signs for Ida Wren")


def test_a_guardian_signs_for_one_who_says_that_she_is_under_age():
    send(link_of(ClientFactory(born_on=None))[0], signed_name="Maud Wren", guardian_signs=True)
    assert Consent.objects.get().guardian_name == "Maud Wren"


def test_of_two_sendings_the_first_wins():
    link, _ = link_of(adult())
    send(link)
    with pytest.raises(IntakeClosed, match="can't be sent any more"):
        send(link, answers=Answers(story="Another story"))
    assert Intake.objects.get().story == TOLD.story


@pytest.mark.parametrize("later", [timedelta(days=7), timedelta(days=400)])
def test_nothing_is_sent_when_its_time_is_over(later):
    link, _ = link_of(adult())
    with pytest.raises(IntakeClosed):
        send(link, at=now() + later)
    assert stored() == (0, 0, 0)


def test_a_refused_answer_takes_the_consents_with_it():
    link, _ = link_of(adult())
    for told, sentence in (
        (Answers(reacts="no", substances=("latex",)), "answered “No”"),
        (Answers(substances=("strawberries",)), "not on the list"),
        (Answers(losing_since="x" * 81), "at most 80"),
    ):
        with pytest.raises(ValidationError, match=sentence):
            send(link, answers=told)
    assert stored() == (0, 0, 0)


def test_a_consent_signed_meanwhile_at_the_desk_stays_as_it_was_signed():
    her = adult()
    link, _ = link_of(her)
    at_the_desk = ConsentFactory(client=her, signed_name="Ada Wren, here")
    send(link)
    assert Consent.objects.get() == at_the_desk


def test_the_database_keeps_one_intake_for_a_link():
    link, _ = link_of(adult())
    intake = send(link)
    intake.pk = None
    with pytest.raises(IntegrityError), transaction.atomic():
        intake.save()


# into the examination


def examined(her, **story):
    stylist = StylistFactory()
    draft = begin_assessment(client=her, stylist=stylist, at=now())
    return save_story(assessment=draft, revision=draft.revision, by=stylist, **story) if story else draft


def take(intake, draft):
    return take_over_intake(intake=intake, assessment=draft, by=draft.stylist, at=now())


def test_her_answers_fill_the_story_and_the_wishes():
    her = adult()
    intake = send(link_of(her)[0])
    draft = examined(her)
    taken = take(intake, draft)
    got = taken.assessment
    assert got.story == (
        "It began after the winter.\n\nWhat happened when her skin reacted: Gloves made my hands itch.\n\n"
        "What she says of her health: A tender place behind the ear."
    )
    assert (got.losing_since, got.chemotherapy, got.wishes) == ("last winter", "none", "To swim again.")
    assert (got.reactions_asked, got.scalp_condition, taken.left_out) == (True, "", ())
    told = Sensitivity.objects.filter(client=her)
    assert {one.substance for one in told} == {"latex", "nickel"}
    assert {one.told_on for one in told} == {localdate(intake.sent_at)}
    intake.refresh_from_db()
    assert intake.taken_over_by == draft.stylist
    assert intake.story == TOLD.story


def test_what_is_written_already_stays_and_is_named():
    her = adult()
    intake = send(link_of(her)[0])
    draft = examined(her, story="She says it runs in the family.", chemotherapy="finished", reactions=["rosin"])
    taken = take(intake, draft)
    assert taken.assessment.story == "She says it runs in the family."
    assert taken.assessment.chemotherapy == "finished"
    assert taken.left_out == ("her story", "chemotherapy")
    assert set(her.sensitivities.values_list("substance", flat=True)) == {"rosin", "latex", "nickel"}


@pytest.mark.parametrize(
    ("reacts", "substances", "asked"),
    [("yes", (), False), ("", (), False), ("no", (), True), ("yes", ("latex",), True), ("", ("latex",), True)],
)
def test_a_reaction_without_a_name_is_still_to_be_asked_about(reacts, substances, asked):
    her = adult()
    intake = send(link_of(her)[0], answers=Answers(story="Well", reacts=reacts, substances=substances))
    assert take(intake, examined(her)).assessment.reactions_asked is asked


def test_treatment_by_a_doctor_stands_as_the_state_of_her_scalp():
    her = adult()
    intake = send(link_of(her)[0], answers=Answers(under_treatment="yes"))
    assert take(intake, examined(her)).assessment.scalp_condition == "under treatment"


def test_answers_are_taken_over_once():
    her = adult()
    intake = send(link_of(her)[0])
    draft = examined(her)
    take(intake, draft)
    with pytest.raises(ValidationError, match="has taken these answers over already"):
        take(intake, draft)


def test_answers_of_somebody_else_stay_hers():
    intake = send(link_of(adult())[0])
    with pytest.raises(ValidationError, match="another client's"):
        take(intake, examined(ClientFactory(record_consent=True)))


def test_answers_are_not_taken_over_once_the_consent_is_taken_back():
    her = adult()
    intake = send(link_of(her)[0])
    draft = examined(her)
    withdraw_consent(consent=her.consents.get(), by=draft.stylist, at=now())
    with pytest.raises(ValidationError, match="has not agreed"):
        take(intake, draft)
    intake.refresh_from_db()
    assert intake.taken_over_at is None


@pytest.mark.django_db(transaction=True)
def test_of_many_sendings_at_once_one_wins_and_the_rest_are_told():
    link, _ = link_of(adult())

    def send_it(number):
        try:
            send(link, answers=Answers(story=f"Story {number}"))
        except IntakeClosed:
            return "closed"
        finally:
            connection.close()
        return "sent"

    with ThreadPoolExecutor(6) as together:
        ends = list(together.map(send_it, range(6)))
    assert sorted(ends) == ["closed"] * 5 + ["sent"]
    assert stored() == (1, 1, 1)
