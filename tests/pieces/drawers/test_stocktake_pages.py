"""Stocktakes on their pages: who begins, counts and puts right, what the camera sends, and every refusal's sentence."""

from datetime import timedelta
from html import unescape

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse
from django.utils.timezone import now
from hypothesis import HealthCheck, given
from hypothesis import settings as property_tests
from hypothesis import strategies as st

from pieces.counting import begin_stocktake, count_unit, finish_stocktake
from pieces.models import Stocktake, Unit
from pieces.stock import write_off
from salon.browser_powers import CAMERA, NOTHING
from tests.factories import DeskFactory, OwnerFactory, StylistFactory
from tests.pieces.drawers.frames import frame_of
from tests.pieces.factories import MakerFactory, UnitFactory

pytestmark = pytest.mark.django_db
JSON = {"HTTP_ACCEPT": "application/json"}


def begun(at=None):
    return begin_stocktake(by=OwnerFactory(), at=at or now())


@pytest.fixture
def open_now():
    return begun()


@pytest.fixture
def unit():
    return UnitFactory()


def text_of(response):
    assert response.status_code == 200, response.status_code
    return unescape(response.content.decode())


def address(stocktake, deed=""):
    return reverse(f"stocktake{deed and f'-{deed}'}", args=[stocktake.reference])


def photographed(*texts, **how):
    return SimpleUploadedFile("frame.jpg", frame_of(*texts, **how), "image/jpeg")


# Beginning


def test_the_owner_begins_one_and_there_is_one_at_a_time(owner):
    assert "The drawers have not been gone through yet." in text_of(owner.get(reverse("stocktakes")))
    begun = owner.post(reverse("stocktake-new"), {"maker": ""})
    stocktake = Stocktake.objects.get()
    assert begun.url == stocktake.get_absolute_url()
    assert f"Go on with {stocktake}" in text_of(owner.get(reverse("stocktakes")))
    again = text_of(owner.post(reverse("stocktake-new"), {"maker": ""}, follow=True))
    assert "This stocktake is open already" in again
    assert f"Stocktake <code>{stocktake}</code>" in again
    assert Stocktake.objects.count() == 1


def test_one_makers_alone_can_be_gone_through(owner):
    maker = MakerFactory()
    owner.post(reverse("stocktake-new"), {"maker": maker.pk})
    assert Stocktake.objects.get().maker == maker


@pytest.mark.parametrize("maker", ["999999", "one", "9" * 40])
def test_a_maker_there_is_not_is_refused(owner, maker):
    page = text_of(owner.post(reverse("stocktake-new"), {"maker": maker}))
    assert "Choose one of the makers, or all of them." in page
    assert not Stocktake.objects.exists()


@given(maker=st.text(max_size=300))
@property_tests(suppress_health_check=[HealthCheck.function_scoped_fixture])
def test_any_maker_at_all_is_begun_with_or_refused_in_a_sentence(owner, maker):
    Stocktake.objects.all().delete()
    answer = owner.post(reverse("stocktake-new"), {"maker": maker})
    began = answer.status_code == 302
    assert Stocktake.objects.exists() == began
    assert began or str(answer.context["form"].errors["maker"][0]).endswith(".")


@pytest.mark.parametrize("role", [DeskFactory, StylistFactory])
def test_others_count_but_begin_put_right_and_finish_nothing(client, open_now, unit, role):
    client.force_login(role())
    assert "Begin a stocktake" not in text_of(client.get(reverse("stocktakes")))
    assert client.post(reverse("stocktake-new")).status_code == 403
    page = text_of(client.get(address(open_now)))
    assert address(open_now, "finish") not in page
    assert client.post(address(open_now, "put-right"), {"unit": unit.number, "because": "x"}).status_code == 403
    assert client.post(address(open_now, "finish")).status_code == 403
    assert f"{unit.number} is counted." in text_of(
        client.post(address(open_now, "count"), {"number": unit.number}, follow=True)
    )


def test_the_list_takes_the_same_queries_for_three_as_for_thirty(owner, queries_for):
    def more(count):
        for _ in range(count):
            finish_stocktake(stocktake=begin_stocktake(by=OwnerFactory(), at=now()), by=OwnerFactory(), at=now())

    more(3)
    few = queries_for(reverse("stocktakes"), by=owner)
    more(27)
    assert queries_for(reverse("stocktakes"), by=owner) == few


# Counting by typing


