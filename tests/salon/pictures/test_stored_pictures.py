"""Pictures as files: kept whole or not at all, under names that tell nothing, handed out without leaving a copy.

`RingPhoto` stands for every kind of stored picture: it has the fewest fields of its own.
"""

import stat
import uuid
from contextlib import closing
from pathlib import Path

import pytest
from django.core.exceptions import ValidationError
from django.core.files.storage import FileSystemStorage
from django.db import IntegrityError, transaction
from django.http import Http404
from django.utils.timezone import now

from pieces.models import RingPhoto
from salon.common.stored_pictures import SIZES, picture_response
from tests.factories import StylistFactory
from tests.salon.pictures.sent import scene, taken, written

pytestmark = pytest.mark.django_db


@pytest.fixture(scope="module")
def renditions():
    return taken(written(scene(480, 320), "JPEG"))


@pytest.fixture
def folder(settings):
    """Where this test's pictures lie, apart from every other test's."""
    return settings.MEDIA_ROOT


def files(folder):
    return sorted(path for path in folder.rglob("*") if path.is_file())


def new_picture(**how):
    return RingPhoto(**({"taken_at": now(), "taken_by": StylistFactory()} | how))


def kept(renditions, **how):
    picture = new_picture(**how)
    with picture.keeping(renditions):
        picture.full_clean()
        picture.save()
    return picture


# Keeping


def test_the_three_sizes_lie_in_the_folder_as_they_were_made(renditions, folder):
    picture = RingPhoto.objects.get(pk=kept(renditions).pk)
    assert (picture.width, picture.height) == (480, 320)
    for size in SIZES:
        assert (folder / getattr(picture, size).name).read_bytes() == getattr(renditions, size)
    assert len(files(folder)) == 3


def test_nobody_else_on_the_machine_can_read_them(renditions, folder):
    kept(renditions)
    assert {stat.S_IMODE(path.stat().st_mode) for path in files(folder)} == {0o600}
    assert {stat.S_IMODE(path.stat().st_mode) for path in [folder, *folder.iterdir()]} == {0o700}


def test_names_are_long_chance_and_tell_nothing_of_each_other(renditions):
    pictures = [kept(renditions) for _ in range(8)]
    names = [Path(getattr(picture, size).name) for picture in pictures for size in SIZES]
    assert len({name.stem[:8] for name in names}) == len(names)
    for name in names:
        assert name.suffix == ".jpg"
        assert len(name.stem) == 32  # 24 bytes of chance
        assert str(name.parent) == name.stem[:2]


class BreaksError(Exception):
    """Something went wrong in the block."""


def test_when_the_block_fails_no_file_stays(renditions, folder):
    picture = new_picture()

    def fail_halfway():
        with picture.keeping(renditions):
            assert len(files(folder)) == 3
            picture.save()
            raise BreaksError

    with pytest.raises(BreaksError):
        fail_halfway()
    assert files(folder) == []
    assert not any(getattr(picture, size) for size in SIZES)
    assert not RingPhoto.objects.exists()


def test_the_same_upload_twice_keeps_one_picture_and_its_files_alone(renditions, folder):
    key = uuid.uuid4()
    first = kept(renditions, upload_key=key)
    before = files(folder)
    with pytest.raises(ValidationError) as refusal:
        kept(renditions, upload_key=key)
    assert refusal.value.message_dict == {"upload_key": ["This picture has been taken in already."]}
    assert files(folder) == before
    assert RingPhoto.objects.get() == first


@pytest.mark.django_db(transaction=True)
def test_when_the_commit_itself_fails_no_file_stays(renditions, folder):
    """A foreign key is looked at when the transaction ends: after the block, yet before the files are let be."""
    picture = new_picture(taken_by_id=None)
    picture.taken_by_id = 987_654
    with pytest.raises(IntegrityError), picture.keeping(renditions):
        picture.save()
    assert files(folder) == []


