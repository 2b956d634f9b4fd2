"""Photos in a bucket: a picture is handed out by an address that is signed, for one file, for one minute.

Tried against a real server of the S3 protocol (SeaweedFS, from PyPI), which refuses what is not signed, no longer, or
not for this file; the key that writes has no right to list the bucket.
"""

import json
import shutil
import socket
import subprocess
import sys
import time
from contextlib import ExitStack, suppress
from datetime import UTC, datetime, timedelta
from pathlib import Path
from urllib.error import HTTPError, URLError
from urllib.parse import parse_qs, urlsplit
from urllib.request import Request, urlopen

import pytest
from django.utils.timezone import now

from pieces.models import RingPhoto
from salon import settings as written_settings
from salon.common.stored_pictures import SIZES, picture_response
from tests.factories import StylistFactory
from tests.salon.pictures.sent import scene, taken, written

BUCKET = "photos-of-the-test"
STARTS_WITHIN = 40  # seconds; three on an idle machine
OWNER, SALON = ("owner-key", "owner-secret"), ("salon-key", "salon-secret")


def options(origin="https://storage.example"):
    """The settings' own options, as if the five variables were set."""
    return written_settings._PHOTO_BUCKET["OPTIONS"] | {
        "bucket_name": BUCKET,
        "endpoint_url": origin,
        "region_name": "us-east-1",
        "access_key": SALON[0],
        "secret_key": SALON[1],
    }


def stored_in(storage, monkeypatch):
    for size in SIZES:
        monkeypatch.setattr(RingPhoto._meta.get_field(size), "storage", storage)


def status(address, **how):
    """What the storage answers: a status, the body and the headers."""
    try:
        with urlopen(Request(address, **how), timeout=10) as answer:  # noqa: S310  # an address this test made
            return answer.status, answer.read(), answer.headers
    except HTTPError as refused:
        with refused:
            return refused.code, refused.read(), refused.headers


# Without a server: what the address says


def test_the_way_to_a_picture_is_signed_for_one_minute_and_kept_by_nobody(monkeypatch):
    from storages.backends.s3 import S3Storage

    stored_in(S3Storage(**options()), monkeypatch)
    response = picture_response(RingPhoto(full="ab/abcdef.jpg").full)
    assert response.status_code == 302
    assert response["Cache-Control"] == "private, no-store"
    address = urlsplit(response["Location"])
    asked = parse_qs(address.query)
    assert (address.scheme, address.netloc, address.path) == ("https", "storage.example", f"/{BUCKET}/ab/abcdef.jpg")
    assert asked["X-Amz-Expires"] == ["60"]
    assert asked["X-Amz-Algorithm"] == ["AWS4-HMAC-SHA256"]
    assert asked["X-Amz-SignedHeaders"] == ["host"]
    assert len(asked["X-Amz-Signature"][0]) == 64
    assert "X-Amz-Security-Token" not in asked
    assert SALON[1] not in response["Location"]


def test_variables_meant_for_other_programs_are_not_used(monkeypatch):
    from storages.backends.s3 import S3Storage

    monkeypatch.setenv("AWS_SESSION_TOKEN", "another program's")
    monkeypatch.setenv("AWS_S3_SESSION_PROFILE", "another")
    stored_in(S3Storage(**options()), monkeypatch)
    address = picture_response(RingPhoto(full="ab/abcdef.jpg").full)["Location"]
    assert "Security-Token" not in address
    assert f"Credential={SALON[0]}%2F" in address


# With one


def free_ports(count):
    with ExitStack() as held:
        sockets = [held.enter_context(socket.socket()) for _ in range(count)]
        for each in sockets:
            each.bind(("127.0.0.1", 0))
        return [each.getsockname()[1] for each in sockets]


@pytest.fixture(scope="module")
def server(tmp_path_factory):
    """The address of a running server, with a bucket in it and two keys: the owner's, and one that reads and writes."""
    program = shutil.which("weed") or shutil.which("weed", path=str(Path(sys.executable).parent))
    if not program:
        pytest.skip("SeaweedFS is not installed: it is not to be had for this system")
    folder = tmp_path_factory.mktemp("bucket")
    rights = [f"{right}:{BUCKET}" for right in ("Read", "Write")]
    people = [("owner", OWNER, ["Admin"]), ("salon", SALON, rights)]
    identities = [
        {"name": name, "credentials": [{"accessKey": key, "secretKey": secret}], "actions": actions}
        for name, (key, secret), actions in people
    ]
    (folder / "s3.json").write_text(json.dumps({"identities": identities}))
    parts = [f"{part}{kind}" for part in ("master", "volume", "filer", "s3") for kind in (".port", ".port.grpc")]
    ports = dict(zip(parts, free_ports(len(parts)), strict=True))
    arguments = [f"-{name}={port}" for name, port in ports.items()] + [
        f"-dir={folder}",
        "-ip=127.0.0.1",
        "-ip.bind=127.0.0.1",
        "-s3",
        f"-s3.config={folder / 's3.json'}",
        "-s3.iam=false",
        "-s3.port.iceberg=0",
        "-s3.port.lance=0",
        f"-s3.localSocket={folder / 's3.sock'}",
        f"-filer.localSocket={folder / 'filer.sock'}",
        "-master.telemetry=false",
        "-master.volumeSizeLimitMB=32",
        "-volume.max=8",
    ]
    origin = f"http://127.0.0.1:{ports['s3.port']}"
    with (folder / "log").open("w") as log:
        running = subprocess.Popen([program, "server", *arguments], cwd=folder, stdout=log, stderr=log)
        try:
            _wait_until_it_keeps(origin, running, folder / "log")
            yield origin
        finally:
            running.kill()  # asked politely it waits for others first; nothing of it is kept
            running.wait()


