"""A base on its page: rows of clips and tape, the drawing of what is typed, two who edit at once."""

import pytest
from django.urls import reverse

from pieces.bases.construction import Clip, TapeArea
from pieces.keeping_catalogue import clips_of, tape_areas_of
from pieces.models import Base
from pieces.seen_versions import version_of
from salon.models import User
from tests.factories import OwnerFactory
from tests.pieces.factories import BaseClipFactory, BaseFactory, BaseTapeAreaFactory, MakerFactory

pytestmark = pytest.mark.django_db
SWAP = {"HTTP_HX_REQUEST": "true", "HTTP_HX_TARGET": "base-typed"}


def text(answer):
    return " ".join(answer.content.decode().split())


def rows(prefix, *filled):
    """As the page sends them."""
    sent = {f"{prefix}-TOTAL_FORMS": len(filled), f"{prefix}-INITIAL_FORMS": 0}
    for number, row in enumerate(filled):
        sent |= {f"{prefix}-{number}-{name}": value for name, value in row.items()}
    return sent


def asked(clips=(), tape=(), **fields):
    plain = {"maker": "", "name": "Lattice", "outline": "oval", "length_mm": "15.2", "width_mm": "14"}
    plain |= {"construction": "mono", "front_edge": "plain", "weight_g": "", "nickel_free": ""}
    clips = [dict(zip(("behind", "side", "out", "long"), clip, strict=True)) for clip in clips]
    tape = [dict(zip(("begins", "ends"), strip, strict=True)) for strip in tape]
    return plain | rows("clips", *clips) | rows("tape", *tape) | fields


@pytest.fixture
def maker():
    return MakerFactory()


def test_a_base_is_added_with_clips_and_strips_in_any_unit(owner, maker):
    clips = [
        ("0.8", "middle", "", ""),
        ("60 mm", "left", "4 cm", "28 mm"),
        ("", "", "", "3.2 cm"),
        ("6", "right", "4", "2.8"),
    ]
    answer = owner.post(reverse("base-new"), asked(clips, [("0", "1/2 in")], maker=maker.pk, two_way="on"))
    base = Base.objects.get()
    assert answer.url == reverse("base", args=[base.pk])
    assert clips_of(base) == (Clip(8, 0, 32), Clip(60, -40, 28), Clip(60, 40, 28))
    assert tape_areas_of(base) == (TapeArea(0, 13),)
    assert (base.length_mm, base.two_way, base.stretches, base.weight_g) == (152, True, False, None)


@pytest.mark.parametrize(
    ("changed", "sentence"),
    [
        ({"length_mm": ""}, "Write the length."),
        ({"outline": ""}, "Choose the outline."),
        ({"length_mm": "2 m"}, "is not a unit of length"),
        ({"width_mm": "90 cm"}, "can&#x27;t be the width of a base"),
        ({"weight_g": "0"}, "Write a whole number from 1 to 2000"),
        ({"clips": [("", "left", "4", "")]}, "Write how far behind the front edge the middle of the clip lies."),
        ({"clips": [("6", "left", "", "")]}, "Write how far from the midline its middle lies."),
        ({"clips": [("6", "", "4", "")]}, "Choose left, right or on the midline."),
        ({"clips": [("6", "middle", "4", "")]}, "It can&#x27;t be on the midline and beside it."),
        ({"clips": [("6", "above", "4", "")]}, "Choose left, right or on the midline."),
        ({"clips": [("far", "left", "4", "")]}, "“far” is not a length."),
        ({"clips": [("6", "left", "4", "90 cm")]}, "can&#x27;t be the length of a clip"),
        ({"clips": [("1", "left", "6.5", "")]}, "The clip 1.0 cm behind the front edge lies off the base"),
        ({"clips": [("6", "left", "4", ""), ("6", "left", "4", "")]}, "Two clips lie at one place."),
        ({"tape": [("1", "")]}, "Write how far behind the front edge the strip ends."),
        ({"tape": [("2", "1")]}, "has no depth"),
        ({"tape": [("0", "2"), ("1", "3")]}, "overlap"),
        ({"clips-TOTAL_FORMS": "31"}, "A base has at most 30 clips."),
        ({"clips-TOTAL_FORMS": "many"}, "The rows of clips did not arrive whole."),
    ],
)
def test_a_base_that_cannot_be_is_refused_and_nothing_typed_is_lost(owner, maker, changed, sentence):
    typed = {"clips": changed.pop("clips", ()), "tape": changed.pop("tape", ())}
    page = text(owner.post(reverse("base-new"), asked(**typed, maker=maker.pk) | changed))
    assert sentence in page
    assert 'value="Lattice"' in page
    for row in [*typed["clips"], *typed["tape"]]:
        assert not [value for value in row if value and f'value="{value}"' not in page and value != "above"]
    assert not Base.objects.exists()


def test_a_base_named_twice_is_refused_beside_its_name(owner, maker):
    BaseFactory(maker=maker, name="Lattice")
    form = owner.post(reverse("base-new"), asked(maker=maker.pk)).context["form"]
    assert form.errors == {"name": ["This maker already has a base of that name."]}


