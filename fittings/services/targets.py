"""What a service of a visit can be done to: her pieces, those chosen to try in it, or her own hair."""

from __future__ import annotations

from dataclasses import dataclass

from fittings.models import Candidate, Fitting, OwnedPiece, Service
from fittings.unit_facts import unit_of
from pieces.models import Unit

OWN_HAIR = "own-hair"


@dataclass(frozen=True)
class Target:
    """`key` is what a form sends; of the two pieces at most one is there, neither for her own hair."""

    key: str
    label: str
    candidate: Candidate | None = None
    owned_piece: OwnedPiece | None = None

    @property
    def is_piece(self) -> bool:
        return self.candidate is not None or self.owned_piece is not None

    @property
    def unit(self) -> Unit | None:
        """The very unit, where it is known."""
        return unit_of(self.candidate, self.owned_piece)


HER_OWN_HAIR = Target(OWN_HAIR, "Her own hair")


def targets_of(fitting: Fitting) -> list[Target]:
    """Her pieces first, then those chosen to try that have not become hers, then her own hair. Two queries."""
    owned = list(OwnedPiece.objects.current().with_what_they_are().filter(client=fitting.client_id))
    taken = {piece.candidate_id for piece in owned}
    tried = [candidate for candidate in fitting.candidates.all() if candidate.pk not in taken]
    return [
        *(Target(piece.reference, f"{piece}", owned_piece=piece) for piece in owned),
        *(Target(f"try-{one.pk}", f"{one.name}, chosen to try", candidate=one) for one in tried),
        HER_OWN_HAIR,
    ]


def target_of(service: Service) -> Target:
    """What a service that is on record was done to."""
    if service.owned_piece is not None:
        return Target(service.owned_piece.reference, f"{service.owned_piece}", owned_piece=service.owned_piece)
    if service.candidate is not None:
        return Target(f"try-{service.candidate_id}", service.candidate.name, candidate=service.candidate)
    return HER_OWN_HAIR
