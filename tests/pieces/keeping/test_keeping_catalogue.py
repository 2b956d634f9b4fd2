"""The catalogue kept record by record: what may be, what is refused, what the versions say, what the past keeps."""

import datetime

import pytest
from django.core.exceptions import ValidationError
from django.db import connection
from django.utils.timezone import localdate, now

from pieces.bases.construction import Clip, TapeArea
from pieces.keeping_catalogue import (
    add_base,
    add_maker,
    add_piece,
    add_shade,
    add_variant,
    change_base,
    change_maker,
    change_piece,
    change_shade,
    change_variant,
    clips_of,
    discontinue,
    tape_areas_of,
)
from pieces.models import Base, Maker, Piece, Variant
from pieces.seen_versions import ChangedMeanwhile, version_of
from tests.factories import ClientFactory, OwnerFactory
from tests.pieces.factories import (
    BaseClipFactory,
    BaseFactory,
    MakerFactory,
    OrderLineFactory,
    PieceFactory,
    SaleFactory,
    ShadeFactory,
    UnitFactory,
    VariantFactory,
)

pytestmark = pytest.mark.django_db
LAST = datetime.date(2026, 3, 1)
OVAL = {"outline": "oval", "length_mm": 152, "width_mm": 140, "construction": "mono"}


@pytest.fixture
def odile():
    return OwnerFactory()


def refused(deed, **arguments):
    """The sentences of a refusal by field."""
    with pytest.raises(ValidationError) as refusal:
        deed(**arguments)
    told = refusal.value
    return told.message_dict if hasattr(told, "error_dict") else {"__all__": told.messages}


def test_a_maker_a_base_a_piece_a_shade_and_a_variant_are_added_and_signed(odile):
    maker = add_maker(name=" Tollbar  Hair ", note="Two weeks", by=odile)
    base = add_base(maker=maker, name="Lattice", clips=[Clip(8, 0, 32)], by=odile, **OVAL)
    piece = add_piece(base=base, name="Quarry Lane", fibre="human", texture="wavy", by=odile)
    shade = add_shade(maker=maker, code="sedge", name="Pale warm brown", by=odile)
    variant = add_variant(piece=piece, shade=shade, length_mm=350, price_minor=124900, currency="GBP", by=odile)
    assert maker.name == "Tollbar Hair"
    assert [row.history.get().history_user for row in (maker, base, piece, shade, variant)] == [odile] * 5
    assert list(Variant.objects.offered(localdate())) == [variant]


def test_names_are_taken_however_they_are_spelt(odile):
    MakerFactory(name="Tollbar")
    assert refused(add_maker, name="TOLLBAR ", by=odile) == {"name": ["There is a maker called “Tollbar” already."]}
    other = MakerFactory(name="Lapwing")
    assert "name" in refused(change_maker, maker=other, name="tollbar", by=odile)
    assert Maker.objects.count() == 2
    assert change_maker(maker=other, name="lapwing", by=odile).name == "lapwing"


def test_a_base_keeps_its_clips_and_strips_in_order_from_the_front(odile):
    base = add_base(
        maker=MakerFactory(),
        name="Lattice",
        clips=[Clip(144, 0, 28), Clip(60, -40, 32), Clip(8, 0, 32)],
        tape_areas=[TapeArea(110, 125), TapeArea(0, 15)],
        by=odile,
        **OVAL,
    )
    kept = Base.objects.get(pk=base.pk)
    assert clips_of(kept) == (Clip(8, 0, 32), Clip(60, -40, 32), Clip(144, 0, 28))
    assert tape_areas_of(kept) == (TapeArea(0, 15), TapeArea(110, 125))
    assert {(clip.base_length_mm, clip.base_width_mm) for clip in kept.clips.all()} == {(152, 140)}


@pytest.mark.parametrize(
    ("clips", "areas", "column", "words"),
    [
        ([Clip(160, 0, 32)], [], "clips", "the base is shorter than that"),
        ([Clip(8, 60, 32)], [], "clips", "there the base reaches"),
        ([Clip(60, 10, 32), Clip(60, 10, 28)], [], "clips", "Two clips lie at one place"),
        ([], [TapeArea(20, 20)], "tape_areas", "has no depth"),
        ([], [TapeArea(140, 160)], "tape_areas", "ends behind the base"),
        ([], [TapeArea(0, 20), TapeArea(10, 30)], "tape_areas", "overlap"),
    ],
)
def test_what_lies_off_a_base_or_twice_on_it_is_refused_and_nothing_is_kept(odile, clips, areas, column, words):
    told = refused(add_base, maker=MakerFactory(), name="Lattice", clips=clips, tape_areas=areas, by=odile, **OVAL)
    assert words in told[column][0]
    assert not Base.objects.exists()


