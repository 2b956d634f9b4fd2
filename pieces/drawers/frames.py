"""Which codes a camera sees: reads the QR codes in a frame, for browsers that read none themselves.

A frame is a small JPEG; it is decoded, looked at and forgotten. Codes by zxing-cpp (ISO/IEC 18004).
"""

from __future__ import annotations

from typing import BinaryIO, Final

from django.core.exceptions import ValidationError
from PIL import Image, ImageFile

LARGEST_BYTES: Final = 2_000_000
MOST_PIXELS: Final = 4_000_000
MOST_CODES: Final = 20  # labels in one view; a frame made to hold thousands is cut short
NO_FRAME: Final = "This is no picture of the camera. Type the number instead."


def codes_in(file: BinaryIO, *, size: int) -> list[str]:
    """The texts of the codes in it, none twice; for any bytes raises ValidationError and nothing else."""
    import zxingcpp

    if size > LARGEST_BYTES:
        raise ValidationError(NO_FRAME)
    ImageFile.LOAD_TRUNCATED_IMAGES = False  # the library that prints turns it on for the whole process
    try:
        with Image.open(file, formats=["JPEG"]) as picture:
            if picture.width * picture.height > MOST_PIXELS:
                raise ValidationError(NO_FRAME)
            grey = picture.convert("L")
    except (OSError, ValueError, SyntaxError, Image.DecompressionBombError) as damaged:
        raise ValidationError(NO_FRAME) from damaged
    found = zxingcpp.read_barcodes(grey, formats=zxingcpp.BarcodeFormats([zxingcpp.BarcodeFormat.QRCode]))
    return list(dict.fromkeys(code.text for code in found))[:MOST_CODES]
