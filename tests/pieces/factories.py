"""Pieces with fixed, readable values; a test spells out only what it is about."""

import datetime
import io
import uuid

import factory
from django.utils.timezone import now
from PIL import Image

from pieces.keeping_pictures import take_piece_picture
from pieces.models import (
    Base,
    BaseClip,
    BaseTapeArea,
    Maker,
    MakerOrder,
    OrderLine,
    Payment,
    Piece,
    PiecePicture,
    PricedService,
    ReturnReason,
    RingPhoto,
    Sale,
    Shade,
    ShadeReading,
    StockMovement,
    TaxRate,
    Unit,
    Variant,
)
from pieces.paying import take_payment
from pieces.ring.taking import take_ring_photo
from pieces.selling import LineAsked, agree_sale
from salon.models import Salon
from tests.factories import ClientFactory, DeskFactory, OwnerFactory, StylistFactory


class MakerFactory(factory.django.DjangoModelFactory):
    class Meta:
        model = Maker
        django_get_or_create = ("name",)

    name = "Marrowick Atelier"


class BaseFactory(factory.django.DjangoModelFactory):
    class Meta:
        model = Base

    maker = factory.SubFactory(MakerFactory)
    name = factory.Sequence("Wicket {}".format)
    outline = "oval"
    length_mm = 152
    width_mm = 140
    construction = "mono"


class BaseClipFactory(factory.django.DjangoModelFactory):
    class Meta:
        model = BaseClip

    base = factory.SubFactory(BaseFactory)
    u_mm = 8
    v_mm = 0
    base_length_mm = factory.SelfAttribute("base.length_mm")
    base_width_mm = factory.SelfAttribute("base.width_mm")


class BaseTapeAreaFactory(factory.django.DjangoModelFactory):
    class Meta:
        model = BaseTapeArea

    base = factory.SubFactory(BaseFactory)
    from_mm = 0
    to_mm = 15


class PieceFactory(factory.django.DjangoModelFactory):
    class Meta:
        model = Piece

    base = factory.SubFactory(BaseFactory)
    name = factory.Sequence("Heron Weir {}".format)
    fibre = "human"
    texture = "straight"


class ShadeFactory(factory.django.DjangoModelFactory):
    """A measured shade; `unmeasured=True` for one that was not."""

    class Meta:
        model = Shade

    class Params:
        unmeasured = factory.Trait(
            method="",
            **{f"{zone}_{axis}": None for zone in ("root", "mid", "ends") for axis in ("l", "a", "b")},
        )

    maker = factory.SubFactory(MakerFactory)
    code = factory.Sequence("walnut-{}".format)
    name = "Deep warm brown"
    method = "instrument"
    root_l, root_a, root_b = 25.0, 5.6, 9.0
    mid_l, mid_a, mid_b = 26.0, 5.8, 9.6
    ends_l, ends_a, ends_b = 27.5, 5.8, 10.2


class VariantFactory(factory.django.DjangoModelFactory):
    class Meta:
        model = Variant

    piece = factory.SubFactory(PieceFactory)
    shade = factory.SubFactory(ShadeFactory, maker=factory.SelfAttribute("..piece.base.maker"))
    length_mm = 350
    price_minor = 124900
    cost_minor = 56000
    currency = "GBP"


class UnitFactory(factory.django.DjangoModelFactory):
    class Meta:
        model = Unit
        skip_postgeneration_save = True

    variant = factory.SubFactory(VariantFactory)
    received_on = datetime.date(2025, 3, 14)
    cost_minor = factory.SelfAttribute("variant.cost_minor")

    @factory.post_generation
    def its_ledger(self, create, extracted, **_):
        """Begun where the test wants the unit to be."""
        if create:
            StockMovement.objects.create(unit=self, seq=0, kind="before", to_state=self.state, at=now())


def plain_jpeg(colour=(90, 70, 60), size=(64, 48)):
    """A picture of one colour, as a camera would send it."""
    file = io.BytesIO()
    Image.new("RGB", size, colour).save(file, "JPEG")
    return file.getvalue()


