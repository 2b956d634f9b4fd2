"""Files as phones, cameras and programs send them: one small scene in every format, with all they write beside it."""

import re
import struct
import warnings
import zlib
from io import BytesIO

import numpy as np
import pillow_heif
from PIL import Image

from salon.common.pictures import take_in

pillow_heif.register_heif_opener()

FORMATS = ["JPEG", "PNG", "WEBP", "HEIF"]
LOSSLESS = {"JPEG": {"quality": 95, "subsampling": 0}, "PNG": {}, "WEBP": {"lossless": True}, "HEIF": {"quality": 95}}


def scene(width=96, height=64):
    """Four plain corners of different colours, so that every turning and mirroring is another picture."""
    pixels = np.empty((height, width, 3), np.uint8)
    for rows, row_colours in zip(
        np.array_split(np.arange(height), 2),
        [((180, 60, 50), (60, 140, 70)), ((50, 80, 170), (210, 200, 120))],
        strict=True,
    ):
        for columns, colour in zip(np.array_split(np.arange(width), 2), row_colours, strict=True):
            pixels[np.ix_(rows, columns)] = colour
    return pixels


def written(picture, form, **how):
    """The bytes of a picture (Pillow's, or an array of pixels) in this format."""
    file = BytesIO()
    picture = picture if isinstance(picture, Image.Image) else Image.fromarray(picture)
    picture.save(file, form, **(LOSSLESS[form] | how))
    return file.getvalue()


def taken(data):
    return take_in(BytesIO(data), size=len(data))


def pixels(jpeg):
    return np.asarray(Image.open(BytesIO(jpeg), formats=["JPEG"]).convert("RGB"))


def as_held(upright, orientation):
    """What a camera held this way stores of an upright scene: EXIF 2.32, table 6, from memory, where the first row and
    column of what is stored are the scene's top, right, bottom or left."""
    return {
        1: lambda s: s,  # top, left
        2: lambda s: s[:, ::-1],  # top, right
        3: lambda s: s[::-1, ::-1],  # bottom, right
        4: lambda s: s[::-1],  # bottom, left
        5: lambda s: s.swapaxes(0, 1),  # left, top
        6: lambda s: s.swapaxes(0, 1)[::-1],  # right, top
        7: lambda s: s.swapaxes(0, 1)[::-1, ::-1],  # right, bottom
        8: lambda s: s.swapaxes(0, 1)[:, ::-1],  # left, bottom
    }[orientation](upright)


# EXIF, written by hand so that the thumbnail, the place and the serial numbers are surely in it

THUMBNAIL = written(scene(16, 16), "JPEG")
SERIAL_NUMBER = b"SN-4711-0815\x00"


