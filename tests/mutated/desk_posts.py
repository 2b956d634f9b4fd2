"""A valid post of every form of the desk: of clients, their intakes, bookings, messages, and of setting up."""

from datetime import UTC, datetime, time, timedelta

from django.utils.timezone import localdate, localtime, now

from clients.intake.form import IntakeForm
from clients.taking_in.form import fingerprint as looked_at
from fittings.desk.chosen_time import code_of
from fittings.house_numbers import start_numbers
from fittings.messages.stopping import stop_token
from salon.models import Salon
from tests.clients.taking_in.files import CSV
from tests.mutated.scene import OWNERS_PASSWORD
from tests.mutated.sending import File, asked, post, sent_with

NEW, NEW_PASSWORD = "copper-thimble-58", ("new_password1", "new_password2")
UPLOAD = "6f1f4f0c-3a52-4c55-9d0e-2f7f5d0b9a11"
DRAWN = "[[[0.1, 0.2], [0.3, 0.15], [0.5, 0.25]], [[0.6, 0.1]]]"
ONE_CLICK = {"Accept": "*/*"}  # a mail program posts by itself
SWAPPED = {"HX-Request": "true"}


def of_the_salon():
    person = {"first_name": "Imke", "last_name": "Underhay", "units": "imperial"}
    salon = {
        "name": "The Quiet Room",
        "address": "3 Weir Lane\nMarrowick",
        "phone": "01632 960001",
        "email": "hello@quiet-room.example",
        "after_hours_advice": "Ring the surgery on 01632 960002",
        "time_zone": "Europe/Paris",
        "currency": "EUR",
        "country": "FR",
        "units": "imperial",
        "age_of_consent": "16",
        "card_reflectance_percent": "17.5",
        "chart_edition": "before",
        "prices_include_tax": "on",
        "tax_number": "FR 32 123456789",
        "return_days": "14",
        "dead_stock_days": "180",
    }
    return {
        "signing in": post("sign-in", "nobody", username="odile", password=OWNERS_PASSWORD, next="/settings/"),
        "signing out": post("sign-out", "Stylist"),
        "my settings": post("my-settings", "Stylist", **person),
        "my password": post("my-password", "Owner", old_password=OWNERS_PASSWORD, **dict.fromkeys(NEW_PASSWORD, NEW)),
        "the salon's settings": post("salon-settings", "Owner", **salon),
    }


def of_a_client(scene):
    new = scene.new.reference
    person = {
        "given_name": "Maren",
        "family_name": "Holloway",
        "preferred_name": "Mo",
        "phone": "07700 900456",
        "email": "maren@holloway.example",
        "born_on": "1968-04-09",
        "guardian_name": "",
        "private_note": "Parks behind the house",
    }
    people = post("clients-import", "Owner")
    people_file = ("people", File("people.csv", CSV.encode()))
    return {
        "a new client": post("client-new", "Front desk", **person, anyway=""),
        "clients looked at in a file": sent_with(people, SWAPPED).with_fields([("looked_at", ""), people_file]),
        "clients taken in": people.with_fields([("looked_at", looked_at(CSV.encode())), ("store", ""), people_file]),
        "a client changed": post("client-edit", "Front desk", new, **person),
        "a consent signed": post("consent-sign", "Front desk", new, kind="photos", signed_name="Ada Ashdown"),
        "a consent drawn": post(
            "consent-sign", "Front desk", new, kind="photos", signed_name="Ada Ashdown", signature=DRAWN
        ),
        "a consent withdrawn": post("consent-withdraw", "Front desk", new, kind="record"),
        "two records merged": asked(
            post("client-merge", "Front desk", new, family_name="gone", phone="kept"),
            **{"with": scene.second_record.reference},
        ),
        "a merge undone": post("merge-undo", "Front desk", scene.merge.reference),
        "a skin test applied": post(
            "client-skin-tests", "Stylist", new, kind="colour", product="Walnut stain", lot="L-204"
        ),
        "a skin test of a product of the list": post(
            "client-skin-tests",
            "Stylist",
            new,
            listed=scene.product.pk,
            lot="L-9",
            applied_at=f"{localtime(now() - timedelta(hours=4)):%Y-%m-%dT%H:%M}",
        ),
        "a skin test struck out": post(
            "skin-test-strike-out", "Stylist", new, scene.skin_test.pk, because="Another client's"
        ),
        "a skin test read": post("skin-test-read", "Stylist", new, scene.skin_test.pk, reacted="yes"),
    }


