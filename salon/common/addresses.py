"""How a record's reference stands in an address: anything else there is no page, before the database is asked.

Import this module where `<reference:…>` is used in a path; it registers the converter.
"""

from django.urls import register_converter


class ReferenceConverter:
    """A reference as `salon.common.references` gives it out; without it %00 in an address would reach PostgreSQL, which
    answers it with an error."""

    regex = r"[A-Z]{1,4}-[0-9A-Z]{8}"

    def to_python(self, value: str) -> str:
        return value

    def to_url(self, value: str) -> str:
        return value


register_converter(ReferenceConverter, "reference")
