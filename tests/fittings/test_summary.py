"""What a consult summary says: read from what was frozen in the visit, in the salon's units and words."""

from datetime import date, timedelta

import pytest
from django.core.exceptions import ValidationError
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.utils.timezone import localdate, now

from clients.assessing import ReadingTaken
from clients.models import Assessment, ColourReading
from clients.skin_testing import apply_skin_test, read_skin_test
from fittings.models import Candidate, Fitting, HouseRule, Override, Service
from fittings.summary import consult_summary
from fittings.trying import decide
from tests.factories import OwnerFactory
from tests.fittings.paper.papers import (
    a_salon,
    a_service,
    a_variant,
    clipped_base,
    decided_visit,
    finished,
    put_on_trial,
    summed_up,
)
from tests.fittings.visits import BROWN, signed_off_visit
from tests.pieces.factories import PieceFactory, ShadeFactory, UnitFactory, VariantFactory

pytestmark = pytest.mark.django_db


def fact(told, label):
    return next(one.words for one in told.facts if one.label == label)


def visit_without_a_decision():
    a_salon()
    return signed_off_visit()


def no_piece(fitting, because="She wants to think it over."):
    decide(fitting=fitting, chosen=None, none_chosen_because=because, by=fitting.stylist)
    return fitting


# who and when


def test_it_says_whose_it_is_by_reference_and_the_name_she_likes():
    fitting = decided_visit(given_name="Adelheid", family_name="Ashdown", preferred_name="Adi")
    told = summed_up(fitting)
    assert (told.salon_name, told.salon_address, told.salon_phone) == (
        "Thornquay Hair Room",
        "3 Tide Lane, Thornquay",
        "01632 960 123",
    )
    assert (told.client_name, told.client_reference) == ("Adi", fitting.client.reference)
    assert told.stylist == str(fitting.stylist)
    assert "Ashdown" not in repr(told)


def test_days_are_the_salons_own():
    fitting = decided_visit()
    a_salon(time_zone="Pacific/Auckland")
    late = now().replace(year=2026, month=3, day=3, hour=20)
    Fitting.objects.filter(pk=fitting.pk).update(began_at=late)
    assert summed_up(fitting).visited_on == "4 March 2026"


def test_a_later_print_says_so_and_an_open_visit_is_not_final():
    fitting = decided_visit()
    assert not summed_up(fitting).is_final
    fitting = finished(fitting)
    assert summed_up(fitting).is_final
    assert summed_up(fitting).printed_on == ""
    assert summed_up(fitting, on=date(2031, 2, 1)).printed_on == "1 February 2031"


def test_there_is_nothing_to_sum_up_before_the_decision():
    with pytest.raises(ValidationError, match="Nothing is decided yet"):
        summed_up(visit_without_a_decision())


# what was measured


def test_the_loss_is_said_as_the_share_it_is():
    loss = summed_up(decided_visit()).measured.loss
    assert loss.says == "8 % of your scalp hair is gone; 92 % remains."
    assert [(one.label, one.words) for one in loss.by_side] == [
        ("Top", "19 %"),
        ("Left", "0 %"),
        ("Right", "0 %"),
        ("Back", "0 %"),
    ]
    assert loss.least == "mid-scalp 76 %"


def test_a_map_nobody_painted_gives_no_share():
    fitting = decided_visit()
    Assessment.objects.update(map_painted=False)
    loss = summed_up(fitting).measured.loss
    assert "No map" in loss.says
    assert loss.by_side == ()


def test_tapes_follow_the_salons_units_and_say_what_is_assumed():
    fitting = decided_visit()
    Assessment.objects.update(front_to_nape_mm=None)
    tapes = summed_up(fitting).measured.tapes
    assert [one.words for one in tapes] == ["55.9 cm", "35.6 cm, assumed", "34.3 cm"]
    assert "average head" in summed_up(fitting).measured.assumed
    a_salon(units="imperial")
    assert [one.words for one in summed_up(fitting).measured.tapes] == ["22 in", "14 in, assumed", "13½ in"]