@pytest.mark.parametrize("written", ["{0}", "{1}", "http://testserver/u/{0}/"])
def test_a_number_is_counted_as_typed_and_as_a_reader_writes_it(stylist, open_now, unit, written):
    sent = {"number": written.format(unit.number, unit.number.lower())}
    assert f"{unit.number} is counted." in text_of(stylist.post(address(open_now, "count"), sent, follow=True))
    scan = open_now.scans.get()
    assert (scan.unit, scan.how) == (unit, "typed")
    assert f"{unit.number} was counted before." in text_of(stylist.post(address(open_now, "count"), sent, follow=True))
    assert open_now.scans.count() == 1


@pytest.mark.parametrize(
    ("number", "says"),
    [
        ("", "Write the number that stands on the label"),
        ("walnut", "“walnut” is not a reference. A reference looks like U-7K2M9QAM"),
        ("C-7K2M9QAV", "no unit's number"),
        ("U-7K2M9QA0", "has a slip in it"),
        ("https://elsewhere.example/", "not one of our labels"),
        ("x" * 300, "at most 200"),
        ("U\x00", "Null characters"),
    ],
)
@pytest.mark.parametrize("swapped", [False, True])
def test_what_is_no_number_is_refused_and_kept(stylist, open_now, number, says, swapped):
    headers = {"HTTP_HX_REQUEST": "true"} if swapped else {}
    page = text_of(stylist.post(address(open_now, "count"), {"number": number}, **headers))
    assert says in page
    if number and "\x00" not in number:
        assert f'value="{number}"' in page
    assert not open_now.scans.exists()
    assert page.startswith("<form") or not swapped or "<html" not in page


def test_a_swap_gets_the_empty_form_again_and_moves_the_tally(stylist, open_now, unit):
    answer = stylist.post(address(open_now, "count"), {"number": unit.number}, HTTP_HX_REQUEST="true")
    assert answer["HX-Trigger"] == "counted"
    page = text_of(answer)
    assert f"{unit.number} is counted." in page
    assert 'value=""' in page
    tally = text_of(stylist.get(address(open_now), HTTP_HX_REQUEST="true"))
    assert "<strong>1</strong> met, <strong>0</strong> not met yet" in tally


# Counting by the camera


def seen(client, stocktake, **sent):
    answer = client.post(address(stocktake, "count"), sent, **JSON)
    assert answer.status_code == 200
    return answer.json()


def test_codes_that_the_browser_read_are_counted(stylist, open_now, unit):
    code = f"http://testserver/u/{unit.number}/"
    assert seen(stylist, open_now, code=code) == {
        "lines": [{"is": "counted", "of": unit.number, "says": f"{unit.number} is counted."}]
    }
    assert seen(stylist, open_now, code=code)["lines"][0]["is"] == "again"
    assert open_now.scans.get().how == "camera"


def test_every_label_in_a_frame_is_counted_and_a_strange_code_is_told(stylist, open_now, unit):
    frame = photographed(f"https://salon.example/u/{unit.number}/", "https://elsewhere.example/")
    lines = {line["of"]: line for line in seen(stylist, open_now, frame=frame)["lines"]}
    assert lines[unit.number]["is"] == "counted"
    assert "not one of our labels" in lines["https://elsewhere.example/"]["says"]
    assert open_now.scans.get().unit == unit


def test_a_unit_that_is_elsewhere_by_the_books_is_doubtful(stylist, open_now, unit):
    write_off(unit=unit, because="Torn", by=OwnerFactory())
    assert seen(stylist, open_now, code=unit.number)["lines"][0]["is"] == "doubtful"


def test_a_frame_without_a_code_says_nothing(stylist, open_now):
    assert seen(stylist, open_now, frame=photographed()) == {"lines": []}


@pytest.mark.parametrize(
    "frame",
    [
        SimpleUploadedFile("frame.jpg", b"no picture at all", "image/jpeg"),
        SimpleUploadedFile("frame.jpg", frame_of("U")[:400], "image/jpeg"),
        SimpleUploadedFile("frame.jpg", b"\xff" * 2_000_001, "image/jpeg"),
        photographed(size=(3000, 2000)),
        photographed(kind="PNG"),
        SimpleUploadedFile("frame.jpg", b"", "image/jpeg"),
    ],
    ids=["words", "cut short", "too large", "too many pixels", "another kind", "empty"],
)
def test_what_is_no_frame_gets_a_sentence(stylist, open_now, frame):
    frame.seek(0)
    said = seen(stylist, open_now, frame=frame)
    assert said["refused"].endswith(".")
    assert not open_now.scans.exists()


