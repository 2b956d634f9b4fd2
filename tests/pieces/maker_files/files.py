"""Lists as invented makers send them: their own columns, words, units and separators."""

import io
import zipfile

from tests.clients.factories import tiny_picture

PRICES = (
    "Style;Foundation;Colour;Length (in);RRP;Trade;Remark\n"
    "Heron Weir;Wicket 3;walnut-husk;14;1.249,00;560,00;\n"
    "Heron Weir;Wicket 3;walnut-husk;16;1.349,00;600,00;new\n"
)
SHADES = "Code,Description\nwalnut-husk,Deep warm brown\nsedge,Pale ash\n"
STYLES = (
    "Style\tFoundation\tHair\tFall\n"
    "Otter Reach\tWicket 3\tRemy\tWavy\n"
    "Otter Reach\tWicket 3\tRemy\tWavy\n"
    "Bittern Fold\tWicket 3\tfibre HF\tbone straight\n"
)
PRICES_MEAN = {
    "columns": {
        "base": "Foundation",
        "piece": "Style",
        "shade": "Colour",
        "length_mm": "Length (in)",
        "price": "RRP",
        "cost": "Trade",
    },
    "units": {"length_mm": "in"},
}
STYLES_MEAN = {"columns": {"base": "Foundation", "name": "Style", "fibre": "Hair", "texture": "Fall"}}


def archive():
    packed = io.BytesIO()
    with zipfile.ZipFile(packed, "w") as files:
        files.writestr("prices.csv", PRICES)
    return packed.getvalue()


NOT_UTF_8 = PRICES.encode() + "Hélice;Wicket 3;walnut-husk;14;1;1;\n".encode("latin-1")
HOSTILE = {
    "empty": (b"", "The file is empty."),
    "only spaces": (b" \n\n  \n", "The file is empty."),
    "Latin 1": (NOT_UTF_8, "Line 4: From here on the text is not in UTF-8."),
    "UTF-16": (PRICES.encode("utf-16"), "This text is in UTF-16, not in UTF-8."),
    "UTF-16 without its mark": (PRICES.encode("utf-16-le"), "This is not a text file."),
    "NULs": (b"Style;Colour\nHeron\0Weir;walnut\n", "This is not a text file."),
    "an archive": (archive(), "This is a workbook or an archive, not a text file."),
    "another archive": (b"\x1f\x8b\x08\x00" + bytes(range(256)), "This is a workbook or an archive, not a text file."),
    "a picture": (tiny_picture(), "This is a picture, not a text file."),
    "a paper": (b"%PDF-1.7\n1 0 obj\n", "This is a document to be printed, not a text file."),
    "1,000,000 columns": (b"a;" * 1_000_000 + b"\n", "Line 1: The first line names 1,000,000 columns, and at most 200"),
    "1,000,000 empty columns": (b"a" + b";" * 1_000_000 + b"\n1;2\n", "Line 1: The first line does not name the"),
    "one column": (b"a poem about hair\nand another\n", "Line 1: The first line does not name the columns"),
    "a very long line": (b"Style;Colour\n" + b"x" * 2_000_000 + b";y\n", "Line 2: A cell here is far too long."),
    "a very long header": (b"x" * 2_000_000 + b";y\n", "Line 1: A cell here is far too long."),
    "a quotation mark left open": (b'Style;Colour\n"Heron;walnut\n', "Line 2: A quotation mark is out of place here"),
    "a quotation mark left open in the header": (b'"Style;Colour\nHeron;walnut\n', "Line 1: A quotation mark is out"),
}  # fmt: skip  # a file and its sentence read side by side
