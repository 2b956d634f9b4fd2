"""`manage.py test` is pytest: whatever stands after it is handed on, and its result is the command's."""

import os
import sys

from django.conf import settings
from django.core.management.base import BaseCommand, CommandError


class Command(BaseCommand):
    help = "Run the tests with pytest; its arguments are passed on, for example: manage.py test tests/salon -k money."

    def run_from_argv(self, argv: list[str]) -> None:
        """Leave every argument to pytest, `--help` too."""
        try:
            sys.exit(self.handle(*argv[2:]))
        except CommandError as refusal:
            sys.exit(str(refusal))

    def handle(self, *pytest_arguments: str) -> int:  # type: ignore[override]  # a code here, not text to print
        """Run them from the project's folder; all but 0 is a failure, also 5, which says that no test was found."""
        try:
            import pytest
        except ImportError as error:
            wanted = "python -m pip install -r tests/requirements.txt"
            raise CommandError(f"The test tools are not in this environment; install them with: {wanted}") from error
        os.chdir(settings.BASE_DIR)
        return int(pytest.main(list(pytest_arguments)))
