"""The people who work in the demo salon. All of them are invented; the passwords open nothing but a demo."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Person:
    role: str
    username: str
    password: str
    first_name: str
    last_name: str


PEOPLE = (
    Person("Front desk", "desk", "kettle-window-27", "Wilma", "Ostrander"),
    Person("Stylist", "stylist", "copper-thimble-58", "Imke", "Valcourt"),
    Person("Stylist", "stylist2", "harbour-ribbon-33", "Noor", "Selwicke"),
    Person("Owner", "owner", "walnut-lantern-91", "Odile", "Brackwater"),
)


def sign_in_table() -> str:
    """Who signs in with which name and password, as lines for a terminal."""
    rows = [("Role", "Name", "Password"), *((person.role, person.username, person.password) for person in PEOPLE)]
    widths = [max(len(row[column]) for row in rows) for column in range(3)]
    return "\n".join(
        "  " + "  ".join(f"{cell:<{width}}" for cell, width in zip(row, widths, strict=True)).rstrip() for row in rows
    )
