"""The pages of her pieces: given, told, looked over, corrected, ended; who sees what; and nothing typed is lost."""

from datetime import timedelta
from html import unescape

import pytest
from django.urls import reverse
from django.utils.timezone import localdate, now

from fittings.caring import tell_wash
from fittings.checking import check_condition
from fittings.models import AwaitedPiece, ConditionCheck, Fitting, OwnedPiece, Service, WearEntry
from fittings.owning import end_piece, give_piece, set_fixing, tell_wear
from fittings.repairing import back_from_repair, send_to_repair
from fittings.trying import decide, log_try_on
from fittings.visiting import begin_visit
from tests.clients.factories import PhotoFactory
from tests.factories import ClientFactory, ConsentFactory, DeskFactory, StylistFactory
from tests.fittings.factories import CandidateFactory, OwnedPieceFactory
from tests.fittings.visits import signed_off_visit
from tests.pieces.factories import BaseClipFactory, UnitFactory, VariantFactory

pytestmark = pytest.mark.django_db
DAY = timedelta(days=1)
WELL = {"covers": "well", "sits": "well", "matches": "well"}
REFUSED = {"U-NOSUCH": "There is no unit U-NOSUCH", "": "or write its number"}


@pytest.fixture
def stylist(client):
    stylist = StylistFactory()
    client.force_login(stylist)
    return stylist


@pytest.fixture
def her(stylist):
    return ClientFactory(record_consent=True)


@pytest.fixture
def owned(her, stylist):
    unit = UnitFactory()
    for v_mm in (-30, 30):
        BaseClipFactory(base=unit.variant.piece.base, v_mm=v_mm)
    return give_piece(client=her, unit=unit, since=localdate() - 90 * DAY, by=stylist, at=now() - 90 * DAY)


def words(response):
    return " ".join(unescape(response.content.decode()).split())


@pytest.fixture
def look(client):
    """A page's words, spaces evened out."""

    def shown(name, *args, status=200, **asked):
        response = client.get(reverse(name, args=args), asked)
        assert response.status_code == status
        return words(response)

    return shown


@pytest.fixture
def send(client):
    """Post a form: the page it leads to, or the one it is shown on again."""

    def sent(name, *args, corrects=None, **fields):
        address = reverse(name, args=args) + (f"?corrects={corrects}" if corrects else "")
        return client.post(address, fields, follow=True)

    return sent


# A piece becomes hers


def test_a_unit_is_hers_by_its_number(her, send, look):
    unit = UnitFactory()
    done = send("owned-new", her.reference, number=unit.number.lower(), since=str(localdate()))
    owned = OwnedPiece.objects.get()
    assert done.redirect_chain == [(owned.get_absolute_url(), 302)]
    assert f"{owned} is hers now." in words(done)
    assert unit.variant.piece.name in look("client", her.reference)


def test_what_she_chose_is_one_press_and_keeps_where_it_was_placed(stylist, send, look):
    candidate = CandidateFactory(fitting=signed_off_visit(stylist=stylist))
    fitting, unit = candidate.fitting, UnitFactory(variant=candidate.variant)
    tried_on = log_try_on(fitting=fitting, candidate=candidate, by=stylist, **WELL)
    decide(fitting=fitting, chosen=tried_on, by=stylist)
    assert unit.number in look("owned-new", fitting.client.reference)
    shown = look("decision", fitting.reference)
    assert "She takes it home today" in shown
    assert f"Unit {unit.number}" in shown
    send("owned-new", fitting.client.reference, number=unit.number, since=str(localdate()))
    assert OwnedPiece.objects.get().candidate == candidate
    assert "It is hers" in look("decision", fitting.reference)
    assert unit.number not in look("owned-new", fitting.client.reference)


def test_where_no_unit_lies_in_stock_one_is_noted_on_its_way(stylist, look):
    candidate = CandidateFactory(fitting=signed_off_visit(stylist=stylist))
    tried_on = log_try_on(fitting=candidate.fitting, candidate=candidate, by=stylist, **WELL)
    decide(fitting=candidate.fitting, chosen=tried_on, by=stylist)
    assert "Note one on its way for her" in look("decision", candidate.fitting.reference)
    assert not AwaitedPiece.objects.exists()


