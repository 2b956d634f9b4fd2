"""A post as it goes over the wire: fields in order, files, content type, headers, and the address it is sent to."""

import uuid
from contextlib import contextmanager
from dataclasses import dataclass, field, replace
from http.cookies import SimpleCookie
from urllib.parse import quote, urlencode

from django.conf import settings
from django.urls import reverse

URLENCODED = "application/x-www-form-urlencoded"


@dataclass(frozen=True)
class File:
    name: str
    content: bytes
    kind: str = "text/csv"


@dataclass(frozen=True)
class Sent:
    """What is sent. `body` is for what no form sends; else the fields are written out as `content_type` wants."""

    name: str
    who: str
    args: tuple = ()
    path: str = ""
    """The path itself, when it is not what the arguments make."""
    query: tuple = ()
    fields: tuple = ()
    headers: dict = field(default_factory=dict)
    content_type: str = ""
    body: bytes | None = None
    is_form: bool = True
    """False when it is sent as something that no form can be: then it may be answered without a word."""

    def with_fields(self, fields):
        return replace(self, fields=tuple(fields))

    def has_files(self):
        return any(isinstance(value, File) for _, value in self.fields)

    def address(self):
        path = self.path or reverse(self.name, args=self.args)
        return f"{path}?{encoded(self.query)}" if self.query else path

    def moved(self, old, new):
        """The same to another address: one argument in its path replaced by anything, as a browser would write it."""
        return replace(
            self, path=self.address().partition("?")[0].replace(f"/{old}/", f"/{quote(_bytes(new), safe='')}/")
        )

    def written(self):
        """(content type, body)."""
        if self.body is not None:
            return self.content_type or URLENCODED, self.body
        kind = self.content_type or ("multipart/form-data" if self.has_files() else URLENCODED)
        if not kind.startswith("multipart/form-data"):
            plain = [(name, value.name if isinstance(value, File) else value) for name, value in self.fields]
            return kind, encoded(plain).encode()
        boundary = uuid.UUID(int=20).hex
        kind = kind.replace("multipart/form-data", f"multipart/form-data; boundary={boundary}")
        return kind, _multipart(self.fields, boundary)

    def __repr__(self):
        shown = (
            [(name[:40], value if isinstance(value, File) else _short(value)) for name, value in self.fields]
            if self.body is None
            else self.body[:200]
        )
        return f"{self.address()} as {self.who}, {self.content_type or 'as a form'}, {self.headers}: {shown}"


def send(scene, sent):
    """The answer to a post, from a browser that has just signed in."""
    kind, body = sent.written()
    with _just_signed_in(scene.browsers[sent.who]) as browser:
        return browser.generic("POST", sent.address(), body, content_type=kind, headers=sent.headers)


def look(scene, who, address):
    """The page at an address, for a browser that has just signed in."""
    with _just_signed_in(scene.browsers[who]) as browser:
        return browser.get(address)


@contextmanager
def _just_signed_in(browser):
    """Undoes what an answer did to the browser: messages, and what signing in or out did to the session."""
    session = browser.cookies.get(settings.SESSION_COOKIE_NAME)
    value = session and session.value
    yield browser
    browser.cookies = SimpleCookie()
    if value:
        browser.cookies[settings.SESSION_COOKIE_NAME] = value


def encoded(pairs):
    """As an address or a form body; half a surrogate pair goes over the wire as the three bytes it would be."""
    return urlencode([(_bytes(name), _bytes(value)) for name, value in pairs])


def _bytes(text):
    return str(text).encode("utf-8", "surrogatepass")


def _multipart(fields, boundary):
    lines = []
    for name, value in fields:
        quoted = _bytes(name).replace(b'"', b"%22").replace(b"\r", b"%0D").replace(b"\n", b"%0A")
        lines.append(b"--" + boundary.encode())
        if isinstance(value, File):
            lines.append(b'Content-Disposition: form-data; name="%s"; filename="%s"' % (quoted, _bytes(value.name)))
            lines += [b"Content-Type: " + value.kind.encode(), b"", value.content]
        else:
            lines += [b'Content-Disposition: form-data; name="%s"' % quoted, b"", _bytes(value)]
    return b"\r\n".join([*lines, b"--" + boundary.encode() + b"--", b""])


def _short(value):
    text = str(value)
    return text if len(text) <= 60 else f"{text[:30]}… ({len(text)} characters)"


def post(name, who, /, *args, **fields):
    return Sent(name, who, args, fields=tuple((key, str(value)) for key, value in fields.items()))


def asked(sent, **query):
    return replace(sent, query=tuple(query.items()))


def sent_with(sent, headers):
    return replace(sent, headers=headers)
