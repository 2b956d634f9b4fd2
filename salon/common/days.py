"""How a day is written in a sentence: “2 January 2026”, or “2 January” where the year goes without saying.

By Django's own format, for the day without a leading nought is not to be had from every system's `strftime`.
"""

from datetime import date

from django.utils.formats import date_format


def day_said(day: date) -> str:
    """“2 January 2026”. Of a moment, the day in the zone it carries."""
    return date_format(day, "j F Y")


def day_and_month(day: date) -> str:
    """“2 January”, likewise."""
    return date_format(day, "j F")