def test_a_refused_number_stays_in_its_field_and_says_why(her, send):
    gone = UnitFactory(state="gone")
    for number, says in (
        (gone.number, "it is written off"),
        ("U-NOSUCH", "There is no unit U-NOSUCH"),
        ("", "or write its number"),
    ):
        shown = words(send("owned-new", her.reference, number=number, since=str(localdate())))
        assert says in shown
        assert f'value="{number}"' in shown or not number
    assert not OwnedPiece.objects.exists()


def test_a_number_is_read_as_it_is_typed(her, send):
    unit = UnitFactory()
    send("owned-new", her.reference, number=unit.number.lower().replace("-", " "), since=str(localdate()))
    assert OwnedPiece.objects.get().unit == unit


def test_one_she_brought_is_found_in_the_catalogue_and_taken_in(her, send, look):
    variant = VariantFactory()
    assert "Nothing in the catalogue" in look("owned-new", her.reference, q="nonesuch")
    shown = look("owned-new", her.reference, q=f"marrowick {variant.shade.code}")
    assert f'value="{variant.pk}"' in shown
    again = words(send("owned-new", her.reference, way="brought", q="heron", since="2024-05-01"))
    assert "press it" in again
    assert 'value="2024-05-01"' in again
    send("owned-new", her.reference, way="brought", q="heron", variant=variant.pk, since="2024-05-01")
    owned = OwnedPiece.objects.get()
    assert (owned.unit.variant, str(owned.since), owned.unit.received_on) == (variant, "2024-05-01", localdate())


def test_without_her_consent_the_page_says_so_and_nothing_is_kept(stylist, send, look):
    her, unit = ClientFactory(), UnitFactory()
    assert "Consent first." in look("owned-new", her.reference)
    assert "has not agreed" in words(send("owned-new", her.reference, number=unit.number, since=str(localdate())))
    assert not OwnedPiece.objects.exists()


# How she wears it


def test_it_is_filled_in_as_told_last_and_one_press_keeps_it(owned, stylist, send, look):
    tell_wear(
        owned=owned,
        told_on=localdate() - 30 * DAY,
        by=stylist,
        at=now(),
        days_per_week=0,
        hours_per_day="7.5",
        water="hard",
    )
    shown = look("owned-wear", owned.reference)
    for pressed in ('name="days_per_week" value="0"', 'name="hours_per_day" value="7.5"', 'name="water" value="hard"'):
        assert f"{pressed} " in shown
        assert "checked" in shown.split(pressed)[1].split(">")[0]
    send("owned-wear", owned.reference, days_per_week="0", hours_per_day="7.5", water="hard", told_on=str(localdate()))
    newest = WearEntry.objects.standing().first()
    assert (newest.days_per_week, newest.hours_per_day, newest.told_on) == (0, 7.5, localdate())


def test_with_no_answer_nothing_takes_the_place_of_what_is_known(owned, stylist, send):
    tell_wear(owned=owned, told_on=localdate() - DAY, by=stylist, at=now(), days_per_week=5)
    assert "Press at least one answer" in words(send("owned-wear", owned.reference, told_on=str(localdate())))
    assert WearEntry.objects.get().days_per_week == 5


def test_a_word_is_corrected_by_a_new_one_that_says_why(owned, stylist, send, look):
    first = tell_wear(owned=owned, told_on=localdate(), by=stylist, at=now(), days_per_week=2)
    told = {"corrects": first.pk, "days_per_week": "6", "told_on": str(localdate())}
    assert "Write why it is corrected." in words(send("owned-wear", owned.reference, **told))
    send("owned-wear", owned.reference, **told, because="Misheard")
    assert "6 days a week" in look("owned-piece", owned.reference)
    late = words(send("owned-wear", owned.reference, **told, because="No"))
    assert "corrected already" in late
    assert 'value="No"' in late


def test_it_is_told_in_the_visit_that_is_open(owned, stylist, send):
    visit = begin_visit(client=owned.client, stylist=stylist, at=now())
    send("owned-wear", owned.reference, days_per_week="6", told_on=str(localdate()))
    assert WearEntry.objects.get().fitting == visit