def test_every_picture_says_what_it_shows():
    told = summed_up(decided_visit(variant=a_variant(name="Heron <b>Weir</b>"))).measured
    pictures = (told.from_above, *told.from_the_sides)
    assert [one.caption for one in pictures] == ["From above", "Front", "Back", "Your left", "Your right"]
    for picture in pictures:
        assert picture.svg.startswith("<svg")
        assert "<title>Your head " in picture.svg
        assert "Heron &lt;b&gt;Weir&lt;/b&gt;" in picture.svg
        assert 'class="base-outline"' in picture.svg


# the piece


def test_the_piece_its_base_and_its_hold_are_in_words_and_numbers():
    variant = a_variant(name="Heron Weir", base=clipped_base(name="Wicket"))
    told = summed_up(decided_visit(variant=variant, decision={"why_chosen": "It is light."}))
    assert told.headline == "You chose Heron Weir."
    assert told.why_chosen == "It is light."
    (piece,) = told.pieces
    assert piece.hair == f"Human hair, straight, 35.0 cm long, shade {variant.shade}"
    assert piece.base.startswith("Wicket by Marrowick Atelier, 15.2 cm × 14.0 cm, oval, fine woven net")
    assert fact(piece, "Cover") == "all of the thinning"
    assert fact(piece, "Hold") == "5 of 5 clips land on hair that holds them"
    assert fact(piece, "Place").endswith("behind your hairline (as computed)")
    assert piece.how_it_did == "Covers well, sits well, matches nearly."


def test_the_place_is_the_one_it_was_worn_at_and_the_numbers_are_of_that_place():
    as_computed = summed_up(decided_visit()).pieces[0]
    worn = summed_up(decided_visit(look={"set_back_mm": 20})).pieces[0]
    assert fact(worn, "Place") == "front edge 2.0 cm behind your hairline (as worn)"
    assert fact(worn, "Cover") != fact(as_computed, "Cover") == "all of the thinning"
    assert "stay uncovered" in fact(worn, "Cover")


def test_a_set_back_logged_as_computed_keeps_the_frozen_numbers():
    fitting = decided_visit()
    candidate = fitting.candidates.get()
    Candidate.objects.filter(pk=candidate.pk).update(cover=0.9, uncovered_cm2=4.2)
    fitting.try_ons.update(set_back_mm=round(candidate.set_back_mm))
    place, cover = (fact(summed_up(fitting).pieces[0], label) for label in ("Place", "Cover"))
    assert "as worn" in place
    assert cover == "90 % of the thinning; 4.2 cm² stay uncovered"


def test_an_edge_at_the_hairline_and_what_is_hardly_left_are_never_nought():
    fitting = decided_visit()
    fitting.candidates.update(set_back_mm=0, cover=0.997, uncovered_cm2=0.01, clips_holding=1)
    piece = summed_up(fitting).pieces[0]
    assert fact(piece, "Place") == "front edge at your hairline (as computed)"
    assert fact(piece, "Cover") == "99 % of the thinning; less than 0.1 cm² stay uncovered"
    assert fact(piece, "Hold") == "1 of 5 clips lands on hair that holds it"


def test_a_pair_and_what_else_was_tried():
    a_salon()
    fitting = signed_off_visit()
    first, second, left = (
        put_on_trial(fitting, a_variant(name=name), **how)
        for name, how in (("One", {}), ("Two", {}), ("Three", {"covers": "not", "her_words": "Too small."}))
    )
    decide(fitting=fitting, chosen=first, second=second, by=fitting.stylist)
    told = summed_up(fitting)
    assert told.headline == "You chose One, and Two as the second of a pair."
    assert [piece.heading for piece in told.pieces] == ["The first of your pair", "The second of your pair"]
    (tried,) = told.tried
    assert tried.name.startswith("Three, ")
    assert (tried.how_it_did, tried.her_words) == ("Does not cover, sits well, matches nearly.", "Too small.")
    assert left.candidate.variant.piece.name == "Three"


def test_none_chosen_says_why_and_what_comes_next():
    fitting = visit_without_a_decision()
    put_on_trial(fitting, a_variant(name="Left behind"))
    told = summed_up(no_piece(fitting))
    assert told.headline == "No piece was chosen on this visit."
    assert told.none_because == "She wants to think it over."
    assert any("next visit starts from it" in sentence for sentence in told.none_next)
    assert [one.name.split(",")[0] for one in told.tried] == ["Left behind"]
    assert told.pieces == told.instructions == told.quote.lines == ()
    assert 'class="base-outline"' not in told.measured.from_above.svg