@pytest.mark.parametrize("sent", [{}, {"code": "x" * 501}, {"code": "\x00"}])
def test_a_camera_that_sends_nothing_gets_a_sentence(stylist, open_now, sent):
    assert seen(stylist, open_now, **sent)["refused"]


def test_the_camera_is_let_to_this_page_alone(stylist, open_now):
    assert stylist.get(address(open_now))["Permissions-Policy"] == CAMERA
    for name in ("units", "stocktakes", "sign-in", "labels"):
        assert stylist.get(reverse(name))["Permissions-Policy"] == NOTHING


# Putting right and finishing


def test_the_ticked_are_put_right_with_one_reason(owner, unit):
    other = UnitFactory()
    stocktake = begun()
    page = text_of(
        owner.post(
            address(stocktake, "put-right"),
            {"unit": [unit.number, other.number], "because": "Not in any drawer"},
            follow=True,
        )
    )
    assert "Put right:" in page
    assert set(Unit.objects.values_list("state", flat=True)) == {"gone"}
    assert {move.because for move in stocktake.movements.all()} == {"Not in any drawer"}


@pytest.mark.parametrize(
    ("sent", "says"),
    [
        ({"because": ""}, "Write why"),
        ({"because": "x" * 241}, "at most 240"),
        ({"unit": []}, "Tick the units that are put right."),
        ({"unit": ["U-00000000"]}, "Tick only what is shown here."),
        ({"unit": ["\x00"]}, "Tick only what is shown here."),
        ({"unit": [f"U-{n:08}" for n in range(51)]}, "50 are put right at once"),
    ],
)
def test_what_cant_be_put_right_is_said_with_the_ticks_and_the_reason_kept(owner, unit, sent, says):
    stocktake = begun()
    sent = {"unit": [unit.number], "because": "Not in any drawer"} | sent
    page = text_of(owner.post(address(stocktake, "put-right"), sent))
    assert says in page.split("Count what you meet")[0], "it stands where the page opens"
    assert "autofocus" not in page, "a telephone would scroll to it"
    if sent["unit"] == [unit.number]:
        assert f'value="{unit.number}" checked' in page
    if sent["because"] == "Not in any drawer":
        assert 'value="Not in any drawer"' in page
    unit.refresh_from_db()
    assert unit.state == "drawer"


def test_putting_right_is_whole_or_not_at_all(owner, unit):
    other = UnitFactory()
    stocktake = begun()
    count_unit(stocktake=stocktake, number=other.number, how="typed", by=OwnerFactory(), at=now())
    sent = {"unit": [unit.number, other.number], "because": "Not in any drawer"}
    assert f"Unit {other.number} differs from the books no longer." in text_of(
        owner.post(address(stocktake, "put-right"), sent)
    )
    assert set(Unit.objects.values_list("state", flat=True)) == {"drawer"}


def test_it_is_finished_when_nothing_differs_or_what_does_is_left_knowingly(owner, unit):
    stocktake = begun()
    assert "1 unit differs from the books." in text_of(owner.post(address(stocktake, "finish")))
    page = text_of(owner.post(address(stocktake, "finish"), {"leaves": "on"}, follow=True))
    assert f"Stocktake {stocktake} is finished." in page
    assert "<strong>1</strong> should have been there, <strong>0</strong> were met." in page
    assert "Nothing was put right." in page
    for deed, sent in (("count", {"number": unit.number}), ("finish", {}), ("put-right", {"unit": unit.number})):
        assert "is finished. Begin another one" in text_of(
            owner.post(address(stocktake, deed), {"because": "x"} | sent)
        )


def test_the_page_takes_the_same_queries_for_three_units_as_for_thirty(owner, queries_for):
    stocktake = begun(at=now() + timedelta(hours=1))  # so that what comes in below lay here when it began

    def more(count):
        for unit in UnitFactory.create_batch(count):
            count_unit(stocktake=stocktake, number=unit.number, how="typed", by=OwnerFactory(), at=now())
        UnitFactory.create_batch(count)

    more(3)
    few = queries_for(address(stocktake), by=owner)
    more(27)
    assert queries_for(address(stocktake), by=owner) == few


def test_one_of_nothing_is_not_found(owner):
    for name in ("stocktake", "stocktake-count", "stocktake-put-right", "stocktake-finish"):
        send = owner.get if name == "stocktake" else owner.post
        assert send(reverse(name, args=["K-00000000"])).status_code == 404
