"""Visits and what happens in them; each file is one subject."""

from fittings.models.desk import Appointment, Place, ServiceKind
from fittings.models.fitting import Candidate, Fitting, TryOn
from fittings.models.house_rule import HouseRule
from fittings.models.photos import VisitPhotoSet
from fittings.models.service import Override, Service

__all__ = [
    "Appointment",
    "Candidate",
    "Fitting",
    "HouseRule",
    "Override",
    "Place",
    "Service",
    "ServiceKind",
    "TryOn",
    "VisitPhotoSet",
]