# colour


def test_colours_stand_side_by_side_with_numbers():
    told = summed_up(decided_visit())
    (piece,) = told.pieces
    roots, mid, ends = piece.colour.rows
    assert (roots.zone, mid.zone, ends.zone) == ("Roots", "Mid-length", "Ends")
    assert (roots.own.words, roots.shade.words, roots.difference) == ("25.4, 5.5, 9.1", "25.0, 5.6, 9.0", "0.3")
    assert all(row.own.hex.startswith("#") and row.shade.hex.startswith("#") for row in piece.colour.rows)
    assert piece.colour.verdict.startswith("In all, where your own hair shows: disappears (ΔE00 0.2, give or take 0.6")
    assert "read by an instrument (give or take ΔE00 0.6)" in told.about_colours
    assert "up to 2 disappears, up to 4 close, up to 6 shows at the edge" in told.about_colours


def test_a_reading_by_eye_says_under_which_light():
    by_eye = ReadingTaken(ColourReading.Method.BY_EYE, BROWN["root"], 3.0, light="Daylight at a window")
    fitting = decided_visit()
    ColourReading.objects.exclude(zone="root").delete()
    ColourReading.objects.update(method=by_eye.method, doubt=by_eye.doubt, light=by_eye.light)
    about = summed_up(fitting).about_colours
    assert "by eye against the shade ring, daylight at a window (give or take ΔE00 3)" in about


def test_not_measured_is_said():
    variant = a_variant(shade=ShadeFactory(unmeasured=True))
    (piece,) = summed_up(decided_visit(variant=variant)).pieces
    assert {row.shade.words for row in piece.colour.rows} == {"not measured"}
    assert {row.difference for row in piece.colour.rows} == {"not compared"}
    assert "shade is not measured" in piece.colour.verdict
    told = summed_up(decided_visit(readings={}))
    assert {row.own.words for row in told.pieces[0].colour.rows} == {"not measured"}
    assert "your own hair was not measured" in told.pieces[0].colour.verdict
    assert told.about_colours == ""


# dates, price


def test_the_first_check_up_follows_the_visit_by_the_frozen_weeks():
    fitting = decided_visit()
    on = localdate() + timedelta(weeks=4)
    assert [(one.label, one.words) for one in summed_up(fitting).dates] == [
        ("First check-up", f"about {on.day} {on:%B %Y}; call us to book it")
    ]
    sooner = localdate() + timedelta(days=10)
    Fitting.objects.filter(pk=fitting.pk).update(next_visit_on=sooner)
    assert [one.label for one in summed_up(fitting).dates] == ["Next visit and first check-up"]
    Fitting.objects.filter(pk=fitting.pk).update(next_visit_on=on + timedelta(days=30))
    assert [one.label for one in summed_up(fitting).dates] == ["First check-up", "Next visit"]


def test_a_skin_test_to_be_read_is_a_date_until_it_is_read_or_over():
    fitting = decided_visit()
    test = apply_skin_test(
        client=fitting.client, kind="adhesive", product="Soft tape", by=fitting.stylist, at=now() - timedelta(hours=50)
    )
    told = summed_up(fitting)
    assert told.dates[-1].label == "Skin test, Soft tape"
    assert "wash it off" in told.while_testing
    assert len(summed_up(fitting, on=localdate() + timedelta(days=9)).dates) == 1
    read_skin_test(test=test, reacted=False, by=fitting.stylist, at=now())
    assert len(summed_up(fitting).dates) == 1
    assert summed_up(fitting).while_testing == ""


def test_the_quote_adds_pieces_and_services_up():
    fitting = decided_visit(variant=a_variant(name="Heron Weir", price_minor=124900))
    candidate = fitting.candidates.get()
    a_service(fitting, "cut-in", candidate, price_minor=4550, note="fringe to the brow")
    a_service(fitting, "wash", candidate)
    quote = summed_up(fitting).quote
    assert [(line.what, line.note, line.price) for line in quote.lines] == [
        ("Heron Weir", str(candidate.variant.shade), "£1,249.00"),
        ("Cut-in", "fringe to the brow", "£45.50"),
        ("Wash and care", "", "included"),
    ]
    assert quote.totals == ("£1,294.50",)


