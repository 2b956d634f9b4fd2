"""What a camera would see: codes side by side on a grey table."""

import io

import segno
from PIL import Image


def picture_of(*texts, size=(900, 500)):
    picture = Image.new("L", size, 180)
    for place, text in enumerate(texts):
        drawn = io.BytesIO()
        segno.make(text, micro=False).save(drawn, kind="png", scale=8, border=4)
        picture.paste(Image.open(drawn).convert("L"), (40 + 430 * place, 60))
    return picture


def frame_of(*texts, size=(900, 500), kind="JPEG"):
    """The bytes that a browser would send."""
    file = io.BytesIO()
    picture_of(*texts, size=size).save(file, kind)
    return file.getvalue()
