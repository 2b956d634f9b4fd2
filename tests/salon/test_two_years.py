"""Two years of strangers in the demo salon: made by the deeds of the pages, alike by seed, and read by the review.

What is planted stands in `salon.demo.strangers`: pieces with a margin under 10 mm come back three times as often, and
nothing else that is measured has to do with it. Fifty seeds of plain facts are asked in `tests/simulated`.
"""

from datetime import UTC, datetime

import pytest
from django.utils.timezone import localdate

from pieces.models import Receipt, SaleLine
from pieces.owner_review import in_common_counts
from pieces.review.in_common import LOOKED_AT, compare
from pieces.review.spans import Span
from pieces.review_asked import Asked
from pieces.review_groups import GROUPINGS
from salon.demo.loading import load_demo_salon
from salon.demo.strangers import SHORT_MARGIN_MM, TIMES_AS_OFTEN, strangers
from tests.pieces.ledger.broken import broken

AT = datetime(2026, 11, 4, 15, 40, tzinfo=UTC)


def test_the_same_seed_draws_the_same_strangers_and_another_others():
    one, again, other = (
        [(she.given_name, she.days_ago, she.tapes, she.draw.random()) for she in strangers(seed, days=730)]
        for seed in (4, 4, 5)
    )
    assert one == again != other


def test_strangers_come_the_longest_ago_first_and_not_in_the_last_month():
    days = [she.days_ago for she in strangers(2, days=365)]
    assert days == sorted(days, reverse=True)
    assert 30 <= days[-1] < days[0] <= 365


@pytest.mark.slow
@pytest.mark.django_db
def test_the_review_finds_what_is_planted_in_two_years_and_nothing_else_and_the_books_add_up():
    months = []
    load_demo_salon(at=AT, years=2, seed=1, month_begins=months.append)

    assert [(month.year, month.month) for month in months] == sorted({(month.year, month.month) for month in months})
    assert 24 <= len(months) <= 26

    sold = SaleLine.objects.sold().filter(handed_over_at__lt=AT)
    assert sold.count() > 180
    span = Span(localdate(sold.order_by("handed_over_at")[0].handed_over_at), AT.date())
    asked = Asked(span, AT.date(), GROUPINGS["piece"], "GBP")
    effects = {effect.factor.key: effect for effect in compare(LOOKED_AT, *in_common_counts(asked, LOOKED_AT))}
    margin = effects.pop("margin_mm")
    assert margin.factor.threshold == SHORT_MARGIN_MM
    assert margin.is_found
    assert margin.low < TIMES_AS_OFTEN < margin.high
    assert [key for key, effect in effects.items() if effect.is_found] == []

    assert broken() == []
    paid_at = [number.payment.at for number in Receipt.objects.order_by("number").select_related("payment")]
    assert paid_at == sorted(paid_at)