def of_an_intake(scene):
    """She signs alone: the fingerprint in the post is that of the words on her page."""
    new, link, secret = scene.new.reference, scene.intake_link, scene.intake_secret
    words = IntakeForm(link=link, salon=Salon.objects.default(), at=now()).fingerprint
    answers = [
        ("words", words), ("of_age", ""), ("agree_record", "yes"), ("agree_photos", "yes"), ("agree_publicity", "no"),
        ("agree_reminders", "yes"), ("story", "Thinner on top since spring"), ("losing_since", "spring"),
        ("chemotherapy", "none"), ("under_treatment", "no"), ("reacts", "yes"), ("substances", "nickel"),
        ("substances", "latex"), ("reaction", "It itched for a day"), ("medicines", "A tender place behind the ear"),
        ("wishes", "To swim again"), ("signed_name", "Ada Ashdown"), ("signature", DRAWN), ("send", "all"),
    ]  # fmt: skip  # in pairs it is read at a glance
    sent = post("intake", "nobody", secret)
    return {
        "the tablet handed over": post("intake-hand-over", "Front desk", new),
        "a link for at home": post("intake-link-new", "Front desk", new, by_email="yes"),
        "a link taken back": post("intake-link-revoke", "Front desk", new, link.pk),
        "an intake": sent.with_fields(answers),
        "an intake, by itself": sent_with(sent.with_fields(answers), SWAPPED),
        "an intake taken over": post("intake-take-over", "Stylist", scene.drafted.reference, intake=scene.intake.pk),
    }


def of_the_desk(scene):
    booked = scene.appointment
    when = {
        "stylist": scene.staff["Stylist"].pk,
        "place": scene.place.pk,
        "starts_on": f"{localdate() + timedelta(days=9)}",
        "starts_time": "10:30",
    }
    book = post("appointment-new", "Front desk", kind=scene.kind.pk, note="Rings before she comes", **when)
    wish = {
        "kind": scene.kind.pk,
        "stylist": scene.staff["Stylist"].pk,
        "earliest_on": f"{localdate()}",
        "latest_on": f"{localdate() + timedelta(days=30)}",
        "part_of_day": "mornings",
        "weekdays": "2",
        "short_notice": "on",
        "instead_of": booked.pk,
        "note": "Works until noon",
    }
    ten = datetime.combine(localdate() + timedelta(days=9), time(10), tzinfo=UTC)
    there = {"starts_at": ten.isoformat(), "stylist": when["stylist"], "place": when["place"]}
    chosen = code_of(ten, scene.staff["Stylist"], scene.place)
    pressed = post("appointment-new", "Front desk", kind=scene.kind.pk, note="Rings", chosen=chosen, once=UPLOAD)
    walk_in = f"{scene.staff['Owner'].pk}~{scene.chair.pk}"
    shown = {f"shown_{key}": value for key, value in start_numbers().items()}
    numbers = start_numbers() | {"margin_mm": 15, "set_back_mm": 11} | shown
    return {
        "booking": asked(book, client=scene.new.reference),
        "moving": post("appointment-move", "Front desk", booked.reference, **when),
        "booking at a press": asked(pressed, client=scene.new.reference),
        "moving at a press": post("appointment-move", "Front desk", booked.reference, chosen=chosen, seen="0"),
        "a walk-in": asked(
            post("walk-in", "Front desk", kind=scene.kind.pk, note="Her clip broke", taken_by=walk_in),
            client=scene.new.reference,
        ),
        "a series": asked(
            post("appointment-series", "Front desk", **when, kind=scene.kind.pk, every_weeks=2, times=3, book="yes"),
            client=scene.new.reference,
        ),
        "a deposit": post("appointment-deposit", "Front desk", booked.reference, method="card"),
        "a piece on its way": asked(
            post("awaited-pieces", "Front desk", what="Quarry Lane, ash", expected_on=f"{localdate()}"),
            client=scene.new.reference,
        ),
        "a piece that came in": post("awaited-piece-mark", "Front desk", scene.awaited.pk, deed="came in"),
        "cancelling": post("appointment-cancel", "Front desk", booked.reference, because="She rang, has a cold"),
        "moving on the board": post("board-move", "Front desk", booked.reference, **there, seen="0", anyway_because=""),
        "marking on the board": post("board-mark", "Front desk", scene.waiting.reference, state="arrived"),
        "a unit to lay out": post("appointment-units", "Front desk", booked.reference, number=scene.unit.number),
        "a unit laid out": post("appointment-units", "Front desk", booked.reference, laid_out=scene.to_try.pk),
        "marking": post("appointment-mark", "Front desk", scene.waiting.reference, state="arrived"),
        "a wish on the waiting list": asked(post("waiting-new", "Front desk", **wish), client=booked.client.reference),
        "a time from the waiting list": post(
            "waiting-book", "Front desk", scene.wish.reference, time=chosen, anyway_because=""
        ),
        "off the waiting list": post("waiting-off", "Front desk", scene.wish.reference, because="Found another time"),
        "a calendar address": post("calendar-feed-new", "Owner", whose=f"place {scene.place.pk}"),
        "a calendar address taken back": post("calendar-feed-revoke", "Stylist", scene.feed.pk),
        "a message settled": post("message-settle", "Front desk", scene.message.pk, went="no"),
        "a message sent again": post("message-again", "Front desk", scene.message.pk),
        "messages stopped": sent_with(post("stop-messages", "nobody", stop_token(scene.message.client)), ONE_CLICK),
        "house rules": post("house-rules", "Owner", **numbers),
        "a house rule put back": post("house-rule-back", "Owner", "set_back_full_mm", to="start", shown="30"),
        "beginning a visit": post(
            "visit-begin",
            "Stylist",
            scene.new.reference,
            appointment=scene.appointment.reference,
            piece=scene.owned.reference,
        ),
    }


