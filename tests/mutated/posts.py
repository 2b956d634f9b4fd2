"""A valid post of every form of the site: what a mutated one starts from."""

from dataclasses import replace
from datetime import UTC, datetime, time, timedelta

from django.utils.timezone import localdate, now

from clients.intake.form import IntakeForm
from clients.models.assessment import NO_LOSS_HEX
from clients.taking_in.form import fingerprint as looked_at
from fittings.consult.marks_form import MarksForm
from fittings.consult.photo_reading import REGIONS, read_hair
from fittings.desk.chosen_time import code_of
from fittings.house_numbers import start_numbers
from fittings.messages.stopping import stop_token
from pieces.catalogue.examples import example_file
from pieces.forms import fingerprint
from pieces.ring.reading import Pictured, read_shades
from salon.colour.marks import marks_from_json
from salon.common.pictures import pixels_of
from salon.models import Salon
from tests.clients.factories import tiny_picture
from tests.clients.taking_in.files import CSV
from tests.mutated.scene import OWNERS_PASSWORD, STOP
from tests.mutated.sending import File, Sent
from tests.pieces.ring.ring_pictures import one_shade

NEW, NEW_PASSWORD = "copper-thimble-58", ("new_password1", "new_password2")
UPLOAD = "6f1f4f0c-3a52-4c55-9d0e-2f7f5d0b9a11"
BY_SCRIPT = {"Accept": "application/json"}  # a step that saves itself
DRAWN = "[[[0.1, 0.2], [0.3, 0.15], [0.5, 0.25]], [[0.6, 0.1]]]"
ONE_CLICK = {"Accept": "*/*"}  # a mail program posts by itself
SWAPPED = {"HX-Request": "true"}


def posts_of(scene):
    """By a name that says which form it is."""
    return {
        **_of_the_salon(),
        **_of_a_client(scene),
        **_of_an_intake(scene),
        **_of_the_desk(scene),
        **_of_setting_up(scene),
        **_of_an_examination(scene),
        **_of_choosing(scene),
        **_of_pieces(scene),
        **_of_the_ring(scene),
        **_of_a_colour_photo(scene),
        **_of_photos(scene),
    }


def _of_the_salon():
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
    }
    return {
        "signing in": post("sign-in", "nobody", username="odile", password=OWNERS_PASSWORD, next="/settings/"),
        "signing out": post("sign-out", "Stylist"),
        "my settings": post("my-settings", "Stylist", **person),
        "my password": post("my-password", "Owner", old_password=OWNERS_PASSWORD, **dict.fromkeys(NEW_PASSWORD, NEW)),
        "the salon's settings": post("salon-settings", "Owner", **salon),
    }


def _of_a_client(scene):
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
        "clients looked at in a file": _with(people, SWAPPED).with_fields([("looked_at", ""), people_file]),
        "clients taken in": people.with_fields([("looked_at", looked_at(CSV.encode())), ("store", ""), people_file]),
        "a client changed": post("client-edit", "Front desk", new, **person),
        "a consent signed": post("consent-sign", "Front desk", new, kind="photos", signed_name="Ada Ashdown"),
        "a consent drawn": post(
            "consent-sign", "Front desk", new, kind="photos", signed_name="Ada Ashdown", signature=DRAWN
        ),
        "a consent withdrawn": post("consent-withdraw", "Front desk", new, kind="record"),
        "two records merged": _asked(
            post("client-merge", "Front desk", new, family_name="gone", phone="kept"),
            **{"with": scene.second_record.reference},
        ),
        "a merge undone": post("merge-undo", "Front desk", scene.merge.reference),
        "a skin test applied": post(
            "client-skin-tests", "Stylist", new, kind="colour", product="Walnut stain", lot="L-204"
        ),
        "a skin test read": post("skin-test-read", "Stylist", new, scene.skin_test.pk, reacted="yes"),
    }