def test_a_piece_in_another_currency_keeps_its_own_total():
    fitting = decided_visit()
    a_service(fitting, "cut-in", fitting.candidates.get(), price_minor=4500)
    Candidate.objects.update(currency="EUR")
    assert summed_up(fitting).quote.totals == ("€1,249.00", "£45.00")


# frozen


def test_later_prices_and_house_rules_leave_an_old_summary_as_it_was():
    fitting = finished(decided_visit(look={"set_back_mm": 40}))
    before = summed_up(fitting)
    variant = fitting.candidates.get().variant
    variant.price_minor = 999900
    variant.save()
    changed = {"clip_hold_percent": 100, "loss_below_percent": 95, "hair_warm_c": 150, "band_close": 5, "margin_mm": 40}
    for key, value in changed.items():
        HouseRule.objects.create(key=key, value=value)
    HouseRule.objects.create(key="check_up_weeks", value=9)
    assert summed_up(fitting) == before


def test_a_piece_named_measured_and_read_anew_leaves_it_as_it_was():
    fitting = finished(decided_visit())
    before = summed_up(fitting)
    kept = fitting.candidates.select_related("variant__piece__base__maker", "variant__shade").get().variant
    maker, base, piece, shade = kept.piece.base.maker, kept.piece.base, kept.piece, kept.shade
    maker.name, base.name, piece.name, shade.name = "Other & Sons", "Other 9", "Another", "another brown"
    base.length_mm, base.front_edge, kept.length_mm, piece.texture = 200, "lace", 450, "curly"
    shade.root_l, shade.mid_l, shade.ends_l = 71, 72, 73
    for row in (maker, base, piece, shade, kept):
        row.save()
    base.clips.all().delete()
    assert summed_up(fitting) == before


def test_what_her_next_assessment_says_leaves_it_as_it_was():
    fitting = finished(decided_visit())
    before = summed_up(fitting)
    newer = signed_off_visit()
    Assessment.objects.filter(pk=newer.assessment_id).update(client=fitting.client, supersedes=fitting.assessment)
    Assessment.objects.filter(pk=fitting.assessment_id).update(state=Assessment.State.SUPERSEDED)
    assert summed_up(fitting) == before


# queries


def counted(fitting):
    fresh = Fitting.objects.select_related("client", "stylist", "assessment").get(pk=fitting.pk)
    with CaptureQueriesContext(connection) as queries:
        consult_summary(fresh, on=localdate())
    return len(queries)


def test_it_takes_the_same_queries_however_much_there_is():
    few = counted(decided_visit())
    a_salon()
    fitting = signed_off_visit()
    variants = [a_variant() for _ in range(5)]
    looks = [put_on_trial(fitting, variant, unit=UnitFactory(variant=variant)) for variant in variants]
    decide(fitting=fitting, chosen=looks[0], second=looks[1], by=fitting.stylist)
    for number in range(6):
        service = Service.objects.create(
            fitting=fitting, candidate=looks[number % 2].candidate, kind="wash", planned_by=fitting.stylist
        )
        Override.objects.create(
            fitting=fitting, service=service, rule_id="x", finding=f"{number}", reason="So.", owner=OwnerFactory()
        )
        apply_skin_test(client=fitting.client, kind="adhesive", product=f"Tape {number}", by=fitting.stylist, at=now())
    many = counted(fitting)
    assert few == many == 8


def test_no_word_of_it_hurts():
    text = repr(summed_up(decided_visit(story={"referral_signs": ["patchy"]}))).lower()
    for word in ("bald", "problem", "suffer"):
        assert word not in text


def test_a_blend_in_fahrenheit_never_rounds_its_limit_up():
    variant = VariantFactory(
        piece=PieceFactory(base=clipped_base(), fibre="blend", synthetic_part="heat_friendly", rated_c=157)
    )
    fitting = decided_visit(variant=variant)
    a_salon(units="imperial")
    heat = next(one for one in summed_up(fitting).instructions if one.heading == "Heat")
    assert any("never above 314 °F" in sentence for sentence in heat.sentences)  # 157 °C is 314.6 °F