def test_a_base_made_shorter_than_its_clips_is_refused(odile):
    base = BaseClipFactory(u_mm=144, base__length_mm=152).base
    assert "the base is shorter than that" in refused(change_base, base=base, length_mm=120, by=odile)["clips"][0]
    assert Base.objects.get().length_mm == 152


def test_more_clips_than_any_base_has_are_refused(odile):
    told = refused(
        add_base, maker=MakerFactory(), name="L", clips=[Clip(n, 0, 10) for n in range(8, 39)], by=odile, **OVAL
    )
    assert told == {"__all__": ["A base has at most 30 clips and 12 strips for tape."]}


def test_a_change_to_nothing_leaves_no_trace(odile):
    base = BaseClipFactory().base
    versions = base.history.count()
    change_base(base=base, length_mm=152, clips=clips_of(base), by=odile)
    change_piece(piece=(piece := PieceFactory(name="Quarry Lane")), name=" Quarry  Lane ", by=odile)
    assert (base.history.count(), piece.history.count()) == (versions, 1)


def test_the_second_of_two_is_told_what_the_first_wrote(odile):
    base = BaseFactory(weight_g=60)
    shown = version_of(base)
    other = OwnerFactory(username="oona")
    change_base(base=base, width_mm=150, clips=[Clip(8, 0, 32)], shown=shown, by=other)
    told = refused(change_base, base=base, weight_g=70, clips=[], shown=shown, by=odile)
    assert f"{other} changed this on" in told["__all__"][0]
    assert told["width_mm"] == ["Meanwhile it says: 150 mm."]
    assert told["clips"] == ["Meanwhile it says: 8 mm back on the midline."]
    base.refresh_from_db()
    assert (base.weight_g, base.clips.count()) == (60, 1)
    change_base(base=base, weight_g=70, shown=version_of(base), by=odile)
    base.refresh_from_db()
    assert (base.weight_g, base.width_mm) == (70, 150)


def test_clips_that_the_first_moved_are_told_too(odile):
    base = BaseFactory()
    shown = version_of(base)
    change_base(base=base, clips=[Clip(8, 0, 32)], tape_areas=[TapeArea(0, 15)], shown=shown, by=odile)
    told = refused(change_base, base=base, clips=[Clip(60, 40, 32)], shown=shown, by=OwnerFactory())
    assert told["clips"] == ["Meanwhile it says: 8 mm back on the midline."]
    assert told["tape_areas"] == ["Meanwhile it says: 0 to 15 mm back."]


def test_a_form_sent_twice_is_taken_once_and_refused_never(odile):
    piece = PieceFactory()
    shown = version_of(piece)
    for _ in range(2):
        change_piece(piece=piece, texture="wavy", shown=shown, by=odile)
    assert piece.history.count() == 2


@pytest.mark.parametrize("shown", [0, 10**17])
def test_a_version_that_was_never_shown_is_refused(odile, shown):
    with pytest.raises(ChangedMeanwhile, match="without what it had shown"):
        change_maker(maker=MakerFactory(), note="Ring first", shown=shown, by=odile)


def test_meanwhile_is_said_as_a_person_reads_it(odile):
    piece = PieceFactory(fibre="heat_friendly", rated_c=160)
    shown = version_of(piece)
    change_piece(piece=piece, rated_c=None, texture="curly", shown=shown, by=odile)
    told = refused(change_piece, piece=piece, density="full", shown=shown, by=odile)
    assert told["rated_c"] == ["Meanwhile it says: nothing."]
    assert told["texture"] == ["Meanwhile it says: Curly."]
    variant = VariantFactory()
    shown = version_of(variant)
    change_variant(variant=variant, price_minor=99900, discontinued_on=LAST, shown=shown, by=odile)
    told = refused(change_variant, variant=variant, price_minor=89900, shown=shown, by=odile)
    assert told["price_minor"] == ["Meanwhile it says: £999.00."]
    assert told["discontinued_on"] == ["Meanwhile it says: 1 March 2026."]


