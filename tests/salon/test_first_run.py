"""The first start on a bare machine, tried for real: the start-up files, a stand-in for Django, no network."""

import ast
import json
import os
import shutil
import subprocess
import sys
import zipfile
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
BARE_PYTHON = Path(sys.base_prefix) / (
    "python.exe" if sys.platform == "win32" else f"bin/python3.{sys.version_info.minor}"
)
START_UP_FILES = ["manage.py", "salon/__init__.py", "salon/first_run.py", "salon/system_packages.py"]

# what the stand-in for Django does with the command: say in which Python, under which number, with which arguments
COMMAND = """
import json, os, sys
def execute_from_command_line(arguments):
    print(json.dumps({"prefix": sys.prefix, "pid": os.getpid(), "arguments": arguments, "path": os.environ["PATH"]}))
    sys.exit(3 if "--fail" in arguments else 0)
"""


def write_wheel(folder, name, modules):
    """A wheel of plain files is a zip with three lines about itself."""
    with zipfile.ZipFile(folder / f"{name}-1-py3-none-any.whl", "w") as wheel:
        for path, text in modules.items():
            wheel.writestr(path, text)
        about = f"{name}-1.dist-info/"
        wheel.writestr(about + "METADATA", f"Metadata-Version: 2.1\nName: {name}\nVersion: 1\n")
        wheel.writestr(
            about + "WHEEL", "Wheel-Version: 1.0\nGenerator: tests\nRoot-Is-Purelib: true\nTag: py3-none-any\n"
        )
        wheel.writestr(about + "RECORD", "")


class Project:
    """A checkout in a folder with a space in its name, started by a Python outside every environment."""

    def __init__(self, folder):
        self.folder = folder
        self.environment = folder / ".venv"

    def start(self, *arguments, python=BARE_PYTHON, programs=("chromium", "pdftotext", "initdb")):
        """Begin `manage.py` with only these programs on the path, and no index to ask for packages."""
        tools = self.folder / "tools"
        shutil.rmtree(tools, ignore_errors=True)
        tools.mkdir()
        for name in programs:
            (tools / name).write_text("")
            (tools / name).chmod(0o755)
        kept = {
            name: value for name, value in os.environ.items() if not name.startswith(("PYTHON", "PIP_", "VIRTUAL_ENV"))
        }
        return subprocess.Popen(
            [str(python), "manage.py", *arguments],
            cwd=self.folder,
            env=kept | {"PATH": str(tools), "PIP_NO_INDEX": "1"},
            stdin=subprocess.DEVNULL,
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
            text=True,
        )

    def run(self, *arguments, **how):
        """What the command said of itself (None if not reached), what was said on the way, how it ended."""
        process = self.start(*arguments, **how)
        out, said = process.communicate(timeout=120)
        return (json.loads(out) if out else None), said, process.returncode

    def requires(self, *wheels):
        (self.folder / "requirements.txt").write_text("".join(f"./{name}-1-py3-none-any.whl\n" for name in wheels))


@pytest.fixture(scope="module")
def made(tmp_path_factory):
    """One project whose environment is made; `project` hands out copies of it."""
    project = Project(tmp_path_factory.mktemp("first run") / "a salon")
    for file in START_UP_FILES:
        (project.folder / file).parent.mkdir(parents=True, exist_ok=True)
        shutil.copy(ROOT / file, project.folder / file)
    write_wheel(project.folder, "django", {"django/__init__.py": "", "django/core/management.py": COMMAND})
    write_wheel(project.folder, "extra", {"extra.py": ""})
    write_wheel(project.folder, "tools", {"tools.py": ""})
    project.requires("django")
    (project.folder / "tests").mkdir()
    (project.folder / "tests/requirements.txt").write_text("-r ../requirements.txt\n./tools-1-py3-none-any.whl\n")
    if subprocess.call([str(BARE_PYTHON), "-c", "import django"], stderr=subprocess.DEVNULL) == 0:
        pytest.skip("Python outside the environment has Django, so nothing would be made")
    project.first = project.run("check", "--name", "Ann Lee")
    return project


@pytest.fixture
def project(made, tmp_path):
    shutil.copytree(made.folder, tmp_path / "a salon", symlinks=True)
    return Project(tmp_path / "a salon")


def has(project, module):
    python = project.environment / "bin/python"
    return subprocess.call([str(python), "-c", f"import {module}"], stderr=subprocess.DEVNULL) == 0


