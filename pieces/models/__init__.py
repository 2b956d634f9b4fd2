"""What the salon sells, what lies in its drawers, and the money for it; each file is one subject."""

from pieces.models.asked import AskedFor
from pieces.models.base import Base, BaseClip, BaseTapeArea, Maker
from pieces.models.counting import Stocktake, StocktakeScan
from pieces.models.maker_columns import MakerColumns
from pieces.models.maker_order import MakerOrder, OrderLine
from pieces.models.movement import StockMovement
from pieces.models.picture import PiecePicture
from pieces.models.piece import Piece
from pieces.models.price_list import PricedService, TaxRate
from pieces.models.ring import RingPhoto, ShadeReading
from pieces.models.sale import Payment, Receipt, ReceiptCounter, Sale, SaleLine
from pieces.models.shade import Shade
from pieces.models.stock import Unit, Variant
from pieces.models.taking_back import Return, ReturnReason

__all__ = [
    "AskedFor",
    "Base",
    "BaseClip",
    "BaseTapeArea",
    "Maker",
    "MakerColumns",
    "MakerOrder",
    "OrderLine",
    "Payment",
    "Piece",
    "PiecePicture",
    "PricedService",
    "Receipt",
    "ReceiptCounter",
    "Return",
    "ReturnReason",
    "RingPhoto",
    "Sale",
    "SaleLine",
    "Shade",
    "ShadeReading",
    "StockMovement",
    "Stocktake",
    "StocktakeScan",
    "TaxRate",
    "Unit",
    "Variant",
]
