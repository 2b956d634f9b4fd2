"""How days are counted in which something may be brought back.

The day of the event itself does not count, and the period ends with the end of its last day: Regulation (EEC, Euratom)
No 1182/71, Article 3(1) and (2)(b). For goods bought at a distance that is “the end of 14 days after the day on which
the goods come into the physical possession of the consumer”: Consumer Contracts (Information, Cancellation and
Additional Charges) Regulations 2013 (UK), regulation 30(3). Both from MEMORY; neither is what the salon's terms must
be, only how a number of days is to be read.
"""

from datetime import datetime
from zoneinfo import ZoneInfo

import pytest
from django.utils.timezone import override

from pieces.models import SaleLine
from pieces.returning import against_terms, days_out

LONDON = ZoneInfo("Europe/London")
TERMS = {"return_days": 14, "refused_when": []}
# handed over, the last moment that is in time, the first that is late; clocks go back on 25 October 2026
PERIODS = [
    ((2026, 7, 1, 9, 0), (2026, 7, 15, 23, 59), (2026, 7, 16, 0, 0)),
    ((2026, 7, 1, 23, 59), (2026, 7, 15, 23, 59), (2026, 7, 16, 0, 0)),
    ((2026, 10, 24, 18, 0), (2026, 11, 7, 23, 59), (2026, 11, 8, 0, 0)),
    ((2028, 2, 20, 12, 0), (2028, 3, 5, 23, 59), (2028, 3, 6, 0, 0)),  # a leap year
]


@pytest.mark.parametrize(("handed_over", "in_time", "late"), PERIODS)
def test_fourteen_days_end_with_the_fourteenth_day_after_that_of_handing_over(handed_over, in_time, late):
    line = SaleLine(handed_over_at=datetime(*handed_over, tzinfo=LONDON))
    with override(LONDON):
        assert against_terms(days_since=days_out(line, datetime(*in_time, tzinfo=LONDON)), terms=TERMS) == []
        assert against_terms(days_since=days_out(line, datetime(*late, tzinfo=LONDON)), terms=TERMS) == [
            "It comes back after 15 days; the terms say within 14 days."
        ]
