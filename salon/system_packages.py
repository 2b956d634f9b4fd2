"""Which packages of the operating system the project needs beyond Python, whether they are here, and how to get them.

Standard library only: it runs before anything is installed (salon/first_run.py), and `manage.py check` asks it again
about the libraries that print. What is looked for is the library, program or font itself, not a package manager's list.
"""

import ctypes
import ctypes.util
import importlib.util
import os
import shutil
import subprocess
import sys
import tempfile
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import NamedTuple


class Need(NamedTuple):
    """One thing that a package provides, under the package's names, and what is lost without it."""

    is_here: Callable[[], bool]
    apt: str
    dnf: str
    brew: str
    lost: str
    stops: bool = False  # nothing sensible can be done without it


def library(name: str) -> Callable[[], bool]:
    """Whether the shared library can be loaded, by the file names of Linux, macOS and Windows."""

    def is_here() -> bool:
        for file_name in (f"lib{name}.so.0", f"lib{name}.so.1", f"lib{name}.0.dylib", f"lib{name}-0.dll"):
            try:
                ctypes.CDLL(file_name)
            except OSError:
                continue
            return True
        # Linux would start a compiler to look further; where it has the library, loading it has just worked
        return sys.platform != "linux" and ctypes.util.find_library(name) is not None

    return is_here


def program(*names: str) -> Callable[[], bool]:
    """Whether one of these programs is on the path."""
    return lambda: any(shutil.which(name) for name in names)


def postgresql_is_here() -> bool:
    """Whether a server can be started; Debian keeps its programs off the path, by version."""
    return bool(shutil.which("initdb")) or any(Path("/usr/lib/postgresql").glob("*/bin/initdb"))


def font(family: str) -> Callable[[], bool]:
    """Whether a font file named for the family lies where the system keeps fonts."""
    folders = ["/usr/share/fonts", "/usr/local/share/fonts", "~/.local/share/fonts", "~/.fonts"]
    folders += ["/Library/Fonts", "~/Library/Fonts", "C:/Windows/Fonts"]

    def is_here() -> bool:
        return any(any(Path(folder).expanduser().rglob(f"{family}*.[ot]t[fc]")) for folder in folders)

    return is_here


def environments_can_be_made() -> bool:
    """Whether Python has what puts pip into a new environment; Debian keeps that apart."""
    importlib.invalidate_caches()  # it may have been installed a moment ago
    return importlib.util.find_spec("ensurepip") is not None


NO_PRINTING = "consult summaries can't be printed"
NO_BROWSER = "the pages can't be tried in a browser"
PDF_NEEDS = (
    Need(library("pangoft2-1.0"), "libpangoft2-1.0-0", "pango", "pango", NO_PRINTING),
    Need(library("harfbuzz-subset"), "libharfbuzz-subset0", "harfbuzz", "harfbuzz", NO_PRINTING),
)
RUN_NEEDS = (
    Need(
        environments_can_be_made,
        apt=f"python3.{sys.version_info.minor}-venv",
        dnf="python3-pip",
        brew="python",
        lost="the project's environment can't be made",
        stops=True,
    ),
    *PDF_NEEDS,
    Need(font("Inter"), "fonts-inter", "rsms-inter-fonts", "font-inter", "papers are set in another typeface"),
)
TEST_NEEDS = (
    Need(program("chromium", "chromium-browser"), "chromium", "chromium", "chromium", NO_BROWSER, stops=True),
    *(  # what drives the browser was built for Linux with this library, and ends in "Connection closed" without it
        (Need(library("atomic"), "libatomic1", "libatomic", "", NO_BROWSER, stops=True),)
        if sys.platform == "linux"
        else ()
    ),
    Need(program("pdftotext"), "poppler-utils", "poppler-utils", "poppler", "papers can't be read back", stops=True),
    Need(postgresql_is_here, "postgresql", "postgresql-server", "postgresql", "only SQLite can be tried"),
)


def provide(*, for_tests: bool) -> None:
    """Install what is missing where that is ours to do (root, with apt-get); otherwise say the one line to run.

    Goes on without what is only useful, having said what is lost; stops where nothing can be done without it.
    """
    needs = RUN_NEEDS + TEST_NEEDS if for_tests else RUN_NEEDS
    missing = [need for need in needs if not need.is_here()]
    if missing and is_root() and shutil.which("apt-get"):
        install([need.apt for need in missing])
        missing = [need for need in missing if not need.is_here()]
    if not missing:
        return
    lost = "; ".join(dict.fromkeys(need.lost for need in missing))
    say(f"Packages of the system are missing; without them {lost}.\nTo install them, run:  {line_to_run(missing)}")
    if any(need.stops for need in missing):
        sys.exit("Then start again.")


def is_root() -> bool:
    return sys.platform != "win32" and os.geteuid() == 0


def install(packages: Sequence[str]) -> None:
    """Fetch Debian's or Ubuntu's packages and say so; what apt-get has to tell is shown only when it fails."""
    say(f"Installing packages of the system with apt-get: {' '.join(packages)}.")
    path = f"{os.environ.get('PATH', os.defpath)}:/usr/sbin:/sbin"  # dpkg stops where these are left out
    variables = dict(os.environ, DEBIAN_FRONTEND="noninteractive", PATH=path)
    for step in (["update"], ["install", "--yes", "--no-install-recommends", *packages]):
        command = ["apt-get", "-qq", "-o", "Acquire::Retries=3", "-o", "Dpkg::Use-Pty=0", *step]
        with tempfile.TemporaryFile("w+") as told:  # not a pipe, which a service started by a package would keep open
            nothing = subprocess.DEVNULL
            if subprocess.call(command, env=variables, stdin=nothing, stdout=told, stderr=subprocess.STDOUT) != 0:
                told.seek(0)
                say(told.read())


def line_to_run(missing: Sequence[Need]) -> str:
    """The command of this machine's package manager for what is missing."""
    sudo = "" if is_root() else "sudo "
    if shutil.which("apt-get"):
        return f"{sudo}apt-get update && {sudo}apt-get install -y {' '.join(need.apt for need in missing)}"
    if shutil.which("dnf"):
        return f"{sudo}dnf install -y {' '.join(need.dnf for need in missing)}"
    if shutil.which("brew"):
        return f"brew install {' '.join(need.brew for need in missing if need.brew)}"
    return f"your package manager, for what Debian calls {' '.join(need.apt for need in missing)}"


def say(sentence: str) -> None:
    print(sentence, file=sys.stderr, flush=True)  # standard output belongs to the command