@pytest.mark.parametrize("failing", [1, 2, 3])
def test_when_the_disk_is_full_not_even_half_a_file_stays(renditions, folder, failing, monkeypatch):
    whole, written_so_far = FileSystemStorage._save, []

    def full_disk(storage, name, content):
        written_so_far.append(name)
        if len(written_so_far) < failing:
            return whole(storage, name, content)
        half = Path(storage.path(name))
        half.parent.mkdir(parents=True, exist_ok=True)
        half.write_bytes(content.read(10))
        raise OSError("No space left on device")

    monkeypatch.setattr(FileSystemStorage, "_save", full_disk)
    with pytest.raises(OSError, match="No space left"):
        kept(renditions)
    assert len(written_so_far) == failing
    assert files(folder) == []


# Discarding


def discarded(picture):
    with transaction.atomic():
        picture.discard_files()
        RingPhoto.objects.filter(pk=picture.pk).update(**{size: getattr(picture, size) for size in SIZES})


def test_files_go_once_it_is_committed_and_not_before(renditions, folder, django_capture_on_commit_callbacks):
    picture = kept(renditions)
    with django_capture_on_commit_callbacks(execute=True):
        discarded(picture)
        assert len(files(folder)) == 3
    assert files(folder) == []
    assert [getattr(RingPhoto.objects.get(), size).name for size in SIZES] == ["", "", ""]


@pytest.mark.django_db(transaction=True)
def test_files_stay_when_the_transaction_fails(renditions, folder):
    picture = kept(renditions)

    def fail_afterwards():
        with transaction.atomic():
            discarded(picture)
            raise BreaksError

    with pytest.raises(BreaksError):
        fail_afterwards()
    assert len(files(folder)) == 3
    assert (folder / RingPhoto.objects.get().full.name).exists()


@pytest.mark.django_db(transaction=True)
def test_a_file_that_cannot_be_deleted_is_named_in_the_log_and_the_others_go(renditions, folder, monkeypatch, caplog):
    picture = kept(renditions)
    stuck, delete = picture.full.name, FileSystemStorage.delete

    def refuse_one(storage, name):
        if name == stuck:
            raise PermissionError("read-only")
        delete(storage, name)

    monkeypatch.setattr(FileSystemStorage, "delete", refuse_one)
    discarded(picture)
    assert files(folder) == [folder / stuck]
    assert f"The picture {stuck} could not be deleted" in caplog.text


# Handing out


def test_a_picture_is_handed_out_without_leaving_a_copy_or_its_name(renditions):
    picture = kept(renditions)
    for size in SIZES:
        with closing(picture_response(getattr(picture, size))) as response:
            sent = response.getvalue()
        assert sent == getattr(renditions, size)
        assert dict(response.headers) == {
            "Content-Type": "image/jpeg",
            "Content-Length": str(len(getattr(renditions, size))),
            "Content-Disposition": "inline",
            "Cache-Control": "private, no-store",
            "X-Content-Type-Options": "nosniff",
            "Cross-Origin-Resource-Policy": "same-origin",
        }


def test_a_picture_that_was_taken_away_or_lost_is_no_page(renditions, folder):
    picture = kept(renditions)
    files(folder)[0].unlink()
    lost = [getattr(picture, size) for size in SIZES if not (folder / getattr(picture, size).name).exists()]
    with pytest.raises(Http404, match=r"^The file of this picture is missing\.$"):
        picture_response(lost[0])
    with pytest.raises(Http404, match=r"^This picture has been taken away\.$"):
        picture_response(new_picture().full)


@pytest.mark.parametrize("prefix", ["/", "/media/", "/static/", "/photos/", "/static/../", "/static/..%2f"])
def test_no_address_leads_to_a_file_by_its_name(renditions, client, prefix):
    client.force_login(StylistFactory())
    name = kept(renditions).full.name
    assert client.get(prefix + name).status_code == 404
