"""Makes the project's own environment on a machine that has only Python, then goes on in it with the same arguments.

It acts when no virtual environment is active and Django can't be imported; everywhere else it keeps its hands off.
`.venv` holds a stamp for each set of requirement files that was installed, the hash of those files, so that a changed
file is installed again; and, while an installation runs, a mark by which one that stopped halfway is known.

Standard library only, and no syntax newer than Python 3.5's (no f-strings, no annotated variables): an old Python is
to meet the sentence below, not a syntax error.
"""

import sys

if sys.version_info < (3, 11):
    sys.exit(
        "This project needs Python 3.11 or newer; this is Python %d.%d. "
        "Where a newer one is installed, start it by its name, for example: python3.11 manage.py" % sys.version_info[:2]
    )

import contextlib
import hashlib
import importlib.util
import os
import signal
import subprocess
import time
from collections.abc import Iterator
from pathlib import Path

from salon.system_packages import provide, say

ROOT = Path(__file__).resolve().parent.parent
ENVIRONMENT = ROOT / ".venv"
PYTHON = ENVIRONMENT / ("Scripts/python.exe" if sys.platform == "win32" else "bin/python")
UNFINISHED = ENVIRONMENT / "installation-not-finished"
FOR_RUNNING = ["requirements.txt"]
FOR_TESTS = ["requirements.txt", "tests/requirements.txt"]  # the second includes the first


def prepare(arguments: "list[str]") -> None:
    """Return where Django can run or another environment is active; else go on in `.venv`, made if need be."""
    if sys.prefix != sys.base_prefix or importlib.util.find_spec("django"):
        return
    files = FOR_TESTS if arguments[1:2] == ["test"] else FOR_RUNNING
    if not is_ready(files):
        with only_one_at_a_time():
            if not is_ready(files):  # another start may have made it while this one waited
                make_ready(files)
    go_on()


def is_ready(files: "list[str]") -> bool:
    """Whether `.venv` holds what these requirement files say now, and still starts."""
    stamp = stamp_of(files)
    unchanged = stamp.is_file() and stamp.read_text() == fingerprint(files)
    return unchanged and not UNFINISHED.exists() and starts("import django")


def stamp_of(files: "list[str]") -> Path:
    return ENVIRONMENT / ("installed-for-tests" if files == FOR_TESTS else "installed-for-running")


def fingerprint(files: "list[str]") -> str:
    return hashlib.sha256(b"\0".join((ROOT / file).read_bytes() for file in files)).hexdigest()


def starts(code: str) -> bool:
    """Whether the environment's Python runs this: not when files were lost or the Python it was made from went away."""
    try:
        return subprocess.call([str(PYTHON), "-I", "-c", code], stderr=subprocess.DEVNULL) == 0
    except OSError:
        return False


@contextlib.contextmanager
def only_one_at_a_time() -> "Iterator[None]":
    """Hold this checkout's lock; a second first start waits here until the first is through."""
    lock_file = ROOT / ".local" / "first-run.lock"
    try:
        lock_file.parent.mkdir(exist_ok=True)
        lock = lock_file.open("w")
    except OSError as error:
        sys.exit("The project sets itself up inside its own folder, and that can't be written to: %s" % error)
    with lock:  # closing it, or the end of this process, lets go
        if not locked(lock.fileno()):
            say("Another start is setting the project up; waiting for it.")
            while not locked(lock.fileno()):
                time.sleep(0.2)
        yield


def locked(descriptor: int) -> bool:
    """Take the lock if it is free."""
    try:
        if sys.platform == "win32":
            import msvcrt

            msvcrt.locking(descriptor, msvcrt.LK_NBLCK, 1)
        else:
            import fcntl

            fcntl.flock(descriptor, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except OSError:
        return False
    return True


def make_ready(files: "list[str]") -> None:
    """See to the system's packages, make `.venv` unless one works, install, and stamp what is installed."""
    provide(for_tests=files == FOR_TESTS)
    if UNFINISHED.exists() or not starts("import pip, sys; sys.exit(sys.version_info < (3, 11))"):
        say("Making the project's environment in .venv.")
        run([sys.executable, "-m", "venv", "--clear", str(ENVIRONMENT)], "The environment could not be made")
    UNFINISHED.touch()
    say("Installing the packages of %s into .venv; the first time this takes a minute or two." % files[-1])
    pip = [str(PYTHON), "-m", "pip", "--disable-pip-version-check", "--no-input", "install", "--quiet"]
    run([*pip, "-r", files[-1]], "The packages could not be installed")
    stamp_of(FOR_TESTS).unlink(missing_ok=True)  # an older one would be believed again if its files came back
    for installed in (FOR_RUNNING, files):
        stamp_of(installed).write_text(fingerprint(installed))
    UNFINISHED.unlink()


def run(command: "list[str]", failure: str) -> None:
    """Run it in the project's folder with its own words shown; stop when it fails or is stopped."""
    try:
        code = subprocess.call(command, cwd=str(ROOT), stdout=sys.stderr)
    except KeyboardInterrupt:
        sys.exit("Stopped. The next start does again what was half done.")
    if code != 0:
        sys.exit("%s: see above. When that is mended, start again." % failure)


def go_on() -> None:
    """Become the same command in the environment's Python, with what activating it would set."""
    command = [str(PYTHON), *sys.orig_argv[1:]]
    variables = dict(os.environ, VIRTUAL_ENV=str(ENVIRONMENT))
    variables["PATH"] = os.pathsep.join([str(PYTHON.parent), os.environ.get("PATH", os.defpath)])
    variables.pop("PYTHONHOME", None)  # it would lead the environment's Python back to the system's library
    if sys.platform == "win32":  # there, exec starts a second process and hands the terminal back at once
        signal.signal(signal.SIGINT, signal.SIG_IGN)  # Ctrl-C is the command's to answer
        sys.exit(subprocess.call(command, env=variables))
    os.execve(command[0], command, variables)
