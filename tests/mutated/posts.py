"""A valid post of every form of the site: what a mutated one starts from."""

from clients.models.assessment import NO_LOSS_HEX
from fittings.consult.marks_form import MarksForm
from fittings.consult.photo_reading import REGIONS, read_hair
from pieces.catalogue.examples import example_file
from pieces.forms import fingerprint
from pieces.ring.reading import Pictured, read_shades
from salon.colour.marks import marks_from_json
from salon.common.pictures import pixels_of
from salon.models import Salon
from tests.clients.factories import tiny_picture
from tests.mutated.care_posts import of_care
from tests.mutated.catalogue_posts import of_the_catalogue
from tests.mutated.desk_posts import of_a_client, of_an_intake, of_setting_up, of_the_desk, of_the_salon
from tests.mutated.drawer_posts import of_drawers
from tests.mutated.maker_posts import of_maker_files
from tests.mutated.order_posts import of_orders
from tests.mutated.owned_posts import of_owned_pieces
from tests.mutated.return_posts import of_returns
from tests.mutated.review_posts import of_the_review
from tests.mutated.scene import OWNERS_PASSWORD, STOP
from tests.mutated.sending import File, asked, post, sent_with
from tests.mutated.service_posts import of_services
from tests.mutated.till_posts import of_the_till
from tests.mutated.time_posts import of_hair_over_time
from tests.pieces.ring.ring_pictures import one_shade

UPLOAD = "6f1f4f0c-3a52-4c55-9d0e-2f7f5d0b9a11"
BY_SCRIPT = {"Accept": "application/json"}  # a step that saves itself
SWAPPED = {"HX-Request": "true"}
OWNER = {"owner_name": "odile", "owner_password": OWNERS_PASSWORD}


def posts_of(scene):
    """By a name that says which form it is."""
    return {
        **of_the_salon(),
        **of_a_client(scene),
        **of_an_intake(scene),
        **of_the_desk(scene),
        **of_setting_up(scene),
        **of_care(scene),
        **of_the_catalogue(scene),
        **of_orders(scene),
        **of_owned_pieces(scene),
        **of_returns(scene),
        **of_the_review(scene),
        **of_the_till(scene),
        **_of_an_examination(scene),
        **_of_choosing(scene),
        **of_services(scene, OWNER),
        **of_hair_over_time(scene),
        **_of_pieces(scene),
        **of_drawers(scene),
        **of_maker_files(scene),
        **_of_the_ring(scene),
        **_of_a_colour_photo(scene),
        **_of_photos(scene),
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
    painted["named"] = "norwood:III vertex"
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
    by_script = {f"{name}, by itself": sent_with(page, BY_SCRIPT) for name, page in pages.items()}
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
            **OWNER,
        ),
        "finishing": post("visit-finish", "Stylist", scene.decided.reference, next_visit_on="2099-01-04"),
        "an entry struck out": post(
            "entry-strike-out", "Stylist", ours.fitting.client.reference, "wear", scene.wear.pk, because="Another piece"
        ),
    }


def _of_pieces(scene):
    units = {"count": "2", "purpose": "sale", "received_on": "2025-03-14", "variant": scene.variant.pk}
    sheets = {kind: example_file(kind).read_bytes() for kind in ("bases", "shades")}
    files = [(kind, File(f"{kind}.csv", content)) for kind, content in sheets.items()]
    imports = post("catalogue-import", "Owner")
    return {
        "units received": post("units-receive", "Owner", scene.piece.pk, **units),
        "a catalogue checked": sent_with(imports, SWAPPED).with_fields([("checked", ""), *files]),
        "a catalogue stored": imports.with_fields([("checked", fingerprint(sheets)), ("import", "Store"), *files]),
    }


def _of_the_ring(scene):
    photo, shade = scene.ring_photo, scene.variant.shade
    picture, which = one_shade(), {"shade": shade.pk}
    marks = asked(post("ring-photo", "Stylist", photo.reference, marks=picture.with_card), **which)
    pictured = Pictured((shade,), is_row=False)
    placed = marks_from_json(picture.with_card, regions=pictured.regions)
    read = read_shades(pictured, pixels=pixels_of(photo.full), marks=placed, salon=Salon.objects.default())
    file = ("file", File("shades.jpg", picture.jpeg, "image/jpeg"))
    return {
        "a ring photo taken": post("ring-photo-take", "Stylist").with_fields([("upload_key", UPLOAD), file]),
        "a shade read": sent_with(marks.with_fields([*marks.fields, ("read", "read")]), SWAPPED),
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
        "her hair read": sent_with(marks, SWAPPED),
        "her hair kept": marks.with_fields([*marks.fields, *keeps]),
    }


def _of_photos(scene):
    photo, shown, hers = scene.photo, scene.shown_photo, scene.drafted.client
    file = ("photo", File("front.jpg", tiny_picture(), "image/jpeg"))
    taken = post("photo-take", "Stylist", photo.photo_set.reference, angle="turn", frame="7", upload_key=UPLOAD)
    return {
        "photos begun": post("photo-set-new", "Stylist", hers.reference, moment="piece on"),
        "a photo taken": taken.with_fields([*taken.fields, ("next", "/fittings/"), file]),
        "a photo taken, by itself": sent_with(taken.with_fields([*taken.fields, file]), BY_SCRIPT),
        "a photo filed under another angle": post("photo-refile", "Stylist", photo.reference, angle="back"),
        "a photo to be shown": post("photo-show-outside", "Stylist", photo.reference),
        "a photo kept inside": post("photo-keep-inside", "Stylist", shown.reference),
        "a photo removed": post("photo-remove", "Stylist", photo.reference, because="She blinked", sure="yes"),
    }
