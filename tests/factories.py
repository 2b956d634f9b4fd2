"""Fixed, readable people: those who work in the salon, by role, and its clients.

Clients and consents are made by the deeds the pages call, so that they are found and remembered as real ones are.
"""

import factory
from django.contrib.auth.models import Group
from django.utils.timezone import now
from factory.django import DjangoModelFactory

from clients.consenting import give_consent
from clients.keeping_products import add_product
from clients.models import Client, Consent, Product, SkinTest
from clients.models.consent import ConsentKind
from clients.registering import register_client
from clients.skin_testing import apply_skin_test
from salon.models import User
from tests.filled_by_migrations import fill_anew


def role(name):
    """The role's group. A test with its own transactions empties all tables, so the roles may have to be made anew."""
    if not Group.objects.filter(name=name).exists():
        fill_anew()
    return Group.objects.get(name=name)


def _joins(name):
    return factory.PostGeneration(lambda user, create, extracted: user.groups.add(role(name)))


def _signs_record_consent(client, create, extracted):
    if extracted:
        ConsentFactory(client=client, by=client.created_by)


def _signs_photo_consent(client, create, extracted):
    if extracted:
        ConsentFactory(client=client, kind=ConsentKind.PHOTOS, by=client.created_by)


class UserFactory(DjangoModelFactory):
    """Somebody who signs in and may do nothing yet. Without a password: hashing one takes longer than most tests."""

    class Meta:
        model = User
        skip_postgeneration_save = True

    username = factory.Sequence(lambda n: f"somebody{n + 1}")
    first_name = "Tamsin"
    last_name = factory.Sequence(lambda n: f"Underhay {n + 1}")
    password = "!"


class DeskFactory(UserFactory):
    username = factory.Sequence(lambda n: f"desk{n + 1}")
    first_name = "Wilma"
    role = _joins("Front desk")


class StylistFactory(UserFactory):
    username = factory.Sequence(lambda n: f"stylist{n + 1}")
    first_name = "Imke"
    role = _joins("Stylist")


class OwnerFactory(UserFactory):
    username = factory.Sequence(lambda n: f"owner{n + 1}")
    first_name = "Odile"
    role = _joins("Owner")


STAFF = {"Front desk": DeskFactory, "Stylist": StylistFactory, "Owner": OwnerFactory}


class ClientFactory(DjangoModelFactory):
    """A client as the desk registers her; `record_consent=True` also signs the consent that health facts need."""

    class Meta:
        model = Client
        skip_postgeneration_save = True

    given_name = "Ada"
    family_name = factory.Sequence(lambda n: f"Ashdown {n + 1}")
    phone = factory.Sequence(lambda n: f"07700 9{n:05d}")
    by = factory.SubFactory(DeskFactory)
    record_consent = factory.PostGeneration(_signs_record_consent)
    photo_consent = factory.PostGeneration(_signs_photo_consent)

    @classmethod
    def _create(cls, model_class, *args, **kwargs):
        return register_client(**kwargs)


class ConsentFactory(DjangoModelFactory):
    class Meta:
        model = Consent

    client = factory.SubFactory(ClientFactory)
    kind = ConsentKind.RECORD
    signed_name = factory.LazyAttribute(lambda row: f"{row.client.given_name} {row.client.family_name}")
    by = factory.SubFactory(DeskFactory)
    at = factory.LazyFunction(now)

    @classmethod
    def _create(cls, model_class, *args, **kwargs):
        return give_consent(**kwargs)


class ProductFactory(DjangoModelFactory):
    """A tape whose label was read: it names nothing that clients react to."""

    class Meta:
        model = Product

    name = factory.Sequence(lambda n: f"Weir tape {n + 1}")
    sort = "tape"
    contains_read = True
    by = factory.SubFactory(OwnerFactory)

    @classmethod
    def _create(cls, model_class, *args, **kwargs):
        return add_product(**kwargs)


class SkinTestFactory(DjangoModelFactory):
    class Meta:
        model = SkinTest

    client = factory.SubFactory(ClientFactory, record_consent=True)
    kind = "adhesive"
    product = "Soft tape no. 3"
    by = factory.SubFactory(StylistFactory)
    at = factory.LazyFunction(now)

    @classmethod
    def _create(cls, model_class, *args, **kwargs):
        return apply_skin_test(**kwargs)
