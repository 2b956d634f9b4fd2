"""Where pictures lie and how one is handed out: three files a picture, in the private storage "photos".

Their names can't be guessed or counted, they lie outside the static tree, and no address leads to them but a view that
has asked who is looking and answers with `picture_response`. Making the files' contents is `salon.common.pictures`'
work; whose picture it is, and who may see it, is for the app that owns the row.
"""

from __future__ import annotations

import logging
import secrets
import uuid
from collections.abc import Iterator
from contextlib import contextmanager
from functools import partial
from typing import TYPE_CHECKING

from django.core.files.base import ContentFile
from django.core.files.storage import FileSystemStorage, Storage, storages
from django.db import models, transaction
from django.db.models.fields.files import FieldFile
from django.http import FileResponse, Http404, HttpResponse, HttpResponseRedirect

if TYPE_CHECKING:
    from salon.common.pictures import Renditions

SIZES = ("full", "page", "thumb")
CACHING = "private, no-store"

logger = logging.getLogger(__name__)


def photo_storage() -> Storage:
    """The storage the settings name "photos"; asked by the fields, so that no migration holds a folder or a key."""
    return storages["photos"]


def unguessable_name(picture: models.Model, filename: str) -> str:
    """A name that tells nothing of the client, the angle, the other sizes or the file that was sent.

    192 random bits; its first two letters are the folder, so that no folder grows without end.
    """
    token = secrets.token_urlsafe(24)
    return f"{token[:2]}/{token}.jpg"


class StoredPicture(models.Model):
    """A picture kept as files in three sizes; the fields are empty once the files have been taken away."""

    full = models.FileField(storage=photo_storage, upload_to=unguessable_name, blank=True, editable=False)
    page = models.FileField(storage=photo_storage, upload_to=unguessable_name, blank=True, editable=False)
    thumb = models.FileField(storage=photo_storage, upload_to=unguessable_name, blank=True, editable=False)
    width = models.PositiveSmallIntegerField("width of the full size, pixels", editable=False)
    height = models.PositiveSmallIntegerField("height of the full size, pixels", editable=False)
    upload_key = models.UUIDField(
        unique=True,
        editable=False,
        default=uuid.uuid4,
        help_text="Made by the page that sends the picture, so that sending it twice keeps it once.",
        error_messages={"unique": "This picture has been taken in already."},
    )

    class Meta:
        abstract = True

    @contextmanager
    def keeping(self, renditions: Renditions) -> Iterator[None]:
        """Write the files, then run the block in a transaction; whatever it raises, the files go again.

            photo = Photo(photo_set=photo_set, angle=angle, …)
            with photo.keeping(renditions):
                photo.full_clean()
                photo.save()

        The files come before the transaction, so that nobody waits for the database while they are written, and their
        undoing comes after it, so that a commit that fails takes them away too. Let it be the outermost transaction:
        one around it that fails later leaves the files behind, unnamed by any row.
        """
        self.width, self.height = renditions.width, renditions.height
        try:
            for size in SIZES:
                self._write(size, getattr(renditions, size))
            with transaction.atomic():
                yield
        except BaseException:
            for storage, name in self._take_names_off():
                _delete(storage, name)
            raise

    def discard_files(self) -> None:
        """Empty the file fields now, for the caller to save, and delete the files once that is committed.

        To be called in the transaction that saves the row. A file that can't be deleted then is named in the log, for
        whoever looks after the storage; the others go all the same.
        """
        for storage, name in self._take_names_off():
            transaction.on_commit(partial(_delete, storage, name))

    def _write(self, size: str, content: bytes) -> None:
        file: FieldFile = getattr(self, size)
        name = file.field.generate_filename(self, "")
        setattr(self, size, name)  # noted first: a disk that fills up leaves half a file under this name
        setattr(self, size, file.storage.save(name, ContentFile(content)))

    def _take_names_off(self) -> list[tuple[Storage, str]]:
        files = [file for size in SIZES if (file := getattr(self, size))]
        named = [(file.storage, file.name) for file in files]
        for size in SIZES:
            setattr(self, size, "")
        return named


def _delete(storage: Storage, name: str) -> None:
    try:
        storage.delete(name)
    except Exception:  # by then the row no longer names it: without this line nobody could find the file again
        logger.exception("The picture %s could not be deleted from the photo storage; delete it by hand.", name)


def picture_response(file: FieldFile) -> FileResponse | HttpResponse:
    """One file of a picture, for somebody who may see it: its bytes, or the way to a signed address that ends soon.

    Nothing on the way may keep a copy, and the name it is stored under stays here. Http404 when the file is gone.
    """
    if not file.name:
        raise Http404("This picture has been taken away.")
    response: FileResponse | HttpResponse
    if isinstance(file.storage, FileSystemStorage):
        try:
            response = FileResponse(file.storage.open(file.name), content_type="image/jpeg")
        except FileNotFoundError as missing:
            raise Http404("The file of this picture is missing.") from missing
        response.headers["Content-Disposition"] = "inline"  # in place of the stored name, which FileResponse would tell
    else:
        response = HttpResponseRedirect(file.storage.url(file.name))
    response.headers["Cache-Control"] = CACHING
    response.headers["X-Content-Type-Options"] = "nosniff"
    response.headers["Cross-Origin-Resource-Policy"] = "same-origin"
    return response
