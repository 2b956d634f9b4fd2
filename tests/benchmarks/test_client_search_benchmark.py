"""How much longer does quick find take among 100,000 clients than among 1,000? On whichever database is set.

An index range answers; what may grow is the sorting of the matches, so their number is printed beside each ratio.
"""

import random
from statistics import median
from time import perf_counter

import pytest
from django.db import connection

from clients.models import Client, NameWord
from clients.models.search import words_of
from clients.searching import find_clients
from salon.common.references import new_reference
from tests.factories import DeskFactory

pytestmark = [pytest.mark.slow, pytest.mark.django_db]
FEW, MANY, TIMES = 1_000, 100_000, 25
STARTS = ["b", "c", "d", "f", "g", "h", "j", "l", "m", "n", "p", "r", "s", "t", "v", "w", "br", "cl", "gr", "st"]
FIRST = [start + vowel for vowel in "aeiou" for start in STARTS]
SECOND = ["l", "m", "n", "r", "s", "t", "d", "ck", "ll", "nn", "rt"]
LAST = ["a", "e", "y", "is", "on", "en", "in", "er", "ah", "ley", "ton", "worth", "field", "by"]
OFTEN = [1 / (place + 10) for place in range(len(FIRST))]  # the commonest three letters begin some 4 % of the clients


def a_name(draw):
    """Invented, of about 15,000."""
    return (draw.choices(FIRST, OFTEN)[0] + draw.choice(SECOND) + draw.choice(LAST)).capitalize()


def fill_up(count, draw, clerk):
    used = set(Client.objects.values_list("reference", flat=True))
    missing = count - len(used)
    while missing > 0:
        batch = []
        for _ in range(min(missing, 5_000)):
            client = Client(given_name=a_name(draw), family_name=a_name(draw), created_by=clerk)
            client.phone = f"07{draw.randrange(10**9):09d}"
            client.fold()
            while client.reference in used:  # among 100,000 it happens once in six or seven times
                client.reference = new_reference("C")
            used.add(client.reference)
            batch.append(client)
        Client.objects.bulk_create(batch)
        NameWord.objects.bulk_create(
            NameWord(client=client, word=word)
            for client in batch
            for word in words_of(client.given_name, client.family_name)
        )
        missing -= len(batch)
    with connection.cursor() as cursor:
        cursor.execute("ANALYZE")  # as both databases do by themselves after a while


def seconds_to_find(typed):
    spans = []
    for _ in range(TIMES):
        begin = perf_counter()
        find_clients(typed)
        spans.append(perf_counter() - begin)
    return median(spans)


def test_quick_find_among_a_hundred_times_as_many_clients():
    draw, clerk = random.Random(20250302), DeskFactory()
    fill_up(FEW, draw, clerk)
    her = Client.objects.order_by("pk")[17]
    name = her.family_folded
    asked = {
        "nothing: everybody by name": "",
        "three letters of the commonest name": "bal",
        "three letters of another": name[:3],
        "a whole name": name,
        "both names": f"{her.given_folded[:3]} {name[:4]}",
        "the last four digits": her.phone[-4:],
        "her reference": her.reference,
        "nobody": "zzz",
    }
    few = {how: seconds_to_find(typed) for how, typed in asked.items()}
    fill_up(MANY, draw, clerk)
    print(f"\n{connection.vendor}: {FEW:,} and {MANY:,} clients, median of {TIMES}")
    for how, typed in asked.items():
        many, matches = seconds_to_find(typed), Client.objects.found_by(typed).count()
        print(
            f"  {how:36} {1000 * few[how]:7.2f} ms {1000 * many:7.2f} ms, {many / few[how]:5.1f} times"
            f"  ({matches:,} matches)"
        )
    assert her in find_clients(her.reference).clients
