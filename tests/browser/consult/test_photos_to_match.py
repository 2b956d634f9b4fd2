"""From the camera to the shade: a set of photos, card or chart and hair marked, the match seen among the candidates."""

import json
import re

import pytest
from django.urls import reverse
from django.utils.timezone import now
from playwright.sync_api import expect

from clients.assessing import save_map, save_tapes
from clients.models import Photo
from clients.scalp.head import Head
from fittings.visiting import begin_visit
from tests.browser.consult.test_photo_marks import HAIR, PHONE, PICTURE, SPOTS, TABLET, reading, tap, target
from tests.clients.factories import tiny_picture
from tests.factories import ClientFactory
from tests.fittings.visits import thin_crown
from tests.pieces.factories import ShadeFactory, ShadeReadingFactory, UnitFactory

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True), pytest.mark.slow]

ZONES = ("root", "mid", "ends")


@pytest.fixture
def visit(stylist):
    """Her head is measured and painted; what is left to do is her colour."""
    her = ClientFactory(given_name="Ada", family_name="Fenwick", record_consent=True, photo_consent=True)
    visit = begin_visit(client=her, stylist=stylist, at=now())
    draft = visit.assessment
    tapes = {"circumference_mm": 559, "front_to_nape_mm": 356, "ear_to_ear_mm": 343}
    draft = save_tapes(assessment=draft, revision=draft.revision, by=stylist, **tapes)
    density_hex = thin_crown(Head.from_tapes(**draft.tapes())).to_hex()
    save_map(assessment=draft, revision=draft.revision, by=stylist, density_hex=density_hex)
    return visit


def read_by(method, code, *, off=0.0):
    """A unit in the drawer whose shade was read the way her hair is, so far off in L*; by no instrument."""
    nothing = {f"{zone}_{axis}": None for zone in ZONES for axis in "lab"}
    shade = ShadeFactory(code=code, name=code.title(), method="", **nothing)
    lab = {
        f"{zone}_{axis}": value + (off if axis == "l" else 0)
        for zone in ZONES
        for axis, value in zip("lab", HAIR[zone], strict=True)
    }
    ShadeReadingFactory(shade=shade, method=method, routine_version=f"{method}-1", **lab)
    return UnitFactory(variant__shade=shade)


def picture(name, content):
    return {"name": name, "mimeType": "image/jpeg", "buffer": content}


@pytest.mark.parametrize(
    ("window", "method", "band"),
    [(PHONE, "card", "shows at the edge"), (TABLET, "chart", "close")],  # the card alone can't be surer than that
    ids=["phone", "tablet"],
)
def test_from_photos_to_a_shade_that_matches(window, method, band, signed_in_page, stylist, visit, live_server):
    read_by(method, "walnut")
    read_by(method, "straw", off=30)
    page = signed_in_page(stylist, **window)

    # a set of photos, the one for the colour among them
    page.goto(live_server.url + reverse("consult-own-hair", args=[visit.reference]))
    page.get_by_role("link", name="Photos of this visit").click()
    page.get_by_role("button", name="Take photos: own hair").click()
    several = page.get_by_label("Choose several photos")
    expect(several).to_be_visible()
    several.set_input_files(
        [picture("front.jpg", tiny_picture()), picture("top.jpg", tiny_picture()), picture("hair.jpg", PICTURE.jpeg)]
    )
    page.get_by_label("top.jpg: seen from").select_option("Top")
    page.get_by_label("hair.jpg: seen from").select_option("Colour, with card or chart")
    page.get_by_role("button", name="Send them").click()
    expect(page.get_by_role("combobox")).to_have_count(0)
    assert sorted(Photo.objects.values_list("angle", flat=True)) == ["colour", "front", "top"]
    assert {photo.photo_set.of_visit.fitting for photo in Photo.objects.all()} == {visit}

    # card or chart, and hair
    page.goto(live_server.url + reverse("consult-own-hair", args=[visit.reference]))
    page.get_by_role("link", name="Read the colour from a photo").click()
    page.get_by_role("link", name=re.compile("^Taken at")).click()
    expect(page.locator("colour-marks.is-ready img")).to_be_visible()
    page.locator(".marks-frame img").evaluate("image => image.decode()")
    marks = json.loads(PICTURE.with_chart if method == "chart" else PICTURE.with_card)["reference"]
    if method == "chart":
        target(page, "Chart").check()
    for corner in marks.get("corners") or [(marks["x"], marks["y"])]:
        tap(page, *corner)
    for zone in ZONES:
        for place in SPOTS[zone]:
            tap(page, *place)
    expect(reading(page)).to_contain_text("walnut Walnut")
    page.get_by_role("button", name="Keep this reading").click()

    # signed, and seen on the candidates
    expect(page).to_have_url(re.compile("/own-hair/$"))
    page.goto(live_server.url + reverse("consult-sign-off", args=[visit.reference]))
    page.get_by_role("button", name=re.compile("^Sign off as")).click()
    page.goto(live_server.url + reverse("candidates", args=[visit.reference]))
    first = page.get_by_role("article").first
    expect(first).to_contain_text(re.compile(rf"walnut Walnut: {band} \(ΔE00\s[01]\.\d, give or take"))
    expect(first).to_contain_text("✓ in the drawer")