@pytest.mark.parametrize("key", ["x", "0", "999999999999999999999", "²"])
def test_an_entry_that_is_none_is_not_corrected(key, owned, look):
    look("owned-wear", owned.reference, corrects=key, status=404)
    look("owned-check", owned.reference, corrects=key, status=404)


# Looking it over


def test_a_check_asks_for_the_parts_it_has_and_says_how_they_were(owned, stylist, send, look):
    shown = look("owned-check", owned.reference)
    assert "Clips" in shown
    assert "Lace" not in shown
    send("owned-check", owned.reference, fibre="0", clips="2", note="Ends dry")
    assert ConditionCheck.objects.get().grades == {"fibre": 0, "clips": 2}
    assert "Last time: clearly worn" in look("owned-check", owned.reference)
    set_fixing(owned=owned, by=stylist, clips=[])
    assert "Clips" not in look("owned-check", owned.reference)


def test_checks_stand_side_by_side_and_a_correction_in_the_place_of_the_first(owned, stylist, send, look):
    for days in range(70, 0, -10):
        check_condition(
            owned=owned, grades={"fibre": (70 - days) // 20}, by=stylist, at=now() - days * DAY, note=f"Day {days}"
        )
    shown = look("owned-piece", owned.reference)
    assert [f"Day {days}" in shown.split("What has happened")[0] for days in (50, 40, 10)] == [False, True, True]
    assert "3 earlier checks in the line alone" in shown
    fourth = ConditionCheck.objects.get(note="Day 40")
    send("owned-check", owned.reference, corrects=fourth.pk, fibre="3", note="Day 40 anew", because="Slip")
    table = look("owned-piece", owned.reference).split("What has happened")[0]
    assert table.index("Day 30") < table.index("Day 40 anew")
    assert "At its end" in table


def test_a_check_without_a_word_is_shown_again(owned, send):
    shown = words(send("owned-check", owned.reference))
    assert "says how at least one part is" in shown
    assert not ConditionCheck.objects.exists()


def test_photos_follow_the_check_and_are_shown_beside_it(owned, stylist, client, send, look):
    assert "take photos" not in look("owned-check", owned.reference)
    ConsentFactory(client=owned.client, kind="photos")
    assert "take photos" in look("owned-check", owned.reference)
    done = send("owned-check", owned.reference, fibre="1", photos="photos")
    check = ConditionCheck.objects.get()
    assert done.redirect_chain == [(check.photo_set.get_absolute_url(), 302)]
    assert "Turned over, so that the base" in words(done)
    assert str(owned) in words(done)
    photo = PhotoFactory(photo_set=check.photo_set, angle="close", by=stylist)
    assert reverse("photo-file", args=[photo.reference, "thumb"]) in look("owned-piece", owned.reference)
    assert owned.client.access_entries.filter(page="photos", user=stylist).exists()


def test_the_check_is_kept_where_photos_may_not_be_taken(owned, send):
    shown = words(send("owned-check", owned.reference, fibre="1", photos="photos"))
    assert ConditionCheck.objects.get().photo_set is None
    assert "No photos:" in shown


# Its end, and what takes turns


def test_a_piece_ends_with_its_reason_and_nothing_more_is_written_of_it(owned, her, send, look, client):
    shown = words(send("owned-end", owned.reference, until=str(localdate())))
    assert "Press why she no longer has it." in shown
    send("owned-end", owned.reference, ended="outgrown", until=str(localdate()), note="The front has moved")
    shown = look("owned-piece", owned.reference)
    assert "no longer covers. The front has moved" in shown
    assert "Look it over" not in shown
    for name in ("owned-wear", "owned-check", "owned-end", "owned-repair"):
        said = words(client.get(reverse(name, args=[owned.reference]), follow=True))
        assert "She no longer has this piece" in said
    late = words(
        send("owned-wear", owned.reference, days_per_week="6", told_on=str(localdate()), note="In the other tab")
    )
    assert "has not had this piece since" in late
    assert 'value="In the other tab"' in late
    assert "Those she had" in look("client", her.reference)


def test_two_take_turns_by_one_press_and_no_longer_by_another(owned, her, stylist, send, look):
    other = give_piece(client=her, unit=UnitFactory(), since=localdate(), by=stylist, at=now())
    assert f"Takes turns with {other.unit.variant.piece}" in look("owned-piece", owned.reference)
    send("owned-turns", owned.reference, other=other.reference)
    assert "They no longer take turns" in look("owned-piece", other.reference)
    send("owned-turns", other.reference)
    owned.refresh_from_db()
    assert owned.partner is None
    for not_hers in (OwnedPieceFactory().reference, "\0"):
        said = words(send("owned-turns", owned.reference, other=not_hers))
        assert "Choose one of the pieces she has." in said


def test_its_drawing_shows_the_clips_as_they_sit_now(owned, stylist, look):
    assert "with 2 clips" in look("owned-piece", owned.reference)
    set_fixing(
        owned=owned,
        by=stylist,
        clips=[{"u_mm": 20, "v_mm": 0, "length_mm": 28}],
        tape=[{"where": "front edge", "product": "Lace tape", "since": "2026-01-02"}],
    )
    shown = look("owned-piece", owned.reference)
    assert "with 1 clip and" in shown
    assert "front edge: Lace tape" in shown
    assert "since 2 January 2026" in shown


# Who sees what


def test_the_desk_sees_that_it_is_hers_and_neither_wear_nor_checks(owned, stylist, client, look):
    tell_wear(owned=owned, told_on=localdate(), by=stylist, at=now(), days_per_week=6, note="To bed at times")
    check_condition(owned=owned, grades={"fibre": 2}, by=stylist, at=now(), note="Matted at the nape")
    client.force_login(DeskFactory())
    shown = look("owned-piece", owned.reference)
    assert owned.unit.number in shown
    assert "Repairs" in shown
    for hidden in ("To bed at times", "Matted at the nape", "days a week", "Look it over", "She no longer has it"):
        assert hidden not in shown
    assert "Add a piece" not in look("client", owned.client.reference)


def test_a_record_that_was_erased_has_no_pages_of_pieces(owned, look):
    owned.client.erased_at = now()
    owned.client.save()
    look("owned-piece", owned.reference, status=404)
    look("owned-new", owned.client.reference, status=404)


# However much there is


def test_pages_take_the_same_queries_however_much_was_recorded(owned, her, stylist, queries_for):
    ConsentFactory(client=her, kind="photos")
    visit = Fitting.objects.create(client=her, stylist=stylist, began_at=now())

    def record(count):
        for _ in range(count):
            at = now() - record.days * DAY
            record.days -= 1
            tell_wear(owned=owned, told_on=at.date(), by=stylist, at=at, days_per_week=5)
            tell_wash(owned=owned, washed_on=at.date(), by=stylist, at=at)
            done = {"planned_by": stylist, "done_by": stylist, "done_at": at}
            Service.objects.create(fitting=visit, owned_piece=owned, kind="heat", **done)
            away = send_to_repair(owned=owned, what="Lace", done_by="Ash", sent_on=at.date(), by=stylist, at=at)
            back_from_repair(repair=away, back_on=at.date(), by=stylist, at=at)
            check = check_condition(owned=owned, grades={"fibre": 1}, by=stylist, at=at, photo_set=None)
            sets = {"photo_set__client": her, "photo_set__moment": "piece", "photo_set__by": stylist}
            photo = PhotoFactory(**sets, by=stylist)
            ConditionCheck.objects.filter(pk=check.pk).update(photo_set=photo.photo_set)
            give_piece(client=her, unit=UnitFactory(), since=localdate(), by=stylist, at=now())
            ended = give_piece(client=her, unit=UnitFactory(), since=localdate(), by=stylist, at=now())
            end_piece(owned=ended, until=localdate(), ended="returned", by=stylist, at=now())

    record.days = 60
    record(2)
    piece, hers = owned.get_absolute_url(), her.get_absolute_url()
    few = queries_for(piece), queries_for(hers)
    record(5)
    assert (queries_for(piece), queries_for(hers)) == few
