"""A new base as only a browser shows it: its clips typed in rows, its drawing following, edited by two owners."""

import pytest
from django.urls import reverse
from playwright.sync_api import expect

from pieces.bases.construction import Clip
from pieces.keeping_catalogue import clips_of
from pieces.models import Base
from tests.pieces.factories import MakerFactory

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


def drawn(page, words):
    expect(page.get_by_role("img", name=words)).to_be_visible()


def clip(page, number):
    return page.get_by_role("group", name=f"Clip {number}", exact=True)


def test_a_base_is_typed_drawn_saved_and_edited_by_two_owners(staff_page, live_server):
    MakerFactory(name="Tollbar")
    page = staff_page("Owner")
    page.goto(live_server.url + reverse("bases"))
    page.get_by_role("link", name="Add a base").click()
    page.get_by_label("Maker", exact=False).first.select_option("Tollbar")
    page.get_by_label("The maker's name for it").fill("Lattice")
    page.get_by_label("Outline").select_option("Oval")
    expect(page.get_by_text("the base is drawn here as you type")).to_be_visible()
    page.locator("#id_length_mm").press_sequentially("15.2")
    page.locator("#id_width_mm").press_sequentially("14")
    drawn(page, "15.2 cm long and 14.0 cm wide, with 0 clips")
    page.get_by_role("button", name="Another clip").click()
    expect(clip(page, 1)).to_be_visible()
    clip(page, 1).get_by_label("From front").press_sequentially("0.8")
    clip(page, 1).get_by_label("Her side").select_option("On it")
    drawn(page, "14.0 cm wide, with 1 clip and")
    page.get_by_role("button", name="Another clip").click()
    expect(clip(page, 2)).to_be_visible()
    clip(page, 2).get_by_label("From front").fill("6")
    clip(page, 2).get_by_label("Her side").select_option("Left")
    clip(page, 2).get_by_label("From midline").press_sequentially("9")
    expect(page.get_by_text("The clip 6.0 cm behind the front edge lies off the base")).to_be_visible()
    clip(page, 2).get_by_label("From midline").fill("4")
    drawn(page, "with 2 clips and")
    expect(page.get_by_text("lies off the base")).to_have_count(0)
    page.get_by_role("button", name="Another clip").click()
    expect(clip(page, 3)).to_be_visible()
    clip(page, 3).get_by_role("button", name="Take away").click()
    expect(clip(page, 3)).to_have_count(0)
    page.get_by_label("Construction").select_option("Fine woven net")
    page.locator("#id_width_mm").press("Enter")  # saves, and adds no clip
    expect(page.get_by_role("heading", name="Lattice")).to_be_visible()
    base = Base.objects.get()
    assert clips_of(base) == (Clip(8, 0, 32), Clip(60, 40, 32))

    other = staff_page("Owner")
    for window in (page, other):
        window.goto(live_server.url + reverse("base-edit", args=[base.pk]))
    page.get_by_label("Weight with its hair").fill("64")
    page.get_by_role("button", name="Save", exact=True).last.click()
    expect(page.get_by_text("is kept as it stands now")).to_be_visible()
    clip(other, 2).get_by_label("From midline").fill("4.5")
    other.get_by_role("button", name="Save", exact=True).last.click()
    expect(other.get_by_text("changed this on")).to_be_visible()
    expect(other.get_by_text("Meanwhile it says: 64 g.")).to_be_visible()
    expect(clip(other, 2).get_by_label("From midline")).to_have_value("4.5")
    drawn(other, "with 2 clips and")
    other.get_by_label("Weight with its hair").fill("64")
    other.get_by_role("button", name="Save", exact=True).last.click()
    expect(other.get_by_text("is kept as it stands now")).to_be_visible()
    base.refresh_from_db()
    assert (base.weight_g, clips_of(base)[1].v_mm) == (64, 45)


def test_usual_clips_are_put_in_and_the_page_stays_where_it_was(staff_page, live_server):
    MakerFactory()
    page = staff_page("Owner")
    page.goto(live_server.url + reverse("base-new"))
    page.get_by_role("button", name="Clips where they usually sit").click()
    expect(page.get_by_role("alert")).to_contain_text("Choose an outline and write length and width first")
    page.get_by_label("Outline").select_option("Oval")
    page.locator("#id_length_mm").fill("15.2")
    page.locator("#id_width_mm").fill("14")
    page.get_by_role("button", name="Clips where they usually sit").click()
    drawn(page, "with 6 clips and")
    expect(page.get_by_role("button", name="Clips where they usually sit")).to_be_focused()
    expect(page.get_by_role("alert")).to_have_count(0)
