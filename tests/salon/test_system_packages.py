"""What is said and done about packages of the system that are missing, as root and as anybody else."""

import sys
from pathlib import Path

import pytest

from salon import system_packages
from salon.system_packages import Need, font, library, line_to_run, program, provide


class Machine:
    """A machine with programs, packages and a user; apt-get brings what it is asked for unless offline."""

    def __init__(self, monkeypatch):
        self.programs, self.installed, self.asked, self.offline = set(), set(), [], False
        monkeypatch.setattr(system_packages.shutil, "which", lambda name: name if name in self.programs else None)
        monkeypatch.setattr(system_packages.subprocess, "call", self.call)
        monkeypatch.setattr(system_packages, "RUN_NEEDS", (self.need("python-extra", stops=True), self.need("printer")))
        monkeypatch.setattr(system_packages, "TEST_NEEDS", (self.need("browser", stops=True),))
        self.be_root = lambda yes: monkeypatch.setattr(system_packages, "is_root", lambda: yes)

    def need(self, name, **more):
        return Need(lambda: name in self.installed, name, f"{name}-rpm", f"{name}-brew", f"{name} is lost", **more)

    def call(self, command, *, stdout, **_):
        self.asked.append([word for word in command if not word.startswith(("-", "Acquire", "Dpkg"))])
        if self.offline:
            stdout.write("E: the mirror can't be reached")
            return 100
        stdout.write("Unpacking browser (1.0) over nothing ...")
        self.installed.update(command)
        return 0


@pytest.fixture
def machine(monkeypatch):
    return Machine(monkeypatch)


def test_root_on_debian_gets_what_is_missing_and_is_told(machine, capsys):
    machine.programs, machine.installed = {"apt-get"}, {"printer"}
    machine.be_root(True)
    provide(for_tests=True)
    assert machine.asked == [["apt-get", "update"], ["apt-get", "install", "python-extra", "browser"]]
    assert capsys.readouterr().err == "Installing packages of the system with apt-get: python-extra browser.\n"


def test_nothing_missing_means_nothing_said_or_done(machine, capsys):
    machine.programs, machine.installed = {"apt-get"}, {"printer", "python-extra"}
    machine.be_root(True)
    provide(for_tests=False)
    assert machine.asked == []
    assert capsys.readouterr().err == ""


def test_anybody_else_is_given_the_line_to_run(machine, capsys):
    machine.programs = {"apt-get"}
    machine.be_root(False)
    with pytest.raises(SystemExit, match=r"^Then start again\.$"):
        provide(for_tests=False)
    assert machine.asked == []
    assert capsys.readouterr().err == (
        "Packages of the system are missing; without them python-extra is lost; printer is lost.\n"
        "To install them, run:  sudo apt-get update && sudo apt-get install -y python-extra printer\n"
    )


def test_what_only_printing_needs_is_said_and_the_start_goes_on(machine, capsys):
    machine.programs, machine.installed = {"apt-get"}, {"python-extra"}
    machine.be_root(False)
    provide(for_tests=False)
    assert "without them printer is lost." in capsys.readouterr().err


def test_root_without_a_network_is_told_why_and_given_the_line_too(machine, capsys):
    machine.programs, machine.offline = {"apt-get"}, True
    machine.be_root(True)
    with pytest.raises(SystemExit):
        provide(for_tests=False)
    said = capsys.readouterr().err
    assert "E: the mirror can't be reached" in said
    assert "To install them, run:  apt-get update && apt-get install -y python-extra printer\n" in said


@pytest.mark.parametrize(
    ("manager", "line"),
    [
        ("dnf", "sudo dnf install -y printer-rpm"),
        ("brew", "brew install printer-brew"),
        (None, "your package manager, for what Debian calls printer"),
    ],
)
def test_the_line_is_in_the_words_of_the_machines_package_manager(machine, manager, line):
    machine.programs = {manager}
    machine.be_root(False)
    assert line_to_run([machine.need("printer")]) == line


def test_a_library_a_program_and_a_font_are_found_or_not(tmp_path, monkeypatch):
    assert not library("no-such-thing")()
    assert not program("no-such-thing")()
    assert program("no-such-thing", Path(sys.executable).name, sys.executable)()
    monkeypatch.setenv("HOME", str(tmp_path))
    assert not font("Nosuchfont")()
    (tmp_path / ".fonts").mkdir()
    (tmp_path / ".fonts/Nosuchfont-Regular.otf").touch()
    assert font("Nosuchfont")()