@pytest.mark.slow
def test_the_first_start_makes_the_environment_and_goes_on_in_it(made):
    command, said, code = made.first
    assert code == 0
    assert command["arguments"] == ["manage.py", "check", "--name", "Ann Lee"]
    assert command["prefix"] == str(made.environment)
    assert command["path"].startswith(str(made.environment / "bin"))
    assert "Making the project's environment in .venv." in said
    assert "Installing the packages of requirements.txt into .venv" in said


@pytest.mark.slow
def test_the_next_start_says_nothing_and_keeps_the_process_and_its_result(project):
    process = project.start("check", "--fail")
    out, said = process.communicate(timeout=60)
    assert said == ""
    assert json.loads(out)["pid"] == process.pid
    assert process.returncode == 3


@pytest.mark.slow
def test_a_changed_requirements_file_is_installed_again(project):
    project.requires("django", "extra")
    command, said, code = project.run("check")
    assert (command["prefix"], code) == (str(project.environment), 0)
    assert "Installing the packages of requirements.txt" in said
    assert "Making" not in said
    assert has(project, "extra")


@pytest.mark.slow
def test_an_installation_that_stopped_halfway_says_so_and_is_done_anew(project):
    project.requires("django", "lost")
    command, said, code = project.run("check")
    assert (command, code) == (None, 1)
    assert "The packages could not be installed: see above. When that is mended, start again." in said
    project.requires("django")  # the very file of the first start, whose stamp is not to be believed any more
    command, said, code = project.run("check")
    assert code == 0
    assert "Making the project's environment" in said
    assert project.run("check")[1] == ""


@pytest.mark.slow
@pytest.mark.parametrize("broken", ["bin/python", "lib"])
def test_a_broken_environment_is_made_again(project, broken):
    path = project.environment / broken
    shutil.rmtree(path) if path.is_dir() else path.unlink()
    command, said, code = project.run("check")
    assert (command["prefix"], code) == (str(project.environment), 0)
    assert "Making the project's environment" in said


@pytest.mark.slow
def test_of_two_first_starts_at_once_one_sets_up_and_the_other_waits(project):
    shutil.rmtree(project.environment)
    both = [project.start("check"), project.start("check")]
    ends = [(*process.communicate(timeout=120), process.returncode) for process in both]
    assert [code for *_, code in ends] == [0, 0]
    assert sum("Installing the packages" in said for _, said, _ in ends) == 1
    assert sum("Another start is setting the project up" in said for _, said, _ in ends) == 1


@pytest.mark.slow
def test_the_test_command_also_installs_the_test_tools(project):
    assert not has(project, "tools")
    command, said, code = project.run("test", "-k", "tapes or map")
    assert (command["arguments"], code) == (["manage.py", "test", "-k", "tapes or map"], 0)
    assert "Installing the packages of tests/requirements.txt" in said
    assert has(project, "tools")
    assert project.run("test")[1] == project.run("check")[1] == ""


@pytest.mark.slow
def test_what_was_installed_for_tests_is_not_believed_after_a_change_and_back(project):
    project.run("test")
    project.requires("django", "extra")
    project.run("check")
    project.requires("django")
    assert "Installing the packages of tests/requirements.txt" in project.run("test")[1]


@pytest.mark.slow
def test_the_test_command_stops_without_a_browser_and_names_it(project):
    command, said, code = project.run("test", programs=["pdftotext", "initdb"])
    assert (command, code) == (None, 1)
    assert "Packages of the system are missing; without them the pages can't be tried in a browser." in said
    assert "chromium" in said
    assert "Then start again." in said


@pytest.mark.slow
def test_inside_an_environment_nothing_is_made(project):
    shutil.rmtree(project.environment)
    other = project.folder.parent / "other"
    subprocess.run([str(BARE_PYTHON), "-m", "venv", "--without-pip", str(other)], check=True)
    command, said, code = project.run("check", python=other / "bin/python")
    assert (command, code) == (None, 1)
    assert "Django can't be imported in this environment." in said
    assert not project.environment.exists()


@pytest.mark.parametrize("file", ["manage.py", "salon/first_run.py"])
def test_an_old_python_can_read_the_file_as_far_as_the_sentence_about_its_version(file):
    ast.parse((ROOT / file).read_text(), feature_version=(3, 5))