class RingPhotoFactory(factory.django.DjangoModelFactory):
    """A photo of the ring, taken in by the deed the page calls; `jpeg` is what is sent."""

    class Meta:
        model = RingPhoto

    jpeg = factory.LazyFunction(plain_jpeg)
    upload_key = factory.LazyFunction(uuid.uuid4)
    by = factory.SubFactory(StylistFactory)
    at = factory.LazyFunction(now)

    @classmethod
    def _create(cls, model_class, *args, jpeg, **kwargs):
        return take_ring_photo(file=io.BytesIO(jpeg), size=len(jpeg), **kwargs)


class PiecePictureFactory(factory.django.DjangoModelFactory):
    """A picture of a piece, taken in by the deed the page calls; `jpeg` is what is sent."""

    class Meta:
        model = PiecePicture

    jpeg = factory.LazyFunction(plain_jpeg)
    piece = factory.SubFactory(PieceFactory)
    shows = "From the front, on a stand"
    upload_key = factory.LazyFunction(uuid.uuid4)
    by = factory.SubFactory(OwnerFactory)
    at = factory.LazyFunction(now)

    @classmethod
    def _create(cls, model_class, *args, jpeg, **kwargs):
        return take_piece_picture(file=io.BytesIO(jpeg), size=len(jpeg), **kwargs)


class ShadeReadingFactory(factory.django.DjangoModelFactory):
    """A shade as a photo with the grey card read it; `lightness` is the L* of all three zones."""

    class Meta:
        model = ShadeReading

    class Params:
        lightness = 40.0

    shade = factory.SubFactory(ShadeFactory)
    method = "card"
    routine_version = "card-1"
    root_l = mid_l = ends_l = factory.SelfAttribute("lightness")
    root_a = mid_a = ends_a = 6.0
    root_b = mid_b = ends_b = 10.0
    doubt = 2.5
    photo = factory.SubFactory(RingPhotoFactory)
    read_at = factory.LazyFunction(now)
    read_by = factory.SelfAttribute("photo.taken_by")


class TaxRateFactory(factory.django.DjangoModelFactory):
    class Meta:
        model = TaxRate

    name = factory.Sequence("Rate {}".format)
    basis_points = 2000


class PricedServiceFactory(factory.django.DjangoModelFactory):
    class Meta:
        model = PricedService

    name = factory.Sequence("Cut-in {}".format)
    price_minor = 8500


class ReturnReasonFactory(factory.django.DjangoModelFactory):
    class Meta:
        model = ReturnReason

    name = factory.Sequence("Shows at the front {}".format)


class MakerOrderFactory(factory.django.DjangoModelFactory):
    """A draft; `sent=True` for one on its way."""

    class Meta:
        model = MakerOrder

    class Params:
        sent = factory.Trait(
            state="sent", sent_at=factory.SelfAttribute("drafted_at"), sent_by=factory.SelfAttribute("drafted_by")
        )

    maker = factory.SubFactory(MakerFactory)
    currency = "GBP"
    drafted_at = factory.LazyFunction(now)
    drafted_by = factory.SubFactory(OwnerFactory)


class OrderLineFactory(factory.django.DjangoModelFactory):
    class Meta:
        model = OrderLine

    order = factory.SubFactory(MakerOrderFactory)
    variant = factory.SubFactory(VariantFactory)
    count = 2
    cost_minor = 54000


class SaleFactory(factory.django.DjangoModelFactory):
    """Made by the deed the page calls; `lines` are LineAsked, one unit of £1,249.00 unless told otherwise."""

    class Meta:
        model = Sale

    client = factory.SubFactory(ClientFactory)
    lines = factory.LazyFunction(lambda: [LineAsked(unit=UnitFactory())])
    by = factory.SubFactory(DeskFactory)
    at = factory.LazyFunction(now)

    @classmethod
    def _create(cls, model_class, *args, **kwargs):
        return agree_sale(salon=Salon.objects.default(), **kwargs)


class PaymentFactory(factory.django.DjangoModelFactory):
    """Ten pounds in cash for a sale, with its receipt."""

    class Meta:
        model = Payment

    sale = factory.SubFactory(SaleFactory)
    amount_minor = 1000
    method = "cash"
    by = factory.SubFactory(DeskFactory)
    at = factory.LazyFunction(now)

    @classmethod
    def _create(cls, model_class, *args, **kwargs):
        return take_payment(salon=Salon.objects.default(), **kwargs)
