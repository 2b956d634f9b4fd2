"""Spoils a valid post: a field, the set of fields, the address, or the way it is sent; alike for the same number."""

import os
import random
from dataclasses import replace

from tests.mutated.sending import URLENCODED, File, encoded

LONG = 100_000
ONE_IN = int(os.environ.get("SPOILT_ONE_IN", "50"))  # every so manieth is sent; 1 sends all, and takes over an hour

VALUES = {
    "nothing": ["", " ", "\t\r\n ", "\u00a0\u2003", "\u200b\u2060"],
    "numbers": [
        "0", "-1", "-0", "+5", "1e309", "-1e309", "1e-400", "NaN", "nan", "inf", "-Infinity", "0x1F", "1_000", "12,5",
        "1,234.5", "1 1/0 in", "1/0", "٣", "١٢٣", "１２", "²", "½", "2147483648", "-2147483649", "32768", "65536",
        "9223372036854775807", "9223372036854775808", "-9223372036854775809", "1" + "0" * 400, "9" * 5000, "0.1" * 9,
        "1e5", "99999999.999999", "٣٫٥", "12 in in", "5'11\"", "100 %",
    ],
    "long": [
        "a" * LONG, "a b " * (LONG // 4), "9" * LONG, "e\u0301" * (LONG // 2), "ﷺ" * 20_000, "\n" * LONG, "x" * 241,
    ],
    "control": [
        "Ada\x00", "\x00", "\x00" * 300, "a\x01\x02\x1b[31m", "\x7f", "a\u2028b\u2029c", "\ufeff", "\ufffe\uffff",
        "a\r\nSet-Cookie: b=c", "\x85", "a\vb\fc", "\x08\x08",
    ],
    "half pairs": ["\ud800", "Ada\udfff", "\udc00\ud800", "\ud83d"],
    "scripts of the world": [
        "🙂🙃", "👩\u200d🦱", "\u202eahtraM", "שלום \u200f", "Z\u0335\u0321\u031ba\u0338lgo", "ßẞıİ", "ﬁﬀ", "Ａｄａ",
        "\u0301", "ด็็็็็", "𝔄𝔡𝔞", "كلمة", "Ǆ",
    ],
    "markup": [
        "<script>alert(1)</script>", "\"><img src=x onerror=alert(1)>", "</textarea><script>alert(2)</script>",
        "{{ settings.SECRET_KEY }}{% now 'Y' %}", "&lt;b&gt;&amp;", "javascript:alert(1)", "<!--", "]]>",
        "'\"><svg/onload=alert(3)>",
    ],
    "queries": [
        "' OR 1=1 --", "'; DROP TABLE clients_client; --", "\\", "%", "_%", "a' UNION SELECT 1", "%s", "%(id)s", "$1",
    ],
    "choices": [
        "no such choice", "YES", "True", "null", "None", "undefined", "[]", "{}", '["well"]', "well,not", "draft",
    ],
    "dates": [
        "0001-01-01", "9999-12-31", "2025-02-29", "2024-02-29", "0000-00-00", "10000-01-01", "1899-12-31", "-001-01-01",
        "2025-13-45", "31/02/2025", "2025-W05-1", "20250101", "2025-01-01T00:00Z", "1900-01-01", "2038-01-19",
        "9999-12-30",
    ],
    "times": ["24:00", "25:61", "00:00:60", "23:59:59.9999999", "23:59", "00:00", "12", "-1:00", "9:5", "10:30+14:00"],
    "hexes": [
        "0", "zz", "64" * 4095, "64" * 4096 + "6", "64" * 4097, "65" * 4096, "ff" * 4096, "6 4" * 4096, "G4" * 4096,
    ],
    "base64": ["!!!!", "====", "AAAA=A", "-_-_", "data:image/png;base64,AAAA", "AAAA\nAAAA"],
}  # fmt: skip  # lists of examples read better in lines than one to a line

FILES = [
    File("a.csv", b""),
    File("a.csv", b"\x00" * 500),
    File("a.csv", b"\xff\xfe" + "maker,name\n".encode("utf-16-le")),
    File("../../etc/passwd", b"maker\nroot", "text/plain"),
    File("a.png", b"\x89PNG\r\n\x1a\n" + bytes(64), "image/png"),
    File("\x00\ud800.csv", b'maker,name\n"open', "application/x-nothing"),
    File("a.csv", b"maker,code,name\n" + b"\xc3\x28,a,b\n"),
    File("a.csv", b"maker," * 5000 + b"\n" + b"1," * 5000),
    File("long.csv", b'maker,code,name,method\nM,"' + b"a" * 200_000 + b'",n,instrument\n'),
    File("a" * 4000 + ".csv", b"maker,name\nA,B\n"),
]

STRANGERS = [
    ("id", "1"), ("pk", "1"), ("client", "1"), ("state", "signed off"), ("is_superuser", "on"), ("is_staff", "on"),
    ("groups", "3"), ("reference", "C-00000000"), ("created_by", "1"), ("revision", "0"), ("go", "next"), ("plan", "1"),
    ("acknowledged", "\x00"), ("erased_at", "2025-01-01"), ("__proto__", "1"), ("", ""), ("\x00", "\x00"),
    ("_method", "DELETE"),
]  # fmt: skip  # as above

BODIES = [
    ("application/json", b'{"given_name": "Ada", "revision": 0}'),
    ("application/json", b'{"a": NaN, "b": [[[[['),
    ("application/json", b""),
    ("text/plain", b"given_name=Ada"),
    ("", b"given_name=Ada"),
    ("application/octet-stream", bytes(range(256))),
    (URLENCODED, b"%"),
    (URLENCODED, b"%zz=%c3%28&&&=&=&a=b=c;d"),
    (URLENCODED, b"\xff\xfe\x00\x01" * 20),
    (URLENCODED, b""),
    (URLENCODED, b"a=1&" * 1200),
    (URLENCODED, b"story=" + b"a" * 3_000_000),
    ("multipart/form-data", b"no boundary at all"),
    ("multipart/form-data; boundary=x", b'--x\r\nContent-Disposition: form-data; name="story"\r\n\r\nnever ends'),
    ("multipart/form-data; boundary=x", b"--y--"),
    ("multipart/form-data; boundary=", b""),
    ("multipart/form-data; boundary=\xc3\xa9", b""),
]


def spoilt(sent, name, number, others):
    """The post with one to three things wrong with it; alike for the same name and number."""
    dice = random.Random(f"{name} {number}")
    spoilt_now = _one_value(sent, number, dice, others) if number % 2 else sent
    for _ in range(dice.choice([0, 0, 0, 1, 2]) if number % 2 else dice.choice([1, 1, 2])):
        spoilt_now = dice.choice(WAYS)(spoilt_now, dice, others)
    return spoilt_now


def _one_value(sent, number, dice, others):
    """Each field in turn gets each kind of value in turn."""
    if not sent.fields:
        return _stranger(sent, dice, others)
    kinds = [*VALUES, "others"]
    place = (number // 2) % len(sent.fields)
    kind = kinds[(number // 2 // len(sent.fields)) % len(kinds)]
    return _put(sent, place, _value(kind, dice, others))


def _value(kind, dice, others):
    return dice.choice(others if kind == "others" else VALUES[kind])


def _any_value(dice, others):
    return _value(dice.choice([*VALUES, "others"]), dice, others)


def _put(sent, place, value):
    fields = list(sent.fields)
    fields[place] = (fields[place][0], value)
    return sent.with_fields(fields)


def _change(sent, dice, others):
    return _put(sent, dice.randrange(len(sent.fields)), _any_value(dice, others)) if sent.fields else sent


def _drop(sent, dice, others):
    gone = dice.sample(range(len(sent.fields)), k=dice.randint(1, len(sent.fields))) if sent.fields else []
    return sent.with_fields(one for place, one in enumerate(sent.fields) if place not in gone)


def _drop_one(sent, dice, others):
    gone = dice.randrange(len(sent.fields)) if sent.fields else -1
    return sent.with_fields(one for place, one in enumerate(sent.fields) if place != gone)


def _twice(sent, dice, others):
    if not sent.fields:
        return sent
    name, value = dice.choice(sent.fields)
    again = dice.choice([value, _any_value(dice, others)])
    return sent.with_fields([*sent.fields, (name, again)] if dice.random() < 0.5 else [(name, again), *sent.fields])


def _rename(sent, dice, others):
    if not sent.fields:
        return sent
    place = dice.randrange(len(sent.fields))
    name, value = sent.fields[place]
    other = dice.choice([name.upper(), f"{name}[]", f"{name}-0", f" {name}", f"{name}\x00", name[:-1], "é" * 300])
    fields = list(sent.fields)
    fields[place] = (other, value)
    return sent.with_fields(fields)


def _swap(sent, dice, others):
    if len(sent.fields) < 2:
        return sent
    one, two = dice.sample(range(len(sent.fields)), k=2)
    first, second = sent.fields[one], sent.fields[two]
    return _put(_put(sent, one, second[1]), two, first[1])


def _stranger(sent, dice, others):
    more = dice.sample(STRANGERS, k=dice.randint(1, 4))
    return sent.with_fields([*sent.fields, *more])


def _file(sent, dice, others):
    """A file where text is expected."""
    if not sent.fields:
        return sent.with_fields([("file", dice.choice(FILES))])
    return _put(sent, dice.randrange(len(sent.fields)), dice.choice(FILES))


def _text(sent, dice, others):
    """Text where a file is expected; another field when there is none."""
    places = [place for place, (_, value) in enumerate(sent.fields) if isinstance(value, File)]
    return _put(sent, dice.choice(places), _any_value(dice, others)) if places else _change(sent, dice, others)


def _torn(sent, dice, others):
    """A file or a long text with a piece cut out, doubled or changed."""
    places = [place for place, (_, value) in enumerate(sent.fields) if len(_bytes_of(value)) > 12]
    if not places:
        return _change(sent, dice, others)
    place = dice.choice(places)
    value = sent.fields[place][1]
    whole = _bytes_of(value)
    start = dice.randrange(len(whole))
    end = min(start + dice.choice([1, 1, 2, 40]), len(whole))
    middle = dice.choice([b"", b"\x00", b"\xff", b'"', b",", b"\n", b"-1", whole[start:end] * 2])
    torn = whole[:start] + middle + whole[end:]
    return _put(sent, place, replace(value, content=torn) if isinstance(value, File) else torn.decode(errors="replace"))


def _many(sent, dice, others):
    more = [(f"field{number}", "1") for number in range(dice.choice([100, 1001]))]
    return sent.with_fields([*sent.fields, *more])


def _elsewhere(sent, dice, others):
    """The address of something else, of something that is nobody's, or of nothing."""
    if not sent.args:
        return replace(
            sent, query=(*sent.query, (dice.choice(["client", "next", "q", "day"]), _any_value(dice, others)))
        )
    old = dice.choice(sent.args)
    if isinstance(old, int):
        others = [0, 2**31, 2**63, 10**30, old + 1, "-1", "one", *(key for key in others if key.isdigit())]
    else:
        slips = ["C-00000000", "\x00", "é", "a" * 3000, "%", "' OR 1=1", old.lower(), old + " ", "🙂", "..", "\ud800"]
        others = [*others, *slips]
    return sent.moved(old, dice.choice(others))


def _body(sent, dice, others):
    kind, body = dice.choice(BODIES)
    return replace(sent, content_type=kind or "x", body=body, is_form=False)


def _as_json(sent, dice, others):
    plain = [(name, value) for name, value in sent.fields if not isinstance(value, File)]
    return replace(sent, content_type="application/json", body=encoded(plain).encode(), is_form=False)


def _as_parts(sent, dice, others):
    return replace(sent, content_type="multipart/form-data") if sent.body is None else sent


def _headers(sent, dice, others):
    more = dice.choice(
        [
            {"HX-Request": "true"},
            {"HX-Request": "true", "HX-History-Restore-Request": "true"},
            {"Accept": "application/json"},
            {"Accept": "image/png;q=0"},
            {"Accept-Language": "tlh, xx-" + "x" * 300},
            {"X-HTTP-Method-Override": "DELETE"},
            {"Referer": "http://elsewhere.example/\x7f"},
            {"User-Agent": "a" * 5000},
        ]
    )
    return replace(sent, headers=sent.headers | more)


WAYS = [
    _change, _change, _change, _drop, _drop_one, _twice, _rename, _swap, _stranger, _file, _text, _torn, _many,
    _elsewhere, _elsewhere, _body, _as_json, _as_parts, _headers,
]  # fmt: skip  # as above


def _bytes_of(value):
    return value.content if isinstance(value, File) else str(value).encode(errors="replace")