def exif(orientation=1):
    """A TIFF of EXIF: make, model, orientation; date and serial numbers; a place; a thumbnail."""
    short, ascii_, rational, long, byte = 3, 2, 5, 4, 1
    blocks = [b"II*\x00\x08\x00\x00\x00"]

    def directory(entries, following=0):
        """The directory at the place reached, its long values after it; pointers are given as ready numbers."""
        start = sum(map(len, blocks))
        values_at = start + 2 + 12 * len(entries) + 4
        table, values = struct.pack("<H", len(entries)), b""
        for tag, kind, count, value in entries:
            if len(value) > 4:
                table += struct.pack("<HHII", tag, kind, count, values_at + len(values))
                values += value + b"\x00" * (len(value) % 2)
            else:
                table += struct.pack("<HHI", tag, kind, count) + value.ljust(4, b"\x00")
        return table + struct.pack("<I", following) + values

    def number(value):
        return struct.pack("<I", value)

    main = [
        (0x010F, ascii_, 9, b"Invented\x00"),
        (0x0110, ascii_, 8, b"Phone 9\x00"),
        (0x0112, short, 1, struct.pack("<H", orientation)),
        (0x8769, long, 1, number(0)),
        (0x8825, long, 1, number(0)),
    ]
    details = [
        (0x9003, ascii_, 20, b"2026:03:14 10:11:12\x00"),
        (0xA431, ascii_, len(SERIAL_NUMBER), SERIAL_NUMBER),
        (0xA435, ascii_, len(SERIAL_NUMBER), SERIAL_NUMBER),
    ]
    degrees = struct.pack("<6I", 51, 1, 28, 1, 40, 1)
    place = [
        (0x0000, byte, 4, b"\x02\x03\x00\x00"),
        (0x0001, ascii_, 2, b"N\x00"),
        (0x0002, rational, 3, degrees),
        (0x0003, ascii_, 2, b"W\x00"),
        (0x0004, rational, 3, degrees),
    ]
    thumbnail = [(0x0103, short, 1, b"\x06\x00"), (0x0201, long, 1, number(0)), (0x0202, long, 1, number(0))]
    sizes = [len(directory(entries)) for entries in (main, details, place, thumbnail)]
    at = np.cumsum([8, *sizes])  # where each directory begins, and the thumbnail after the last
    main[3:] = [(0x8769, long, 1, number(at[1])), (0x8825, long, 1, number(at[2]))]
    thumbnail[1:] = [(0x0201, long, 1, number(at[4])), (0x0202, long, 1, number(len(THUMBNAIL)))]
    for entries, following in ((main, at[3]), (details, 0), (place, 0), (thumbnail, 0)):
        blocks.append(directory(entries, following))
    return b"Exif\x00\x00" + b"".join(blocks) + THUMBNAIL


XMP = (
    b'<?xpacket begin="\xef\xbb\xbf"?><x:xmpmeta xmlns:x="adobe:ns:meta/"><rdf:RDF xmlns:rdf='
    b'"http://www.w3.org/1999/02/22-rdf-syntax-ns#"><rdf:Description xmlns:aux="http://ns.adobe.com/exif/1.0/aux/" '
    b'aux:SerialNumber="SN-4711-0815"/></rdf:RDF></x:xmpmeta><?xpacket end="w"?>'
)


# JPEG segments and PNG chunks


def segment(marker, body):
    return bytes([0xFF, marker]) + struct.pack(">H", len(body) + 2) + body


def with_segments(jpeg, *segments):
    """The JPEG with these segments before all of its own."""
    return jpeg[:2] + b"".join(segments) + jpeg[2:]


def iptc():
    """A caption and a city, as picture desks write them into the resource blocks of the thirteenth segment."""
    records = b"".join(
        struct.pack(">BBBH", 0x1C, 2, number, len(text)) + text
        for number, text in ((120, b"Ada's photo"), (90, b"Bath"))
    )
    return segment(0xED, b"Photoshop 3.0\x008BIM\x04\x04\x00\x00" + struct.pack(">I", len(records)) + records)


def chunk(name, body):
    return struct.pack(">I", len(body)) + name + body + struct.pack(">I", zlib.crc32(name + body))


def with_chunks(png, *chunks):
    """The PNG with these chunks after its header."""
    return png[:33] + b"".join(chunks) + png[33:]


def rich(form):
    """The scene in this format, with everything a camera or a program may write beside it; not turned."""
    if form == "JPEG":
        jpeg = written(scene(), form, exif=exif(), xmp=XMP, comment=b"Taken by Ada at home")
        return with_segments(jpeg, iptc())
    if form == "PNG":
        texts = [
            chunk(b"tEXt", b"Author\x00Ada"),
            chunk(b"zTXt", b"Comment\x00\x00" + zlib.compress(b"At home")),
            chunk(b"iTXt", b"XML:com.adobe.xmp\x00\x00\x00\x00\x00" + XMP),
            chunk(b"tIME", struct.pack(">HBBBBB", 2026, 3, 14, 10, 11, 12)),
        ]
        return with_chunks(written(scene(), form, exif=exif()), *texts)
    if form == "WEBP":
        return _with_chunk(written(scene(), form, xmp=XMP, exif=exif()), b"EXIF", exif())
    return _with_places_in_one_number(written(scene(), form, exif=exif(), xmp=XMP))


