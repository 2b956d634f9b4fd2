"""One look at a maker's file: which columns it has, what they are said to mean, and what its lines would then do."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from django.http import QueryDict
from django.utils.timezone import now

from pieces.catalogue.columns_kept import columns_of, guessed, keep_columns, those_there
from pieces.catalogue.kinds import Kind
from pieces.catalogue.maker_file import as_makers_write, take_in_maker_file
from pieces.catalogue.maker_sheets import MakersColumn, columns_in
from pieces.catalogue.report import CatalogueReport
from pieces.maker_files.file_form import MakerFileForm, fingerprint, mark_of_columns
from pieces.maker_files.meaning_form import MeaningForm, WordsOfColumn, as_posted
from salon.common.text_files import FileRefused
from salon.models import User


@dataclass(slots=True)
class Looked:
    """What there is to see. `asked_of`: of which columns the meaning was asked; `checked`: what was looked at.

    `gone`: columns that were remembered and are not in this file. `is_remembered`: the meaning is the last time's.
    """

    refused: FileRefused | None = None
    meaning: MeaningForm | None = None
    asked_of: str = ""
    gone: Sequence[str] = ()
    is_remembered: bool = False
    can_be_kept: bool = False
    was_kept: bool = False
    report: CatalogueReport | None = None
    words: Sequence[WordsOfColumn] = ()
    checked: str = ""
    changed_meanwhile: bool = False


def look_at(form: MakerFileForm, posted: QueryDict, *, by: User) -> Looked:
    """Look at a valid form's file, and take it in or keep what its columns mean when that is asked."""
    looked = Looked()
    content, kind = form.content(), as_makers_write(form.chosen_kind, form.maker_name)
    try:
        columns = columns_in(content)
    except FileRefused as refusal:
        looked.refused = refusal
        return looked
    _ask(looked, form, kind, columns, posted)
    if looked.meaning is None or not looked.meaning.is_valid():
        return looked
    meaning = looked.meaning.meaning()
    looked.checked = fingerprint(form.maker_name, kind.name, content, meaning)
    wanted = "take" in posted
    is_same = posted.get("checked", "") == looked.checked
    looked.changed_meanwhile = wanted and not is_same
    moment = now()
    looked.report, sheet = take_in_maker_file(
        maker=form.maker_name,
        kind=kind,
        content=content,
        meaning=meaning,
        dry_run=not (wanted and is_same),
        by=by,
        at=moment,
    )
    looked.words = looked.meaning.words_asked(sheet.strange)
    if "keep" in posted and form.known_maker:
        keep_columns(maker=form.known_maker, kind=kind, meaning=meaning, by=by, at=moment)
        looked.was_kept = True
    return looked


def _ask(looked: Looked, form: MakerFileForm, kind: Kind, columns: Sequence[MakersColumn], posted: QueryDict) -> None:
    """Ask what the columns mean: as posted for these columns, else as remembered, else as guessed."""
    maker = form.known_maker
    kept = columns_of(maker, kind) if maker else None
    start, looked.gone = those_there(kept, columns) if kept else (guessed(kind, columns), [])
    looked.can_be_kept = maker is not None
    looked.asked_of = mark_of_columns(form.maker_name, kind.name, columns)
    data = posted if posted.get("asked_of") == looked.asked_of else None
    if data is None and kept:
        looked.is_remembered, data = True, as_posted(start)
    looked.meaning = MeaningForm(data, kind=kind, columns=columns, start=start)
