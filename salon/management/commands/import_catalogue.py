"""Read a maker's catalogue in from CSV files: `import_catalogue FOLDER --by NAME`, or `--check` to look first."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser

from pieces.catalogue import CatalogueReport, kinds, read_catalogue
from salon.models import Salon, User


class Command(BaseCommand):
    help = (
        "Reads bases.csv, shades.csv, pieces.csv, variants.csv and units.csv, any of them, into the catalogue: "
        "whole or not at all. The page Pieces > Import says what the columns mean."
    )

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("paths", nargs="+", type=Path, help="the files, or a folder that holds them")
        parser.add_argument("--by", required=True, help="name of the person whose import this is, as she signs in")
        parser.add_argument("--check", action="store_true", help="say what would change and store nothing")

    def handle(self, *args: Any, **options: Any) -> None:
        by = User.objects.filter(username=options["by"]).first()
        if by is None:
            raise CommandError(f"Nobody signs in as “{options['by']}”.")
        report = read_catalogue(_contents(options["paths"]), dry_run=options["check"], by=by)
        self._say(report, checked_only=options["check"])

    def _say(self, report: CatalogueReport, *, checked_only: bool) -> None:
        for remark in report.remarks:
            self.stdout.write(remark)
        for tally in report.tallies:
            self.stdout.write(str(tally))
        for bad in report.bad_lines:
            self.stderr.write(f"{bad}{f' (written: {bad.written})' if bad.written else ''}")
        if not report.is_clean:
            raise CommandError("Nothing was stored. Mend these lines and try again.")
        self.stdout.write("Nothing was stored: this was a check." if checked_only else "Stored.")


def _contents(paths: list[Path]) -> dict[str, bytes]:
    """Bytes by kind; a folder gives those of the five files that it holds."""
    names = kinds(Salon.objects.default().currency)
    files = [file for path in paths for file in (sorted(path.glob("*.csv")) if path.is_dir() else [path])]
    contents: dict[str, bytes] = {}
    for file in files:
        if file.stem not in names:
            raise CommandError(f"{file.name} is not one of {', '.join(f'{name}.csv' for name in names)}.")
        if file.stem in contents:
            raise CommandError(f"{file.name} was given twice.")
        try:
            contents[file.stem] = file.read_bytes()
        except OSError as error:
            raise CommandError(f"{file} can't be read: {error.strerror}.") from None
    if not contents:
        raise CommandError("There is no CSV file in that folder.")
    return contents
