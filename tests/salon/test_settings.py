"""The settings: which database a start without DATABASE_URL works on."""

import os
import subprocess
import sys

import pytest

PRODUCTION = {"SALON_ENV": "production", "SALON_HOSTS": "salon.example", "SALON_SECRET_KEY": "k" * 60}


@pytest.mark.parametrize(
    ("variables", "database"),
    [({}, "demo.sqlite3"), ({"SALON_DEMO": "yes"}, "demo.sqlite3"), (PRODUCTION, "salon.sqlite3")],
)
def test_every_command_works_on_the_demo_until_it_is_a_real_salons(variables, database):
    inherited = {name: value for name, value in os.environ.items() if not name.startswith(("SALON_", "DATABASE_URL"))}
    asked = "from salon import settings; print(settings.DATABASES['default']['NAME'])"
    told = subprocess.run(
        [sys.executable, "-c", asked], env=inherited | variables, capture_output=True, text=True, check=True
    )
    assert told.stdout.strip().endswith(f".local/{database}")
