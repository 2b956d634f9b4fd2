"""Puts the demo salon's invented makers, bases, pieces, shades and units in, by the same deed as the import page."""

from __future__ import annotations

from pieces.catalogue import CatalogueReport, kinds, read_catalogue
from pieces.catalogue.examples import example_file
from salon.models import Salon, User


def load_catalogue(*, by: User) -> CatalogueReport:
    """Read the five example files in; doing it again changes nothing that was not changed meanwhile."""
    names = kinds(Salon.objects.default().currency)
    report = read_catalogue({name: example_file(name).read_bytes() for name in names}, dry_run=False, by=by)
    if not report.is_clean:
        raise RuntimeError("the demo catalogue has bad lines: " + "; ".join(str(bad) for bad in report.bad_lines[:5]))
    return report
