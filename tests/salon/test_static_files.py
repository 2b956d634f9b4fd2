"""Hashed static files: every import between our own modules finds the file under the name a browser may keep."""

import re
from pathlib import Path

import pytest
from django.contrib.staticfiles.storage import staticfiles_storage
from django.core.management import call_command

IMPORT = re.compile(r"""(?:from|import)\s*\(?\s*["'](\.\.?/[^"']+)["']""")
HASHED = re.compile(r"\.[0-9a-f]{12}\.js$")


@pytest.fixture
def collected(settings, tmp_path):
    """Collects into the test's folder: what the project and its libraries bring, or only what another folder holds."""

    def collect(source=None):
        if source:
            settings.STATICFILES_DIRS = [source]
            settings.STATICFILES_FINDERS = ["django.contrib.staticfiles.finders.FileSystemFinder"]
        settings.STATIC_ROOT = tmp_path / "collected"
        settings.STORAGES = settings.STORAGES | {"staticfiles": {"BACKEND": "salon.static_files.HashedStaticFiles"}}
        call_command("collectstatic", interactive=False, verbosity=0)
        return settings.STATIC_ROOT

    return collect


def write(folder, files):
    for path, text in files.items():
        (folder / path).parent.mkdir(parents=True, exist_ok=True)
        (folder / path).write_text(text)


def imports_of(name):
    return IMPORT.findall((Path(staticfiles_storage.location) / staticfiles_storage.stored_name(name)).read_text())


@pytest.mark.parametrize(
    "line",
    [
        'import { grid } from "./parts/grid.js";',
        "import { grid } from './parts/grid.js'",
        'import {\n  grid,\n  cells,\n} from "./parts/grid.js";',
        'import * as grid from "./parts/grid.js";',
        'import "./parts/grid.js";',
        'export { grid } from "./parts/grid.js";',
        'const { grid } = await import("./parts/grid.js");',
    ],
)
def test_an_import_names_the_hashed_file(collected, tmp_path, line):
    write(tmp_path / "ours", {"js/turning-head.js": line, "js/parts/grid.js": "export const grid = 64, cells = [];\n"})
    collected(tmp_path / "ours")
    assert imports_of("js/turning-head.js") == [
        f"./{Path(staticfiles_storage.stored_name('js/parts/grid.js')).relative_to('js')}"
    ]
    assert HASHED.search(imports_of("js/turning-head.js")[0])


def test_a_change_deep_down_renames_every_module_above_it(collected, tmp_path):
    modules = {"js/a.js": 'import "./b.js";', "js/b.js": 'import "../js/c.js";', "js/c.js": "export const one = 1;"}
    write(tmp_path / "ours", modules)
    collected(tmp_path / "ours")
    before = [staticfiles_storage.stored_name(name) for name in modules]
    write(tmp_path / "ours", {"js/c.js": "export const one = 2;"})
    collected(tmp_path / "ours")
    after = [staticfiles_storage.stored_name(name) for name in modules]
    assert all(old != new for old, new in zip(before, after, strict=True))


def test_other_files_and_packages_are_left_as_they_are(collected, tmp_path):
    other = 'import Dot from "./not-brought-along.js"; import "https://example.org/x.js"; import $ from "named";'
    named = 'import "https://example.org/x.js"; import $ from "named";'
    write(tmp_path / "ours", {"library/x.js": other, "js/y.js": named})
    root = collected(tmp_path / "ours")
    assert (root / staticfiles_storage.stored_name("library/x.js")).read_text() == other
    assert (root / staticfiles_storage.stored_name("js/y.js")).read_text() == named


def test_a_missing_module_stops_the_collection_and_is_named(collected, tmp_path):
    write(tmp_path / "ours", {"js/a.js": 'import "./lost.js";'})
    with pytest.raises(
        ValueError, match=r"The JS file 'js/a\.js' references a file which could not be found:\s+js/lost\.js"
    ):
        collected(tmp_path / "ours")


def test_the_projects_own_files_are_collected_whole(collected):
    root = collected()
    hashed = [path for path in root.glob("js/**/*.js") if HASHED.search(path.name)]
    assert hashed
    for path in hashed:
        for imported in IMPORT.findall(path.read_text()):
            assert HASHED.search(imported), f"{path.name} imports {imported}"
            assert (path.parent / imported).is_file()
