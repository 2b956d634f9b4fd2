"""Rule files: each way to misspell one is refused by a sentence that says where, what, and what is known.

The files in broken/ hold one mistake each; their first line is the sentence, with … for what is left out of it.
"""

import shutil
import tomllib
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from fittings.rules.engine import RuleFileError, load_rules

BROKEN = sorted((Path(__file__).parent / "broken").glob("*.toml"))
OURS = Path(load_rules.__code__.co_filename).parent


def folder_with(tmp_path, *files):
    for file in files:
        shutil.copy(file, tmp_path)
    return tmp_path


def test_there_are_broken_files():
    assert len(BROKEN) > 40


@pytest.mark.parametrize("file", BROKEN, ids=lambda file: file.stem)
def test_a_misspelt_file_is_refused_by_its_sentence(file, tmp_path):
    expected = file.read_text(encoding="utf-8").splitlines()[0].removeprefix("# ")
    with pytest.raises(RuleFileError) as refusal:
        load_rules(folder_with(tmp_path, file))
    said, place = str(refusal.value), 0
    parts = expected.split("…")
    assert said.startswith(parts[0])
    for part in parts:
        place = said.index(part, place) + len(part)
    assert expected.endswith("…") or said.endswith(parts[-1])


def test_two_files_may_not_hold_the_same_entry(tmp_path):
    folder = folder_with(tmp_path, OURS / "heat.toml")
    shutil.copy(OURS / "heat.toml", folder / "hot.toml")
    with pytest.raises(
        RuleFileError, match=r"hot.toml, rule 'heat-standard': heat.toml already has an entry since 2024"
    ):
        load_rules(folder)


def test_a_folder_without_rule_files_is_refused(tmp_path):
    with pytest.raises(RuleFileError, match=r"there is no rule file \(\*.toml\) in the folder"):
        load_rules(tmp_path)


def test_a_file_that_is_no_text_is_refused(tmp_path):
    (tmp_path / "odd.toml").write_bytes(b"\xff\xfe\x00")
    with pytest.raises(RuleFileError, match=r"odd.toml is not TOML"):
        load_rules(tmp_path)


ENTRY = tomllib.loads((OURS / "heat.toml").read_text(encoding="utf-8"))["rule"][2]
values = st.recursive(
    st.none()
    | st.booleans()
    | st.integers()
    | st.floats()
    | st.text(max_size=8)
    | st.sampled_from(["house:", "fact:tool_c"]),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=4), inner, max_size=2),
    max_leaves=8,
)


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture])  # one patched reader serves every example
@given(key=st.sampled_from([*ENTRY, "any", "ask"]), value=values, place=st.integers(0, 3))
def test_whatever_stands_in_a_rule_it_is_read_or_refused_in_words(key, value, place, tmp_path, monkeypatch):
    entry = dict(ENTRY)
    if key == "when" and place < 3:
        entry["when"] = [[*ENTRY["when"][0][:place], value, *ENTRY["when"][0][place + 1 :]]]
    else:
        entry[key] = value
    (tmp_path / "some.toml").touch()
    monkeypatch.setattr("fittings.rules.rule_files.tomllib.loads", lambda text: {"rule": [entry]})
    refused = ""
    try:
        load_rules(tmp_path)
    except RuleFileError as refusal:
        refused = str(refusal)
    assert refused == "" or refused.startswith("some.toml, rule ")
