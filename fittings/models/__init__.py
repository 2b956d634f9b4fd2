"""Visits and what happens in them; each file is one subject."""

from fittings.models.awaited import AwaitedPiece
from fittings.models.calendar_feed import CalendarFeed
from fittings.models.desk import Appointment, AppointmentChange
from fittings.models.fitting import Candidate, Fitting, TryOn
from fittings.models.hours import Closure, OpeningHours, TimeOff, Weekday, WorkingHours
from fittings.models.house_rule import HouseRule
from fittings.models.kinds_and_places import Place, Purpose, ServiceKind
from fittings.models.laying_out import UnitToTry
from fittings.models.photos import VisitPhotoSet
from fittings.models.reminder import Reminder
from fittings.models.service import Override, Service
from fittings.models.waiting import PartOfDay, WaitingEntry

__all__ = [
    "Appointment",
    "AppointmentChange",
    "AwaitedPiece",
    "CalendarFeed",
    "Candidate",
    "Closure",
    "Fitting",
    "HouseRule",
    "OpeningHours",
    "Override",
    "PartOfDay",
    "Place",
    "Purpose",
    "Reminder",
    "Service",
    "ServiceKind",
    "TimeOff",
    "TryOn",
    "UnitToTry",
    "VisitPhotoSet",
    "WaitingEntry",
    "Weekday",
    "WorkingHours",
]
