#!/usr/bin/env python3
"""Django's command line, after salon/first_run.py has seen to the environment it runs in."""

import os
import sys

from salon.first_run import prepare


def main() -> None:
    prepare(sys.argv)
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "salon.settings")
    if sys.argv[1:2] == ["demo"]:
        os.environ["SALON_DEMO"] = "yes"  # the settings are read before the command is: the demo has its own database
    try:
        from django.core.management import execute_from_command_line
    except ImportError as error:
        raise SystemExit(
            "Django can't be imported in this environment. Install the packages of requirements.txt into it, "
            "or leave it (deactivate) and start again: the project then makes its own. The reason: " + str(error)
        ) from error
    execute_from_command_line(sys.argv)


if __name__ == "__main__":
    main()
