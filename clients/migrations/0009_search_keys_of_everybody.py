"""Fills in the keys by which quick find finds those who are registered already; backwards, the words of their names.

Nobody has gone into another record yet when this runs, so each client has the keys of her own record alone.
"""

from django.db import migrations

from clients.models.search import keys_of, words_of

AT_ONCE = 2_000


def standing(apps):
    """Some clients at a time, without holding a cursor open while rows are written."""
    clients = apps.get_model("clients", "Client").objects.filter(erased_at=None, merged_into=None).order_by("pk")
    last = 0
    while some := list(clients.filter(pk__gt=last)[:AT_ONCE]):
        yield some
        last = some[-1].pk


def write_keys(apps, schema_editor):
    SearchKey = apps.get_model("clients", "SearchKey")
    for some in standing(apps):
        SearchKey.objects.bulk_create(
            (
                SearchKey(client=client, key=key)
                for client in some
                for key in sorted(keys_of(client, listed_as=f"{client.family_folded} {client.given_folded}"))
            ),
            batch_size=AT_ONCE,
        )


def write_words(apps, schema_editor):
    NameWord = apps.get_model("clients", "NameWord")
    for some in standing(apps):
        NameWord.objects.bulk_create(
            (
                NameWord(client=client, word=word)
                for client in some
                for word in words_of(client.given_name, client.family_name, client.preferred_name)
            ),
            batch_size=AT_ONCE,
            ignore_conflicts=True,
        )


class Migration(migrations.Migration):
    dependencies = [("clients", "0008_search_keys")]
    operations = [migrations.RunPython(write_keys, write_words)]