def _of_an_intake(scene):
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
        "an intake, by itself": _with(sent.with_fields(answers), SWAPPED),
        "an intake taken over": post("intake-take-over", "Stylist", scene.drafted.reference, intake=scene.intake.pk),
    }


def _of_the_desk(scene):
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
    numbers = start_numbers() | {"margin_mm": 15, "set_back_mm": 11}
    return {
        "booking": _asked(book, client=scene.new.reference),
        "moving": post("appointment-move", "Front desk", booked.reference, **when),
        "booking at a press": _asked(pressed, client=scene.new.reference),
        "moving at a press": post("appointment-move", "Front desk", booked.reference, chosen=chosen, seen="0"),
        "a walk-in": _asked(
            post("walk-in", "Front desk", kind=scene.kind.pk, note="Her clip broke", taken_by=walk_in),
            client=scene.new.reference,
        ),
        "a series": _asked(
            post("appointment-series", "Front desk", **when, kind=scene.kind.pk, every_weeks=2, times=3, book="yes"),
            client=scene.new.reference,
        ),
        "a deposit": post("appointment-deposit", "Front desk", booked.reference),
        "a piece on its way": _asked(
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
        "a wish on the waiting list": _asked(post("waiting-new", "Front desk", **wish), client=booked.client.reference),
        "a time from the waiting list": post(
            "waiting-book", "Front desk", scene.wish.reference, time=chosen, anyway_because=""
        ),
        "off the waiting list": post("waiting-off", "Front desk", scene.wish.reference, because="Found another time"),
        "a calendar address": post("calendar-feed-new", "Owner", whose=f"place {scene.place.pk}"),
        "a calendar address taken back": post("calendar-feed-revoke", "Stylist", scene.feed.pk),
        "a message settled": post("message-settle", "Front desk", scene.message.pk, went="no"),
        "a message sent again": post("message-again", "Front desk", scene.message.pk),
        "messages stopped": _with(post("stop-messages", "nobody", stop_token(scene.message.client)), ONE_CLICK),
        "house rules": post("house-rules", "Owner", **numbers),
        "beginning a visit": post(
            "visit-begin", "Stylist", scene.new.reference, appointment=scene.appointment.reference
        ),
    }


def _of_setting_up(scene):
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
    return {
        "a new kind": post("kind-new", "Owner", **kind),
        "a kind changed": post("kind", "Owner", scene.kind.pk, **kind, is_offered="on"),
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


def _of_an_examination(scene):
    visit, revision = scene.drafted.reference, scene.draft.revision
    story = [
        ("revision", revision), ("base", ""), ("story", "Thinner on top since spring"), ("losing_since", "spring"),
        ("referral_signs", "itch"), ("referral_signs", "pain"), ("referral_signs_asked", "on"),
        ("chemotherapy", "finished"), ("chemotherapy_ended_on", "2024-02-29"), ("scalp_condition", "sound"),
        ("traction_signs", "no"), ("reactions", "nickel"), ("reactions", "latex"), ("reactions_asked", "on"),
    ]  # fmt: skip  # in pairs it is read at a glance
    tapes = {"circumference_mm": "22 1/2 in", "front_to_nape_mm": "36 cm", "ear_to_ear_mm": "345 mm"}
    painted = {"density_hex": NO_LOSS_HEX[:4000] + "32" * 100 + NO_LOSS_HEX[4200:], "zone_crown": "60", "zone_nape": ""}
    own_hair = {
        "own_hair_length_mm": "30 cm", "curl_pattern": "wavy", "thickness": "fine", "hair_condition": "natural",
        "grey_percent": "10", "hair_behind_ears": "yes", "light": "Daylight lamp", "root_l": "24.5", "root_a": "5.1",
        "root_b": "8.9", "root_doubt": "0.6", "ring_root": "", "mid_l": "", "mid_a": "", "mid_b": "", "mid_doubt": "",
        "ring_mid": scene.variant.shade_id, "ends_l": "27.6", "ends_a": "5.9", "ends_b": "10.3",
        "ends_doubt": "0.6", "ring_ends": "",
    }  # fmt: skip  # as above
    wishes = {
        "wants_heat": "yes", "wants_colour": "no", "washes_per_month": "6", "parting": "left", "parting_offset_mm": "2",
        "wants_fringe": "no", "wished_length_mm": "35 cm", "days_per_week": "5", "worn_to_bed": "no",
        "budget_minor": "£1,400.00", "wishes": "As she had it in the spring",
    }  # fmt: skip  # as above
    steps = {"consult-tapes": tapes, "consult-map": painted, "consult-own-hair": own_hair, "consult-wishes": wishes}
    pages = {"consult-story": post("consult-story", "Stylist", visit).with_fields(story)}
    for name, answers in steps.items():
        pages[name] = post(name, "Stylist", visit, revision=revision, base="", **answers)
    by_script = {f"{name}, by itself": _with(page, BY_SCRIPT) for name, page in pages.items()}
    return {
        **pages,
        **by_script,
        "signing off": post("consult-sign-off", "Stylist", visit, revision=revision),
        "examining anew": post("assessment-renew", "Stylist", scene.finished.assessment.reference),
    }


def _of_choosing(scene):
    visit, ours = scene.visit.fitting.reference, scene.visit
    log = {
        "covers": "well",
        "sits": "nearly",
        "matches": "not",
        "set_back_mm": "13 cm",
        "unit": scene.unit.pk,
        "her_words": "It feels light",
    }
    decide = {"chosen": ours.try_on.pk, "second": "", "why_chosen": "Sits like her own", "none_chosen_because": ""}
    owner = {"owner_name": "odile", "owner_password": OWNERS_PASSWORD}
    return {
        "choosing to try": post("candidate-try", "Stylist", visit, scene.elsewhere.candidate.variant_id),
        "taking away": post("candidate-untry", "Stylist", visit, ours.untried.pk),
        "a try-on": post(
            "try-on-log", "Stylist", visit, ours.candidate.pk, **{f"seen-{name}": value for name, value in log.items()}
        ),
        "the decision": post("decision", "Stylist", visit, **decide),
        "the decision past a stop": post(
            "decision",
            "Stylist",
            scene.stopped.fitting.reference,
            **decide | {"chosen": scene.stopped.pk},
            **{f"reason_{STOP}": "A fringe hides it"},
            **owner,
        ),
        "finishing": post("visit-finish", "Stylist", scene.decided.reference, next_visit_on="2099-01-04"),
        "a service taken away": post("service-remove", "Stylist", visit, ours.service.pk),
        **{f"planning {kind}": page for kind, page in _services(visit, ours, owner).items()},
    }


def _services(visit, ours, owner):
    """Each kind once; what must be read and ticked first is ticked."""
    on = {"candidate": ours.untried.pk, "note": "With the window open", "price_minor": "12.50"}
    facts = {
        "cut-in": {},
        "wash": {},
        "steam": {"acknowledged": "steam-standard"},
        "heat": {
            "planned_heat": "iron",
            "tool_c": "392 °F",
            "hair_is_wet": "no",
            "near_base": "no",
            "flammable_remover_wet": "no",
            "unit_coloured": "no",
            "reason_heat-standard": "Tried on a strand",
            **owner,
        },
        "colour": {
            "candidate": ours.candidate.pk,
            "planned_colour": "deposit",
            "colour_on": "piece detached",
            "colour_touches_base": "no",
            "colour_touches_skin": "no",
            "unit_strand_test": "yes",
            "unit_coloured": "no",
            "unit_lightened_before": "no",
        },
        "fixing": {"planned_fixing": "clips", "label_read": "on"},
    }
    return {
        kind: _with(post("service-plan", "Stylist", visit, kind, **on | answers, plan="plan"), SWAPPED)
        if kind == "steam"
        else post("service-plan", "Stylist", visit, kind, **on | answers, plan="plan")
        for kind, answers in facts.items()
    }


def _of_pieces(scene):
    units = {"count": "2", "purpose": "sale", "received_on": "2025-03-14", "variant": scene.variant.pk}
    sheets = {kind: example_file(kind).read_bytes() for kind in ("bases", "shades")}
    files = [(kind, File(f"{kind}.csv", content)) for kind, content in sheets.items()]
    imports = post("catalogue-import", "Owner")
    return {
        "units received": post("units-receive", "Owner", scene.piece.pk, **units),
        "a unit set aside": post("unit-reserve", "Owner", scene.unit.number),
        "a unit put back": post("unit-release", "Owner", scene.reserved.number),
        "a catalogue checked": _with(imports, SWAPPED).with_fields([("checked", ""), *files]),
        "a catalogue stored": imports.with_fields([("checked", fingerprint(sheets)), ("import", "Store"), *files]),
    }


def _of_the_ring(scene):
    photo, shade = scene.ring_photo, scene.variant.shade
    picture, asked = one_shade(), {"shade": shade.pk}
    marks = _asked(post("ring-photo", "Stylist", photo.reference, marks=picture.with_card), **asked)
    pictured = Pictured((shade,), is_row=False)
    placed = marks_from_json(picture.with_card, regions=pictured.regions)
    read = read_shades(pictured, pixels=pixels_of(photo.full), marks=placed, salon=Salon.objects.default())
    file = ("file", File("shades.jpg", picture.jpeg, "image/jpeg"))
    return {
        "a ring photo taken": post("ring-photo-take", "Stylist").with_fields([("upload_key", UPLOAD), file]),
        "a shade read": _with(marks.with_fields([*marks.fields, ("read", "read")]), SWAPPED),
        "a shade kept": marks.with_fields([*marks.fields, ("seen", read.fingerprint), ("keep", "keep")]),
        "a ring photo taken away": post("ring-photo-remove", "Stylist", photo.reference),
    }


def _of_a_colour_photo(scene):
    visit, photo, picture = scene.drafted.reference, scene.colour_photo, one_shade()
    marks = post("reading-marks", "Stylist", visit, photo.reference, marks=picture.with_card)
    read = read_hair(photo, marks_from_json(picture.with_card, regions=REGIONS), Salon.objects.default())
    base = MarksForm(assessment=scene.draft, photo=photo, salon=Salon.objects.default()).fingerprint
    keeps = [("seen", read.fingerprint), ("base", base), ("over_instrument", "on"), ("keep", "keep")]
    file = ("file", File("hair.jpg", picture.jpeg, "image/jpeg"))
    return {
        "a colour photo taken": post("reading-photos", "Stylist", visit).with_fields([file]),
        "her hair read": _with(marks, SWAPPED),
        "her hair kept": marks.with_fields([*marks.fields, *keeps]),
    }


def _of_photos(scene):
    photo, shown, hers = scene.photo, scene.shown_photo, scene.drafted.client
    file = ("photo", File("front.jpg", tiny_picture(), "image/jpeg"))
    taken = post("photo-take", "Stylist", photo.photo_set.reference, angle="turn", frame="7", upload_key=UPLOAD)
    return {
        "photos begun": post("photo-set-new", "Stylist", hers.reference, moment="piece on"),
        "a photo taken": taken.with_fields([*taken.fields, ("next", "/fittings/"), file]),
        "a photo taken, by itself": _with(taken.with_fields([*taken.fields, file]), BY_SCRIPT),
        "a photo filed under another angle": post("photo-refile", "Stylist", photo.reference, angle="back"),
        "a photo to be shown": post("photo-show-outside", "Stylist", photo.reference),
        "a photo kept inside": post("photo-keep-inside", "Stylist", shown.reference),
        "a photo removed": post("photo-remove", "Stylist", photo.reference, because="She blinked", sure="yes"),
    }


def post(name, who, /, *args, **fields):
    return Sent(name, who, args, fields=tuple((key, str(value)) for key, value in fields.items()))


def _asked(sent, **query):
    return replace(sent, query=tuple(query.items()))


def _with(sent, headers):
    return replace(sent, headers=headers)
