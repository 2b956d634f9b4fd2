"""The demo salon's clients: who they are and what they have agreed to. Nobody in this list is or was real.

Phone numbers are British drama numbers; mail addresses are from the reserved `.example`. Ages count at the day of
loading, so that a client under age stays one.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from clients.models.consent import ConsentKind

RECORD, PHOTOS, PUBLICITY, REMINDERS = (
    ConsentKind.RECORD,
    ConsentKind.PHOTOS,
    ConsentKind.PUBLICITY,
    ConsentKind.REMINDERS,
)


@dataclass(frozen=True)
class DemoClient:
    """`known_for_days`: how long ago she was registered; `consents` were signed at her first visit."""

    key: str
    given_name: str
    family_name: str
    age: int
    birthday: tuple[int, int]  # month, day
    phone: str
    known_for_days: int
    preferred_name: str = ""
    email: str = ""
    guardian_name: str = ""
    private_note: str = ""
    consents: tuple[ConsentKind, ...] = (RECORD,)

    def born_on(self, today: date) -> date:
        still_to_come = self.birthday > (today.month, today.day)
        return date(today.year - self.age - still_to_come, *self.birthday)


CLIENTS = (
    DemoClient(
        "marguerite",
        "Marguerite",
        "Ellacombe",
        54,
        (3, 9),
        "07700 900 214",
        known_for_days=24,
        email="m.ellacombe@post.example",
        consents=(RECORD, PHOTOS, REMINDERS),
    ),
    DemoClient(
        "rosalind",
        "Rosalind",
        "Tannerby",
        61,
        (11, 2),
        "07700 900 387",
        known_for_days=520,
        preferred_name="Rosa",
        email="rosa@tannerby.example",
        consents=(RECORD, PHOTOS, PUBLICITY, REMINDERS),
    ),
    DemoClient(
        "henrike",
        "Henrike",
        "Abellard",
        47,
        (6, 21),
        "07700 900 152",
        known_for_days=80,
        private_note="Prefers the quiet room; her sister must not know.",
        consents=(RECORD, REMINDERS),
    ),
    DemoClient("ines", "Inês", "Carrowmoor", 33, (1, 30), "07700 900 466", known_for_days=47),
    DemoClient(
        "josephine",
        "Josephine",
        "Quarrell",
        29,
        (8, 14),
        "07700 900 598",
        known_for_days=165,
        preferred_name="Jo",
        consents=(RECORD, PHOTOS),
    ),
    DemoClient(
        "tilde",
        "Tilde",
        "Farnsby",
        15,
        (5, 4),
        "07700 900 631",
        known_for_days=20,
        guardian_name="Agnes Farnsby",
        private_note="Agnes drives her here; not on Wednesdays.",
    ),
    DemoClient(
        "maud", "Maud", "Iverleigh", 72, (12, 19), "01632 960 724", known_for_days=260, consents=(RECORD, REMINDERS)
    ),
    DemoClient(
        "amara",
        "Amara",
        "Okonridge",
        38,
        (9, 27),
        "07700 900 845",
        known_for_days=61,
        email="amara@okonridge.example",
        consents=(RECORD, PHOTOS, REMINDERS),
    ),
    DemoClient(
        "leonie", "Leonie", "Wraxmere", 50, (2, 11), "07700 900 903", known_for_days=55, consents=(RECORD, PHOTOS)
    ),
    DemoClient(
        "yvette",
        "Yvette",
        "Dunmarrow",
        66,
        (7, 7),
        "07700 900 077",
        known_for_days=430,
        email="yvette@dunmarrow.example",
        consents=(RECORD, PHOTOS, REMINDERS),
    ),
    DemoClient(
        "dorothea", "Dorothea", "Lismoyle", 36, (10, 16), "07700 900 319", known_for_days=140, consents=(RECORD, PHOTOS)
    ),
    DemoClient(
        "coralie", "Coralie", "Nethersole", 58, (4, 25), "07700 900 540", known_for_days=6, consents=(RECORD, PHOTOS)
    ),
    DemoClient("saskia", "Saskia", "Brindlecote", 44, (8, 3), "07700 900 768", known_for_days=3, consents=()),
    DemoClient(
        "winifred",
        "Winifred",
        "Astercombe",
        69,
        (1, 12),
        "01632 960 982",
        known_for_days=12,
        email="w.astercombe@post.example",
        private_note="Hears better on her right side.",
        consents=(),
    ),
    DemoClient(
        "philippa",
        "Philippa",
        "Garrowby",
        41,
        (2, 24),
        "07700 900 263",
        known_for_days=9,
        preferred_name="Pip",
        consents=(),
    ),
)