def test_a_base_saved_as_it_is_shown_changes_nothing_in_inches_either(owner):
    base = BaseClipFactory(base__length_mm=144, u_mm=9, v_mm=-31, length_mm=29).base
    BaseTapeAreaFactory(base=base, from_mm=4, to_mm=18)
    user = User.objects.get()
    user.units = "imperial"
    user.save()
    form = owner.get(reverse("base-edit", args=[base.pk])).context["form"]
    sent = {field.html_name: field.value() for field in form} | rows("clips", *(row.initial for row in form.clips))
    sent |= rows("tape", *(row.initial for row in form.tape))
    sent = {name: value for name, value in sent.items() if value is not None and value is not False}
    assert (sent["length_mm"], sent["clips-0-out"]) == ("5⅝ in", "1¼ in")
    assert owner.post(reverse("base-edit", args=[base.pk]), sent | {"weight_g": "64"}).status_code == 302
    base.refresh_from_db()
    assert (base.length_mm, base.weight_g, base.history.count()) == (144, 64, 2)
    assert (clips_of(base), tape_areas_of(base)) == ((Clip(9, -31, 29),), (TapeArea(4, 18),))


def test_the_drawing_follows_what_is_typed_and_stores_nothing(owner, maker):
    drawn = text(owner.post(reverse("base-new"), asked([("0.8", "middle", "", "")], maker=maker.pk), **SWAP))
    assert drawn.startswith("{#") is False
    assert "<h1" not in drawn
    assert "15.2 cm long and 14.0 cm wide, with 1 clip and 0 strips for tape" in drawn
    off = text(owner.post(reverse("base-new"), asked([("1", "left", "6.5", "")], [("2", "1")], name=""), **SWAP))
    assert "The clip 1.0 cm behind the front edge lies off the base" in off
    assert "has no depth" in off
    assert "with 1 clip and 0 strips" in off
    assert "is drawn here as you type" in text(owner.post(reverse("base-new"), asked(length_mm=""), **SWAP))
    assert not Base.objects.exists()


def test_rows_come_and_go_and_keep_what_was_typed(owner, maker):
    typed = [("0.8", "middle", "", "3.2 cm"), ("far", "left", "4", "")]
    more = owner.post(reverse("base-new"), asked(typed, rows="another clip"))
    assert len(more.context["form"].clips.forms) == 3
    assert 'value="far"' in text(more)
    assert "is not a length" not in text(more)  # nothing is held against a base that is still being typed
    assert 'value="Lattice"' in text(more)
    less = owner.post(reverse("base-new"), asked(typed, rows="clip 0"))
    assert [row.initial["behind"] for row in less.context["form"].clips] == ["far"]
    strip = owner.post(reverse("base-new"), asked(typed, [("0", "1")], rows="another strip"))
    assert len(strip.context["form"].tape.forms) == 2
    gone = owner.post(reverse("base-new"), asked(typed, [("0", "1")], rows="strip 0"))
    assert len(gone.context["form"].tape.forms) == 0
    for step in ("clip 99", "clip -1", "clip x", "clip 1e9", "strip 0", "whatever", "another clip \x00"):
        assert len(owner.post(reverse("base-new"), asked(typed, rows=step)).context["form"].clips.forms) == 2
    assert not Base.objects.exists()


def test_clips_are_put_where_they_usually_sit(owner, maker):
    page = owner.post(reverse("base-new"), asked(rows="usual clips"))
    assert len(page.context["form"].clips.forms) == 6
    assert page.context["drawable"].remarks == []
    assert len(page.context["drawable"].shape.clips) == 6
    assert "Choose an outline and write length and width first" in text(
        owner.post(reverse("base-new"), asked(outline="", rows="usual clips"))
    )
    small = asked([("1", "middle", "", "")], length_mm="2.5", rows="usual clips")
    page = owner.post(reverse("base-new"), small)
    assert "A base under 3.2 cm has no room for clips" in text(page)
    assert len(page.context["form"].clips.forms) == 1


def test_the_second_of_two_owners_is_told_and_saves_again(owner, maker):
    base = BaseFactory(maker=maker, name="Lattice")
    address, before = reverse("base-edit", args=[base.pk]), {"shown": version_of(base), "maker": maker.pk}
    first = asked([("0.8", "middle", "", "3.2 cm")], width_mm="15", **before)
    assert owner.post(address, first).status_code == 302
    owner.force_login(OwnerFactory())
    late = owner.post(address, asked([("6", "left", "4", "")], weight_g="70", **before))
    page = text(late)
    assert "changed this on" in page
    assert "Meanwhile it says: 15.0 cm." in page
    assert "Clips: meanwhile it says: 0.8 cm back on the midline." in page
    assert 'value="70"' in page
    base.refresh_from_db()
    assert (base.weight_g, base.width_mm, clips_of(base)) == (None, 150, (Clip(8, 0, 32),))
    again = asked([("6", "left", "4", "")], weight_g="70", maker=maker.pk, shown=late.context["form"]["shown"].value())
    assert owner.post(address, again).status_code == 302
    base.refresh_from_db()
    assert (base.weight_g, base.width_mm, clips_of(base)) == (70, 140, (Clip(60, 40, 32),))


def test_the_page_of_a_base_takes_the_same_queries_for_2_clips_as_for_20(owner, queries_for):
    base = BaseFactory()
    for number in range(2):
        BaseClipFactory(base=base, u_mm=10 + number)
    few = queries_for(reverse("base-edit", args=[base.pk]))
    for number in range(2, 20):
        BaseClipFactory(base=base, u_mm=10 + number)
    assert queries_for(reverse("base-edit", args=[base.pk])) == few


def test_only_the_owner_is_led_to_changing_it(stylist, client):
    base = BaseFactory()
    address = reverse("base-edit", args=[base.pk])
    assert address not in text(stylist.get(reverse("base", args=[base.pk])))
    client.force_login(OwnerFactory())
    assert address in text(client.get(reverse("base", args=[base.pk])))
