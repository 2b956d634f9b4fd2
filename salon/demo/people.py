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
