"""What the client's page says of her hair and scalp: her newest assessment in words and a drawing, and her reactions.

Words, not findings: what follows from it for a piece is for the rules, and the salon diagnoses nothing.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from itertools import pairwise

from django.utils.safestring import SafeString, mark_safe

from clients.models import Assessment, Client, Sensitivity, SkinTest
from clients.scalp.drawing import DENSITY_STEPS, draw_view
from clients.scalp.head import Head
from clients.scalp.loss_map import LossMap
from clients.scalp.regions import ZONES, zone_means
from clients.scalp.salt import salt_score

TESTS_SHOWN = 3


@dataclass(frozen=True)
class LossInWords:
    """Where hair is lost and how much of the scalp's hair that is."""

    zones: dict[str, list[str]]  # what remains, and the zones where it does; full ones left out
    lost_percent: int
    assumed: tuple[str, ...]  # tapes that were not taken
    drawing: SafeString


@dataclass(frozen=True)
class HealthFacts:
    """What the page shows to those who may see health facts. `loss` is None until a map is painted."""

    assessment: Assessment | None
    loss: LossInWords | None
    sensitivities: list[Sensitivity]
    skin_tests: list[SkinTest]

    @property
    def reactions_asked(self) -> bool:
        """Whether “none told” may be said: unknown is never “no”."""
        return bool(self.assessment and self.assessment.reactions_asked)


def health_facts(client: Client) -> HealthFacts:
    """Three queries: the newest signed-off assessment, her sensitivities, her last skin tests."""
    assessment = client.assessments.signed_off().select_related("stylist").order_by("-signed_at", "-pk").first()
    return HealthFacts(
        assessment=assessment,
        loss=loss_in_words(assessment) if assessment and assessment.map_painted else None,
        sensitivities=list(client.sensitivities.all()),
        skin_tests=list(client.skin_tests.all()[:TESTS_SHOWN]),
    )


def loss_in_words(assessment: Assessment) -> LossInWords:
    head = Head.from_tapes(**assessment.tapes())
    loss_map = LossMap.from_hex(assessment.density_hex)
    means = zone_means(loss_map, head)
    return LossInWords(
        zones=_thinned_zones(means),
        lost_percent=round(salt_score(loss_map, head).total),
        assumed=head.assumed,
        drawing=mark_safe(  # noqa: S308  # our own drawing of numbers; its title is escaped
            draw_view(loss_map, head, "top", title="Remaining hair, seen from above")
        ),
    )


def _thinned_zones(means: Mapping[str, float]) -> dict[str, list[str]]:
    """The words of each step of the scale but the full one, least hair first, with the zones whose mean falls in it."""
    zones: dict[str, list[str]] = {}
    for step, above in pairwise(DENSITY_STEPS):
        if inside := [zone.label.lower() for zone in ZONES if step.low <= means[zone.key] < above.low]:
            zones[step.label] = inside
    return zones
