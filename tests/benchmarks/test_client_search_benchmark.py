"""How much longer does search-as-you-type take among 100,000 clients than among 1,000? On whichever database is set.

Timed is the whole request that a keystroke makes: session, permissions, keys, clients and the rows drawn. The keys are
walked in the order of their index and the walk stops when the page is full, so the matches are neither sorted nor
counted. What still grows is the index itself, the rows drawn where a thousand clients do not fill the page, and, with
two common words, the walk to the first 26 who meet both.
"""

import random
from time import perf_counter

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from clients.indexing import index_clients
from clients.models import Client, SearchKey
from salon.common.references import new_reference
from tests.factories import DeskFactory

pytestmark = [pytest.mark.slow, pytest.mark.django_db]
FEW, MANY, TIMES = 1_000, 100_000, 25
START = ["b", "c", "d", "f", "g", "h", "j", "l", "m", "n", "p", "r", "s", "t", "v", "w", "br", "cl", "gr", "st"]
FIRST = [start + vowel for vowel in "aeiou" for start in START]
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
            client.email = f"{client.given_name}.{client.family_name}@{draw.choice(FIRST)}mail.example".lower()
            client.fold()
            while client.reference in used:  # among 100,000 it happens once in six or seven times
                client.reference = new_reference("C")
            used.add(client.reference)
            batch.append(client)
        Client.objects.bulk_create(batch)
        index_clients(batch)
        missing -= len(batch)
    with connection.cursor() as cursor:
        cursor.execute("ANALYZE")  # as both databases do by themselves after a while


def typed_at(browser, typed):
    return browser.get("/clients/", {"q": typed}, headers={"HX-Request": "true"})


def seconds_queries_and_rows(browser, typed):
    typed_at(browser, typed)
    with CaptureQueriesContext(connection) as captured:
        rows = len(typed_at(browser, typed).context["found"].clients)
    queries, spans = len(captured), []
    for _ in range(TIMES):
        begin = perf_counter()
        typed_at(browser, typed)
        spans.append(perf_counter() - begin)
    return min(spans), queries, rows


def test_a_keystroke_among_a_hundred_times_as_many_clients(client, capsys):
    draw, clerk = random.Random(20250302), DeskFactory()
    client.force_login(clerk)
    fill_up(FEW, draw, clerk)
    her = Client.objects.order_by("pk")[17]
    name = her.family_folded
    asked = {
        "nothing: everybody by name": "",
        "three letters of the commonest name": "bal",
        "three letters of another": name[:3],
        "a whole name": name,
        "both names": f"{her.given_folded[:3]} {name[:4]}",
        "the commonest letters of both names": "bal bal",
        "two common parts": "bal wor",
        "four digits": her.phone[-4:],
        "her e-mail address": her.email,
        "the beginning of her address": her.email.partition("@")[0],
        "her reference": her.reference,
        "the beginning of her reference": her.reference[:5],
        "inside a word": "worth",
        "nobody": "zzz",
    }
    few = {how: seconds_queries_and_rows(client, typed) for how, typed in asked.items()}
    fill_up(MANY, draw, clerk)
    many = {how: seconds_queries_and_rows(client, typed) for how, typed in asked.items()}
    with capsys.disabled():
        print(f"\n{connection.vendor}: {FEW:,} and {MANY:,} clients, {SearchKey.objects.count():,} keys")
        for how, (seconds, queries, rows) in many.items():
            before, queries_before, rows_before = few[how]
            print(
                f"  {how:36} {1000 * before:6.1f} ms {1000 * seconds:6.1f} ms, {seconds / before:4.2f} times, "
                f"{queries_before} and {queries} queries, {rows_before} and {rows} rows"
            )
    assert {how for how in asked if many[how][1] > few[how][1]} == set()
    assert her in typed_at(client, her.reference).context["found"].clients
