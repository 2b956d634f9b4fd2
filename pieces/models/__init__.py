"""What the salon sells and what lies in its drawers; each file is one subject."""

from pieces.models.base import Base, BaseClip, BaseTapeArea, Maker
from pieces.models.piece import Piece
from pieces.models.ring import RingPhoto, ShadeReading
from pieces.models.shade import Shade
from pieces.models.stock import Unit, Variant

__all__ = [
    "Base",
    "BaseClip",
    "BaseTapeArea",
    "Maker",
    "Piece",
    "RingPhoto",
    "Shade",
    "ShadeReading",
    "Unit",
    "Variant",
]
