"""Print the summary of a visit to a PDF file: `consult_summary F-7K2M9QAV --output summary.pdf`."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from django.core.exceptions import ValidationError
from django.core.management.base import BaseCommand, CommandError, CommandParser
from django.utils.timezone import now

from fittings.models import Fitting
from fittings.paper.salon_words import SalonWords
from fittings.pdf import consult_summary_pdf
from fittings.summary import consult_summary
from salon.common.printing import PrintingUnavailable
from salon.common.references import normalise_reference
from salon.models import Salon


class Command(BaseCommand):
    help = "Prints the summary of one visit to a PDF file, as the page of the visit does."

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("reference", help="the visit's reference, such as F-7K2M9QAV")
        parser.add_argument("--output", required=True, type=Path, help="the PDF file to write")
        parser.add_argument("--large-print", action="store_true", help="16 pt instead of 11 pt")

    def handle(self, *args: Any, **options: Any) -> None:
        fitting = _visit(options["reference"])
        today = SalonWords.of(Salon.objects.default()).day_of(now())
        try:
            pdf = consult_summary_pdf(consult_summary(fitting, on=today), large_print=options["large_print"])
        except ValidationError as not_yet:
            raise CommandError(" ".join(not_yet.messages)) from None
        except PrintingUnavailable as missing:
            raise CommandError(str(missing)) from None
        try:
            options["output"].write_bytes(pdf)
        except OSError as error:
            raise CommandError(f"{options['output']} can't be written: {error.strerror}.") from None
        self.stdout.write(f"{options['output']}: the summary of visit {fitting.reference}, {len(pdf):,} bytes.")


def _visit(typed: str) -> Fitting:
    try:
        reference = normalise_reference(typed)
    except ValueError as slip:
        raise CommandError(str(slip)) from None
    visits = Fitting.objects.select_related("client", "stylist", "assessment")
    fitting = visits.filter(reference=reference).first()
    if fitting is None:
        raise CommandError(f"There is no visit {reference}. A visit's reference begins with F and stands on its page.")
    return fitting