def _with_chunk(webp, name, body):
    """With this body in place of the last chunk's: cameras leave the six letters before EXIF that Pillow takes off.

    The picture's own chunk is made even, because ExifRead does not step over the byte that fills up an odd one.
    """
    listed, position = b"WEBP", 12
    while position < len(webp):
        kind, length = struct.unpack_from("<4sI", webp, position)
        content = body if kind == name else webp[position + 8 : position + 8 + length]
        content += b"\x00" * (len(content) % 2)
        listed += kind + struct.pack("<I", len(content)) + content
        position += 8 + length + length % 2
    return b"RIFF" + struct.pack("<I", len(listed)) + listed


def _with_places_in_one_number(heic):
    """Where each part lies said by one number, as phones do; ExifRead does not add the two that libheif writes."""
    start = heic.find(b"iloc")
    end = heic.find(b"iinf")
    entry = re.compile(rb"(\x00[\x01-\x09]\x00\x00)(.{4})(\x00\x01)\x00{4}", re.DOTALL)
    return (
        heic[:start] + entry.sub(lambda found: found[1] + bytes(4) + found[3] + found[2], heic[start:end]) + heic[end:]
    )


# A colour profile, as phones embed one


def colour_science():
    """The library, without its complaint that it can't plot."""
    with warnings.catch_warnings():
        warnings.filterwarnings("ignore", ".*API features are not available")
        import colour
    return colour


def display_p3_profile():
    """A version 4 ICC profile of Display P3 (ICC.1:2010), its primaries and white from colour-science, adapted to D50
    by Bradford."""
    colour = colour_science()
    p3 = colour.RGB_COLOURSPACES["Display P3"]
    to_d50 = colour.adaptation.matrix_chromatic_adaptation_VonKries(
        colour.xy_to_XYZ(p3.whitepoint), [0.9642, 1.0, 0.8249], transform="Bradford"
    )
    columns = (to_d50 @ p3.matrix_RGB_to_XYZ).T
    curve = [2.4, 1 / 1.055, 0.055 / 1.055, 1 / 12.92, 0.04045]
    return icc_profile(columns, curve)


def icc_profile(columns, curve):
    """From the XYZ of red, green and blue under D50 and the five parameters of a tone curve of type 3."""

    def fixed(*values):
        return b"".join(struct.pack(">i", round(value * 65536)) for value in values)

    text = "invented".encode("utf-16-be")
    words = b"mluc\x00\x00\x00\x00" + struct.pack(">II", 1, 12) + b"enGB" + struct.pack(">II", len(text), 28) + text
    tone = b"para\x00\x00\x00\x00\x00\x03\x00\x00" + fixed(*curve)
    tags = {b"desc": words, b"cprt": words, b"wtpt": b"XYZ \x00\x00\x00\x00" + fixed(0.9642, 1.0, 0.8249)}
    tags |= {b"rTRC": tone, b"gTRC": tone, b"bTRC": tone}
    tags |= {
        name: b"XYZ \x00\x00\x00\x00" + fixed(*column)
        for name, column in zip((b"rXYZ", b"gXYZ", b"bXYZ"), columns, strict=True)
    }
    table, body = struct.pack(">I", len(tags)), b""
    for name, content in tags.items():
        table += name + struct.pack(">II", 128 + 4 + 12 * len(tags) + len(body), len(content))
        body += content + b"\x00" * (-len(content) % 4)
    head = bytes(8) + b"\x04\x30\x00\x00mntrRGB XYZ " + struct.pack(">6H", 2026, 1, 1, 0, 0, 0) + b"acsp"
    head = head.ljust(68, b"\x00") + fixed(0.9642, 1.0, 0.8249)
    profile = head.ljust(128, b"\x00") + table + body
    return struct.pack(">I", len(profile)) + profile[4:]
