"""Lays two sets of one client's photos over each other, angle by angle; it shows dates and judges nothing.

Only angles that both sets have can be compared, by the newest photo of each; the turn and the colour photo are no
views of her from a fixed place and are left out. Which pair is shown: the one asked for, or the newest two that share
an angle, the older on the left.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import combinations

from django.http import Http404, HttpResponse
from django.shortcuts import render
from django.utils.formats import date_format
from django.utils.timezone import localtime
from django.views.decorators.http import require_safe

from clients.looking import note_look
from clients.models import Client, Photo, PhotoSet
from clients.models.photo import NAMED_ANGLES, Angle
from fittings.consult.step_page import kept_nowhere
from fittings.photos.finding import LOOK, of_client
from fittings.photos.shown import laid_out, sets_of
from salon.common.access import needs
from salon.current import SalonRequest


@needs("clients.view_photo")
@require_safe
@of_client
def photos_compare(request: SalonRequest, client: Client) -> HttpResponse:
    note_look(client=client, user=request.user, page=LOOK)
    asked = request.GET
    sets = sets_to_compare(client)
    pair = pair_asked_for(sets, asked.get("one", ""), asked.get("other", ""))
    context = {
        "place": "clients",
        "client": client,
        "sets": sets,
        "comparison": pair and Comparison(*pair, asked.get("angle", "")),
    }
    return kept_nowhere(render(request, "fittings/photos/compare.html", context))


@dataclass(frozen=True)
class SetToCompare:
    """One set and its newest photo of every angle it has."""

    photo_set: PhotoSet
    photos: dict[Angle, Photo]

    @property
    def words(self) -> str:
        day = date_format(localtime(self.photo_set.begun_at), "j F Y")
        return f"{self.photo_set.get_moment_display().lower()}, {day}"


@dataclass(frozen=True)
class Comparison:
    """Two sets, `one` on the left; `asked_angle` is shown if both have it, else the first that both have."""

    one: SetToCompare
    other: SetToCompare
    asked_angle: str = ""

    @property
    def is_one_set(self) -> bool:
        return self.one.photo_set == self.other.photo_set

    @property
    def angles(self) -> list[Angle]:
        """Those that both sets have."""
        return [angle for angle in self.one.photos if angle in self.other.photos]

    @property
    def angle(self) -> Angle | None:
        return next((angle for angle in self.angles if angle == self.asked_angle), next(iter(self.angles), None))

    @property
    def pictures(self) -> list[tuple[SetToCompare, Photo]]:
        """The two of the angle shown, left and right; none where no angle is shared."""
        return [(one, one.photos[self.angle]) for one in (self.one, self.other)] if self.angle else []

    @property
    def only_in(self) -> list[tuple[SetToCompare, list[Angle]]]:
        """Angles that one set has and the other lacks."""
        found = [
            (one, [angle for angle in one.photos if angle not in another.photos])
            for one, another in ((self.one, self.other), (self.other, self.one))
        ]
        return [(one, angles) for one, angles in found if angles]

    @property
    def is_wide(self) -> bool:
        """Whether a box wider than high suits both pictures."""
        return all(photo.width > photo.height for _, photo in self.pictures)


def sets_to_compare(client: Client) -> list[SetToCompare]:
    """Her sets that have a photo of a named angle, newest first."""
    found = [
        SetToCompare(
            photo_set,
            {tile.angle: tile.photos[0] for tile in laid_out(photo_set).taken if tile.angle in NAMED_ANGLES},
        )
        for photo_set in sets_of(client)
    ]
    return [one for one in found if one.photos]


def pair_asked_for(sets: list[SetToCompare], one: str, other: str) -> tuple[SetToCompare, SetToCompare] | None:
    """The sets with these references, left and right, or where one is not named the newest that goes with the other;
    None when there are fewer than two. Raises Http404 for a reference that is none of these sets'."""
    by_reference = {entry.photo_set.reference: entry for entry in sets}
    for reference in filter(None, (one, other)):
        if reference not in by_reference:
            raise Http404("There is no such set of photos of this client to compare.")
    if len(sets) < 2:
        return None
    if one and other:
        return by_reference[one], by_reference[other]
    pairs = [(older, newer) for newer, older in combinations(sets, 2)]
    named = by_reference.get(one or other)
    if named:
        pairs = [(named, entry) if one else (entry, named) for entry in sets if entry is not named]
    return next((pair for pair in pairs if Comparison(*pair).angles), pairs[0])
