"""The records about a client; each file is one subject."""

from clients.models.access import AccessEntry
from clients.models.assessment import Assessment, ColourReading
from clients.models.client import Client, SearchKey
from clients.models.consent import Consent
from clients.models.health import Sensitivity, SkinTest
from clients.models.intake import Intake, IntakeLink
from clients.models.merging import Merge
from clients.models.photo import Photo, PhotoSet
from clients.models.product import Product
from clients.models.repainting import Repainting

__all__ = [
    "AccessEntry",
    "Assessment",
    "Client",
    "ColourReading",
    "Consent",
    "Intake",
    "IntakeLink",
    "Merge",
    "Photo",
    "PhotoSet",
    "Product",
    "Repainting",
    "SearchKey",
    "Sensitivity",
    "SkinTest",
]