def of_setting_up(scene):
    stylist, place, closure, off = scene.staff["Stylist"], scene.place, scene.closure, scene.time_off
    kind = {
        "name": "Repair",
        "purpose": "repair",
        "minutes": "45",
        "clean_up_minutes": "5",
        "price_minor": "£30.00",
        "deposit_minor": "",
        "at_chair": "on",
        "done_by": stylist.pk,
        "needs_tape_test": "on",
    }
    days = ("monday", "tuesday", "saturday")
    week = {f"{day}_{part}": value for day in days for part, value in [("on", "on"), ("opens", "09:00")]}
    week |= {f"{day}_closes": "17:30" for day in days}
    hers = {"monday_on": "on", "monday_begins": "09:00", "monday_ends": "17:00"}
    hers |= {"monday_break_begins": "13:00", "monday_break_ends": "13:30"}
    closed = {"because": "New Year", "last_day": "", "opens": "10:00", "closes": "13:00"}
    first = localdate() + timedelta(days=50)
    away = {"stylist": stylist.pk, "from_time": "09:00", "last_day": "", "until_time": "12:00", "because": "A course"}
    person = {"first_name": "Noor", "last_name": "Selwicke", "role": "Stylist"}
    new = {"username": "noor", "password": "harbour-ribbon-33"}
    product = {"sort": "adhesive", "contains": "latex", "contains_read": "on", "flammable": "yes", "oxidative": "no"}
    product |= {"read_after_hours": 72, "test_valid_days": 90}
    return {
        "a new kind": post("kind-new", "Owner", **kind),
        "a kind changed": post("kind", "Owner", scene.kind.pk, **kind, is_offered="on"),
        "a new product": post("product-new", "Owner", **product, name="Weir adhesive"),
        "a product changed": post("product", "Owner", scene.product.pk, **product, name="Lace tape", is_in_use="on"),
        "a new place": post("place-new", "Owner", name="Basin 2", sort="basin"),
        "a place changed": post("place", "Owner", place.pk, name="Small room", sort="room"),
        "opening hours": post("opening-hours", "Owner", **week),
        "a new closure": post("closure-new", "Owner", first_day=first, **closed),
        "a closure changed": post("closure", "Owner", closure.pk, first_day=first, **closed),
        "a closure taken away": post("closure-remove", "Owner", closure.pk),
        "somebody let in": post("person-new", "Owner", **person, **new),
        "somebody changed": post("person", "Owner", stylist.pk, **person),
        "what she does": post("person-kinds", "Owner", stylist.pk),
        "a new password given": post("person-password", "Owner", stylist.pk, password="harbour-ribbon-33"),
        "access ended": post("person-access", "Owner", stylist.pk, access="end"),
        "her hours": post("person-hours", "Owner", stylist.pk, **hers),
        "time off": post("time-off-new", "Front desk", first_day=first, **away),
        "time off changed": post("time-off-change", "Front desk", off.pk, first_day=first, **away),
        "time off taken away": post("time-off-remove", "Front desk", off.pk),
    }
