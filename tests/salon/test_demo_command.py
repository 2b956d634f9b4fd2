"""The commands that show the demo salon: what they say and serve, and what they leave alone."""

import os
import re
import signal
import socket
import subprocess
import sys
from urllib.request import urlopen

import pytest
from django.conf import settings
from django.core.management import CommandError, call_command

from salon.demo.people import PEOPLE
from salon.management.commands.demo import bound_to
from tests.factories import ClientFactory


@pytest.mark.django_db
def test_the_demo_is_refused_with_the_settings_of_a_real_salon(settings):
    settings.DEMO = False
    with pytest.raises(CommandError, match=r"is started by “python3 manage\.py demo”"):
        call_command("demo", "--no-serve")


@pytest.mark.django_db
def test_the_demo_leaves_clients_alone_that_are_not_its_own(settings):
    settings.DEMO = True
    ClientFactory()
    with pytest.raises(CommandError, match="clients that are not the demo's"):
        call_command("demo", "--no-serve")


@pytest.mark.django_db
def test_a_database_named_by_somebody_is_not_thrown_away(settings):
    settings.DEMO = True
    with pytest.raises(CommandError, match="--fresh is for the demo's own database"):
        call_command("demo", "--no-serve", "--fresh")


@pytest.mark.django_db
def test_the_demo_is_not_loaded_into_production(settings):
    settings.PRODUCTION = True
    with pytest.raises(CommandError, match="not into production"):
        call_command("load_demo")


def test_a_taken_port_is_said_with_another_to_choose():
    with socket.create_server(("127.0.0.1", 0)) as taken:
        port = taken.getsockname()[1]
        with pytest.raises(CommandError, match=f"Port {port} is taken.* --port {port + 1}"):
            bound_to(port)


@pytest.mark.parametrize("port", [0, -1, 65536])
def test_what_is_no_port_is_refused(port):
    with pytest.raises(CommandError, match="is not a port"):
        bound_to(port)


@pytest.mark.slow
def test_the_demo_serves_says_who_signs_in_ends_quietly_and_goes_on_the_next_time(tmp_path):
    with socket.create_server(("127.0.0.1", 0)) as free:
        port = free.getsockname()[1]
    environment = {name: value for name, value in os.environ.items() if not name.startswith("SALON_")}
    environment["DATABASE_URL"] = f"sqlite:///{tmp_path / 'demo.sqlite3'}"
    photos = tmp_path / "photos"  # apart from those of whoever tries the salon out here
    (tmp_path / "apart.py").write_text(f"from salon.settings import *\nMEDIA_ROOT = {str(photos)!r}\n")
    environment |= {"DJANGO_SETTINGS_MODULE": "apart", "PYTHONPATH": str(tmp_path)}
    command = [sys.executable, "manage.py", "demo"]
    running = subprocess.Popen(
        [*command, "--port", str(port)],
        cwd=settings.BASE_DIR,
        env=environment,
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        text=True,
    )
    try:
        said = ""
        for line in running.stdout:
            said += line
            if line.startswith("Open http"):
                break
        consult = re.search(r"^finished consult: (F-\w{8})$", said, re.MULTILINE)
        assert consult, said
        assert all(person.password in said for person in PEOPLE)
        with urlopen(f"http://127.0.0.1:{port}/sign-in/") as page:
            shown = page.read().decode()
        assert all(person.password in shown for person in PEOPLE)
    finally:
        running.send_signal(signal.SIGINT)
        rest, _ = running.communicate(timeout=20)
    assert running.returncode == 0
    assert rest.strip() == "Stopped."
    again = subprocess.run(
        [*command, "--no-serve"], cwd=settings.BASE_DIR, env=environment, capture_output=True, text=True, check=True
    )
    assert consult[0] in again.stdout
    assert "Making the demo" not in again.stdout
