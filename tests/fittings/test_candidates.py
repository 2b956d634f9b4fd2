"""Candidates: every piece placed, matched and ruled on one head, and what each verdict rests on."""

from datetime import timedelta

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.utils.timezone import localdate, now

from fittings.candidates import (
    ground_of,
    in_these_shades,
    mix_for,
    proposal_of,
    proposals_for,
    with_all_that_is_read,
)
from fittings.models import Candidate, HouseRule
from fittings.owning import end_piece
from pieces.models import Variant
from salon.models import Salon
from tests.fittings.colours import photo_of_the_ring, read_by_card, ring_read_both_ways
from tests.fittings.factories import OwnedPieceFactory
from tests.fittings.visits import signed_off_visit
from tests.pieces.factories import (
    BaseClipFactory,
    BaseFactory,
    BaseTapeAreaFactory,
    PieceFactory,
    ShadeFactory,
    UnitFactory,
    VariantFactory,
)

pytestmark = pytest.mark.django_db
Verdict = Candidate.Verdict


def ground(fitting):
    return ground_of(fitting.assessment, Salon.objects.default(), at=now(), on=localdate())


def proposals(fitting):
    return proposals_for(ground(fitting), with_all_that_is_read(Variant.objects.offered(on=localdate())))


def clipped_base(**changed):
    """A base for the crown with four clips near its edge and tape across its front, free of nickel."""
    base = BaseFactory(**({"length_mm": 160, "width_mm": 150, "nickel_free": "yes", "two_way": False} | changed))
    length, half = base.length_mm, base.width_mm // 2
    for u_mm, v_mm in ((8, 0), (length - 10, 0), (length // 2, half - 12), (length // 2, 12 - half)):
        BaseClipFactory(base=base, u_mm=u_mm, v_mm=v_mm)
    BaseTapeAreaFactory(base=base)
    return base


def test_a_piece_that_covers_holds_and_matches_fits():
    VariantFactory(piece=PieceFactory(base=clipped_base()))
    (found,) = proposals(signed_off_visit())
    assert found.placement.cover > 0.99
    assert found.placement.clips_holding == 4
    assert found.match.named.band.value == "disappears"
    assert found.verdict == Verdict.FITS, found.findings


def test_too_small_a_base_does_not_fit_and_says_how_much_it_covers():
    VariantFactory(piece=PieceFactory(base=clipped_base(length_mm=51, width_mm=60)))
    (found,) = proposals(signed_off_visit())
    assert found.verdict == Verdict.NOT
    assert "% of the thinning" in found.because


def test_another_colour_fits_only_with_a_change():
    shade = ShadeFactory(root_l=60.0, mid_l=62.0, ends_l=64.0)
    VariantFactory(piece=PieceFactory(base=clipped_base()), shade=shade)
    (found,) = proposals(signed_off_visit())
    assert found.match.named.band.value == "another colour"
    assert found.verdict == Verdict.WITH_CHANGE
    assert found.because


def test_a_piece_shows_its_closest_shade_and_what_lies_in_the_drawer_first():
    piece = PieceFactory(base=clipped_base())
    VariantFactory(piece=piece, shade=ShadeFactory(maker=piece.base.maker, root_l=60.0, mid_l=62.0, ends_l=64.0))
    VariantFactory(piece=piece, shade=ShadeFactory(maker=piece.base.maker))
    near = VariantFactory(piece=piece, shade=ShadeFactory(maker=piece.base.maker))
    UnitFactory(variant=near)
    (found,) = proposals(signed_off_visit())
    assert found.variant == near
    assert found.in_drawer == 1


def test_a_shade_that_is_not_measured_never_ranks_above_one_that_is():
    piece = PieceFactory(base=clipped_base())
    VariantFactory(piece=piece, shade=ShadeFactory(maker=piece.base.maker, unmeasured=True))
    measured = VariantFactory(piece=piece, shade=ShadeFactory(maker=piece.base.maker))
    (found,) = proposals(signed_off_visit())
    assert found.variant == measured
    alone = proposal_of(
        ground(signed_off_visit()), with_all_that_is_read(Variant.objects.exclude(pk=measured.pk)).get()
    )
    assert alone.match.words == "not measured"


def measured_and_not(**base):
    """A piece in a shade that is measured and to order, and another in the drawer whose shade is not measured."""
    apart = VariantFactory(piece=PieceFactory(base=clipped_base(**base)), shade=ShadeFactory(unmeasured=True))
    UnitFactory(variant=apart)
    return VariantFactory(piece=PieceFactory(base=clipped_base(**base))), apart


def test_what_is_not_measured_is_set_apart_after_what_is():
    measured, apart = measured_and_not()
    found = proposals(signed_off_visit())
    assert [(one.variant, one.is_set_apart) for one in found] == [(measured, False), (apart, True)]


def test_without_a_reading_nothing_is_set_apart_for_nothing_ranks_by_colour():
    measured, apart = measured_and_not()
    found = proposals(signed_off_visit(readings={}))
    assert [(one.variant, one.is_set_apart) for one in found] == [(apart, False), (measured, False)]


def test_of_bases_alike_in_size_what_lies_in_the_drawer_comes_first():
    for _ in range(2):
        VariantFactory(piece=PieceFactory(base=clipped_base()))
    stocked = VariantFactory(piece=PieceFactory(base=clipped_base(length_mm=161)))
    UnitFactory(variant=stocked)
    assert proposals(signed_off_visit())[0].variant == stocked


def test_other_shades_of_a_piece_stand_by_band_then_drawer_then_difference():
    piece = PieceFactory(base=clipped_base())

    def variant(**shade):
        return VariantFactory(piece=piece, shade=ShadeFactory(maker=piece.base.maker, **shade))

    unmeasured, other = variant(unmeasured=True), variant(root_l=60.0, mid_l=62.0, ends_l=64.0)
    near, stocked = variant(), variant(root_l=25.5, mid_l=26.5, ends_l=28.0)
    UnitFactory(variant=stocked)
    on = ground(signed_off_visit())
    variants = list(with_all_that_is_read(Variant.objects.all()))
    found = in_these_shades(on, proposal_of(on, variants[0]), variants)
    assert [one for one, _ in found] == [stocked, near, other, unmeasured]


def test_a_mix_of_two_stocked_shades_is_weighed_as_around_the_piece():
    dark = {"root_l": 16.0, "mid_l": 16.0, "ends_l": 17.0}
    light = {"root_l": 60.0, "mid_l": 60.0, "ends_l": 61.0}
    for shade in (dark, light):
        base = clipped_base()
        UnitFactory(
            variant=VariantFactory(piece=PieceFactory(base=base), shade=ShadeFactory(maker=base.maker, **shade))
        )
    on = ground(signed_off_visit(readings=dict.fromkeys(("root", "mid", "ends"), (36.0, 5.5, 9.0))))
    told = mix_for(on, proposals_for(on, with_all_that_is_read(Variant.objects.all()))[0])
    assert {shade.root_l for shade in told.shades} == {16.0, 60.0}
    assert told.mix.named.passes


def test_the_smallest_base_that_covers_with_its_margin_comes_first():
    big = VariantFactory(piece=PieceFactory(base=clipped_base(length_mm=220, width_mm=200)))
    small = VariantFactory(piece=PieceFactory(base=clipped_base()))
    found = proposals(signed_off_visit())
    assert [one.variant for one in found] == [small, big]
    assert any(finding.rule_id == "size-over" for finding in found[1].findings)


def test_signs_of_pulling_are_asked_about_before_a_clip_is_set():
    VariantFactory(piece=PieceFactory(base=clipped_base()))
    (found,) = proposals(signed_off_visit(story={"traction_signs": ""}))
    asked = {fact for finding in found.findings for fact in finding.asks}
    assert "traction_signs" in asked
    assert found.verdict == Verdict.WITH_CHANGE


def test_a_clip_where_something_pulled_is_stopped_and_elsewhere_is_not():
    VariantFactory(piece=PieceFactory(base=clipped_base()))
    (crown,) = proposals(signed_off_visit(story={"traction_signs": "yes", "traction_zones": ["crown"]}))
    assert crown.verdict == Verdict.NOT
    assert any(finding.rule_id == "traction" for finding in crown.findings)
    (temples,) = proposals(signed_off_visit(story={"traction_signs": "yes", "traction_zones": ["left-temple"]}))
    assert not any(finding.rule_id == "traction" for finding in temples.findings)
    (unknown,) = proposals(signed_off_visit(story={"traction_signs": "yes"}))
    assert "clips_on_traction" in {fact for finding in unknown.findings for fact in finding.asks}


def test_nickel_is_minded_only_where_there_are_clips_of_unknown_metal():
    VariantFactory(piece=PieceFactory(base=clipped_base(nickel_free="")))
    (found,) = proposals(signed_off_visit(story={"reactions": ["nickel"]}))
    assert any("nickel" in finding.says.lower() for finding in found.findings)
    (free,) = proposals(signed_off_visit())
    assert not any(finding.rule_id == "nickel" for finding in free.findings)


def test_a_changed_house_rule_changes_what_holds():
    VariantFactory(piece=PieceFactory(base=clipped_base()))
    HouseRule.objects.create(key="cover_least_percent", value=100)
    HouseRule.objects.create(key="margin_mm", value=50)
    (found,) = proposals(signed_off_visit())
    assert not found.covers_with_margin


def test_what_is_discontinued_is_not_proposed():
    VariantFactory(piece=PieceFactory(base=clipped_base()), discontinued_on=localdate() - timedelta(days=1))
    assert proposals(signed_off_visit()) == []


def test_the_queries_do_not_grow_with_the_catalogue():
    fitting = signed_off_visit()
    proposals(fitting)  # fills what a process keeps from the first page on
    counts = []
    for _ in range(2):
        for _ in range(3):
            UnitFactory(variant=VariantFactory(piece=PieceFactory(base=clipped_base())))
        with CaptureQueriesContext(connection) as queries:
            proposals(fitting)
        counts.append(len(queries))
    assert counts[0] == counts[1]


def test_the_queries_do_not_grow_with_the_ring():
    fitting = read_by_card(signed_off_visit())
    photo, counts = photo_of_the_ring(fitting.stylist), []
    for _ in range(2):
        for shade in ring_read_both_ways(photo, count=4):
            UnitFactory(variant=VariantFactory(piece=PieceFactory(base=clipped_base()), shade=shade))
        proposals(fitting)
        with CaptureQueriesContext(connection) as queries:
            on = ground(fitting)
            found = proposals_for(on, with_all_that_is_read(Variant.objects.offered(on=localdate())))
            mix_for(on, found[0])
        counts.append(len(queries))
    assert counts[0] == counts[1]


def test_findings_speak_the_salons_units():
    Salon.objects.update_or_create(pk=Salon.objects.default().pk, defaults={"units": "imperial"})
    VariantFactory(piece=PieceFactory(base=clipped_base(length_mm=110, width_mm=110)))
    (found,) = proposals(signed_off_visit())
    said = " ".join(finding.says for finding in found.findings if finding.rule_id == "cover-margin")
    assert " in" in said
    assert " cm" not in said


def test_daily_wear_of_a_first_piece_speaks_for_a_second():
    daily = ground(signed_off_visit(wishes={"days_per_week": 7})).client_findings()
    assert "pair" in {finding.rule_id for finding in daily}
    now_and_then = ground(signed_off_visit(wishes={"days_per_week": 2})).client_findings()
    assert "pair" not in {finding.rule_id for finding in now_and_then}


def test_a_piece_she_has_now_counts_and_one_that_ended_does_not():
    visit = signed_off_visit(wishes={"days_per_week": 7})
    hers = OwnedPieceFactory(client=visit.client)
    assert "pair" not in {finding.rule_id for finding in ground(visit).client_findings()}
    end_piece(owned=hers, until=localdate(), ended="worn out", by=visit.stylist, at=now())
    assert "pair" in {finding.rule_id for finding in ground(visit).client_findings()}