def _wait_until_it_keeps(origin, running, log):
    """It answers before it can keep anything; ready is when a first file is in the bucket."""
    import boto3
    from botocore.config import Config
    from botocore.exceptions import BotoCoreError, ClientError

    how = {"s3": {"addressing_style": "path"}, "retries": {"max_attempts": 1}, "connect_timeout": 2}
    owner = boto3.client("s3", "us-east-1", endpoint_url=origin, aws_access_key_id=OWNER[0],
                         aws_secret_access_key=OWNER[1], config=Config(**how))  # fmt: skip
    until = time.monotonic() + STARTS_WITHIN
    while time.monotonic() < until and running.poll() is None:
        with suppress(BotoCoreError, ClientError, URLError):
            if BUCKET not in {bucket["Name"] for bucket in owner.list_buckets()["Buckets"]}:
                owner.create_bucket(Bucket=BUCKET)
            owner.put_object(Bucket=BUCKET, Key="first", Body=b"first")
            owner.delete_object(Bucket=BUCKET, Key="first")
            return
        time.sleep(0.2)
    pytest.skip(f"SeaweedFS did not start here: {log.read_text()[-300:]}")


@pytest.fixture
def bucket(server, monkeypatch):
    from storages.backends.s3 import S3Storage

    storage = S3Storage(**options(server))
    stored_in(storage, monkeypatch)
    return storage


@pytest.fixture(scope="module")
def renditions():
    return taken(written(scene(), "JPEG"))


def kept(renditions, **how):
    picture = RingPhoto(taken_at=now(), taken_by=StylistFactory(), **how)
    with picture.keeping(renditions):
        picture.full_clean()
        picture.save()
    return RingPhoto.objects.get(pk=picture.pk)


@pytest.mark.slow
@pytest.mark.django_db
def test_every_size_is_to_be_had_by_its_signed_address_and_by_no_other(bucket, renditions):
    picture = kept(renditions)
    addresses = {size: picture_response(getattr(picture, size))["Location"] for size in SIZES}
    for size, address in addresses.items():
        answered, body, headers = status(address)
        assert (answered, body) == (200, getattr(renditions, size))
        assert headers["Cache-Control"] == "private, no-store"
        assert headers["Content-Type"] == "image/jpeg"
    full = addresses["full"]
    signature = parse_qs(urlsplit(full).query)["X-Amz-Signature"][0]
    refused = {
        "unsigned": full.split("?")[0],
        "another signature": full.replace(signature, signature[::-1]),
        "another file": full.replace(picture.full.name, picture.thumb.name),
        "a longer time": full.replace("X-Amz-Expires=60", "X-Amz-Expires=604800"),
        "another key": full.replace(SALON[0], OWNER[0]),
        "the list": full.split(BUCKET)[0] + BUCKET,
    }
    assert {what: status(address)[0] for what, address in refused.items()} == dict.fromkeys(refused, 403)
    assert status(full, method="DELETE")[0] == 403
    assert status(full, method="PUT", data=b"other")[0] == 403
    assert status(full)[1] == renditions.full


@pytest.mark.slow
@pytest.mark.django_db
def test_a_signed_address_ends(bucket, renditions, monkeypatch):
    """Signed 59 seconds ago it leads to the picture, signed 70 seconds ago to a refusal."""
    picture = kept(renditions)

    def signed_before(seconds):
        signed_at = (datetime.now(UTC) - timedelta(seconds=seconds)).replace(tzinfo=None)
        monkeypatch.setattr("botocore.auth.get_current_datetime", lambda *_, **__: signed_at)
        return picture_response(picture.full)["Location"]

    assert status(signed_before(40))[0] == 200
    assert status(signed_before(70))[0] == 403


@pytest.mark.slow
@pytest.mark.django_db
def test_what_fails_or_is_removed_leaves_nothing_in_the_bucket(bucket, renditions, django_capture_on_commit_callbacks):
    picture = RingPhoto(taken_at=now(), taken_by=StylistFactory())
    addresses = []

    def fail_halfway():
        with picture.keeping(renditions):
            addresses.extend(picture_response(getattr(picture, size))["Location"] for size in SIZES)
            assert [status(address)[0] for address in addresses] == [200, 200, 200]
            raise ZeroDivisionError

    with pytest.raises(ZeroDivisionError):
        fail_halfway()
    picture = kept(renditions)
    addresses += [picture_response(getattr(picture, size))["Location"] for size in SIZES]
    with django_capture_on_commit_callbacks(execute=True):
        picture.discard_files()
    assert [status(address)[0] for address in addresses] == [404] * 6
