"""What the environment variables say: each reader returns the value meant or refuses, naming its variable.

An empty variable counts as one that is not set. A secret may also stand in a file, named by NAME_FILE, so that it need
not be in the process list or a container's description. No refusal repeats a secret, or an address that may hold one.
"""

import os
from collections.abc import Sequence
from pathlib import Path
from urllib.parse import urlsplit

from django.core.exceptions import ImproperlyConfigured

TRUE_WORDS = ("yes", "true", "on", "1")
FALSE_WORDS = ("no", "false", "off", "0")


def text(name: str, *, required: bool = False, default: str = "") -> str:
    """The variable without the spaces around it, or the default; refused when it is required and missing."""
    value = os.environ.get(name, "").strip()
    if required and not value:
        raise ImproperlyConfigured(
            f"{name} is not set, and nothing can stand in for it: see README.md for what to write."
        )
    return value or default


def boolean(name: str, *, default: bool) -> bool:
    word = text(name).lower()
    if not word:
        return default
    if word not in TRUE_WORDS + FALSE_WORDS:
        accepted = ", ".join(TRUE_WORDS + FALSE_WORDS)
        raise ImproperlyConfigured(f"{name} is “{word}”; write one of: {accepted}.")
    return word in TRUE_WORDS


def number(name: str, *, least: int, most: int, default: int) -> int:
    """A whole number between these two, both included."""
    written = text(name)
    if not written:
        return default
    if not written.isascii() or not written.isdecimal() or not least <= int(written[:20]) <= most:
        raise ImproperlyConfigured(f"{name} is “{written}”; write a whole number from {least} to {most}.")
    return int(written)


def one_of(name: str, choices: Sequence[str], *, default: str) -> str:
    word = text(name, default=default)
    if word not in choices:
        raise ImproperlyConfigured(f"{name} is “{word}”; write one of: {', '.join(choices)}.")
    return word


def words(name: str, *, required: bool = False, default: Sequence[str] = ()) -> list[str]:
    """A list written with commas: `one.example, two.example`."""
    written = text(name, required=required)
    if not written:
        return list(default)
    found = [word.strip() for word in written.split(",")]
    if not all(found) or any(" " in word for word in found):
        raise ImproperlyConfigured(f"{name} is “{written}”; write words with one comma between them: one, two.")
    return found


def secret(name: str, *, required: bool = False, default: str = "") -> str:
    """From NAME, or from the file that NAME_FILE points at; refused when both are given, for one of them is stale."""
    file_name = text(f"{name}_FILE")
    if not file_name:
        return text(name, required=required, default=default)
    if text(name):
        raise ImproperlyConfigured(f"{name} and {name}_FILE are both set; keep the one that is meant.")
    try:
        value = Path(file_name).read_text(encoding="utf-8").strip()
    except (OSError, UnicodeDecodeError) as error:
        raise ImproperlyConfigured(f"{name}_FILE points at “{file_name}”, which can't be read as text.") from error
    if not value:
        raise ImproperlyConfigured(f"{name}_FILE points at “{file_name}”, which is empty.")
    return value


def url(name: str, *, schemes: Sequence[str], default: str) -> str:
    """An address of one of these schemes. Only its scheme is looked at: the rest belongs to whoever opens it."""
    address = text(name, default=default)
    if urlsplit(address).scheme not in schemes or "://" not in address:
        accepted = ", ".join(f"{scheme}://" for scheme in schemes)
        raise ImproperlyConfigured(f"{name} must begin with one of: {accepted}.")
    return address


def origin(name: str, *, schemes: Sequence[str]) -> str:
    """A host to be reached by one of these schemes, as `https://host` or `https://host:port`, and nothing after it."""
    written = url(name, schemes=schemes, default="").removesuffix("/")
    parts = urlsplit(written)
    if written != f"{parts.scheme}://{parts.netloc}" or not parts.hostname or "@" in parts.netloc:
        raise ImproperlyConfigured(
            f"{name} must be a host alone, such as {schemes[0]}://storage.example or with :9000."
        )
    return written


def together(*names: str, secrets: Sequence[str]) -> bool:
    """Whether these variables are set, of which the secrets may stand in files; refused when only some of them are."""
    given = [name for name in names if text(name)]
    given += [name for name in secrets if text(name) or text(f"{name}_FILE")]
    missing = [name for name in (*names, *secrets) if name not in given]
    if given and missing:
        raise ImproperlyConfigured(f"{given[0]} is set, but not {', '.join(missing)}: set all of them, or none.")
    return not missing
