"""Visits and what happens in them; each file is one subject."""

from fittings.models.awaited import AwaitedPiece
from fittings.models.calendar_feed import CalendarFeed
from fittings.models.care import CareDate, LifeLearnt
from fittings.models.condition import PARTS, ConditionCheck, Repair, StrandTest, Wear
from fittings.models.desk import Appointment, AppointmentChange
from fittings.models.fitting import Candidate, Fitting, TryOn
from fittings.models.hours import Closure, OpeningHours, TimeOff, Weekday, WorkingHours
from fittings.models.house_rule import HouseRule
from fittings.models.kinds_and_places import Place, Purpose, ServiceKind
from fittings.models.laying_out import UnitToTry
from fittings.models.owned import Loan, OwnedPiece
from fittings.models.photos import VisitPhotoSet
from fittings.models.reminder import Reminder
from fittings.models.service import Override, Service
from fittings.models.waiting import PartOfDay, WaitingEntry
from fittings.models.wearing import Wash, WashLink, WearEntry

__all__ = [
    "PARTS",
    "Appointment",
    "AppointmentChange",
    "AwaitedPiece",
    "CalendarFeed",
    "Candidate",
    "CareDate",
    "Closure",
    "ConditionCheck",
    "Fitting",
    "HouseRule",
    "LifeLearnt",
    "Loan",
    "OpeningHours",
    "Override",
    "OwnedPiece",
    "PartOfDay",
    "Place",
    "Purpose",
    "Reminder",
    "Repair",
    "Service",
    "ServiceKind",
    "StrandTest",
    "TimeOff",
    "TryOn",
    "UnitToTry",
    "VisitPhotoSet",
    "WaitingEntry",
    "Wash",
    "WashLink",
    "Wear",
    "WearEntry",
    "Weekday",
    "WorkingHours",
]