def test_a_base_and_a_shade_stay_their_makers_while_something_is_made_of_them(odile):
    other = MakerFactory(name="Lapwing")
    variant = VariantFactory()
    base, shade = variant.piece.base, variant.shade
    assert "Add a base of the other maker" in refused(change_base, base=base, maker=other, by=odile)["maker"][0]
    assert "Add a shade of the other maker" in refused(change_shade, shade=shade, maker=other, by=odile)["maker"][0]
    on_anothers = BaseFactory(maker=other)
    told = refused(change_piece, piece=variant.piece, base=on_anothers, by=odile)
    assert told == {"base": ["It is listed in shades of Marrowick Atelier. Choose a base of Marrowick Atelier."]}
    assert change_base(base=BaseFactory(), maker=other, by=odile).maker == other


def test_a_variant_is_in_a_shade_of_its_maker(odile):
    piece, shade = PieceFactory(), ShadeFactory(maker=MakerFactory(name="Lapwing"), code="sedge", name="Sedge")
    fields = {"length_mm": 300, "price_minor": 100, "currency": "GBP"}
    told = refused(add_variant, piece=piece, shade=shade, by=odile, **fields)
    assert "sedge Sedge is a shade of Lapwing. Choose one of Marrowick Atelier" in told["shade"][0]


@pytest.mark.parametrize("refer", [UnitFactory, OrderLineFactory])
def test_what_is_in_the_drawer_or_on_order_does_not_become_another_variant(odile, refer):
    variant = refer().variant
    told = refused(change_variant, variant=variant, length_mm=400, by=odile)
    assert "Add another one instead" in told["length_mm"][0]
    assert change_variant(variant=variant, price_minor=1, by=odile).price_minor == 1


def test_a_slip_in_a_variant_that_nothing_refers_to_is_put_right(odile):
    assert change_variant(variant=VariantFactory(), length_mm=400, by=odile).length_mm == 400


@pytest.mark.parametrize("day", [datetime.date(1999, 12, 31), datetime.date(2101, 1, 1)])
def test_a_day_that_nobody_means_is_refused(odile, day):
    variant = VariantFactory()
    assert refused(discontinue, of=variant, on=day, by=odile) == {
        "discontinued_on": ["Write a day between 2000 and 2100."]
    }
    assert "discontinued_on" in refused(change_variant, variant=variant, discontinued_on=day, by=odile)


def test_a_discontinued_variant_is_offered_no_more_from_that_day(odile):
    variant = VariantFactory()
    assert discontinue(of=variant, on=LAST, by=odile) == [variant]
    assert list(Variant.objects.offered(LAST - datetime.timedelta(days=1))) == [variant]
    assert not Variant.objects.offered(LAST).exists()
    assert variant.history.first().history_user == odile
    assert discontinue(of=variant, on=LAST, by=odile) == []
    assert variant.history.count() == 2


def test_a_piece_goes_with_all_its_variants_and_earlier_days_stay(odile):
    piece = PieceFactory()
    earlier = VariantFactory(piece=piece, length_mm=200, discontinued_on=LAST - datetime.timedelta(days=9))
    two = VariantFactory.create_batch(2, piece=piece)
    other = VariantFactory()
    assert discontinue(of=piece, on=LAST, by=odile) == two
    earlier.refresh_from_db()
    assert earlier.discontinued_on == LAST - datetime.timedelta(days=9)
    assert list(Variant.objects.offered(LAST)) == [other]
    assert list(Piece.objects.offered()) == [other.piece]


def test_discontinuing_keeps_the_past(odile):
    sale = SaleFactory(client=ClientFactory())
    line = sale.lines.get()
    unit = line.unit
    discontinue(of=unit.variant.piece, on=localdate(), by=odile)
    line.refresh_from_db()
    unit.refresh_from_db()
    assert str(line.unit.variant.piece) in str(unit.variant)
    assert (unit.state, line.unit) == ("reserved", unit)


def test_what_is_discontinued_can_be_offered_again(odile):
    variant = VariantFactory(discontinued_on=LAST)
    change_variant(variant=variant, discontinued_on=None, by=odile)
    assert Variant.objects.offered(now().date()).get() == variant


def test_a_name_that_a_file_wrote_at_the_same_moment_is_a_sentence(odile, monkeypatch):
    maker = MakerFactory()
    BaseFactory(maker=maker, name="Lattice")
    monkeypatch.setattr(Base, "full_clean", lambda self: None)  # as if the other had not committed yet
    told = refused(add_base, maker=maker, name="Lattice", by=odile, **OVAL)
    assert told == {"__all__": ["Somebody wrote the same down just now. Look at what is there, then save again."]}
    assert connection.is_usable()
