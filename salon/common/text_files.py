"""Takes apart a file that somebody chose: its bytes into text, and text of commas into rows, or a sentence why not.

UTF-8 with or without a byte order mark; RFC 4180 quoting (MEMORY). Lines are counted as an editor counts them from 1.
What the text means is for whoever asked.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Iterator
from typing import Final

SAVE_AS_CSV: Final = "Save it as “CSV UTF-8”, separated by commas or semicolons."

# how other files begin, whatever they are called (their formats' own descriptions, MEMORY)
_NO_TEXT: Final = {
    "a workbook or an archive": (
        b"PK\x03\x04",
        b"\xd0\xcf\x11\xe0",
        b"\x1f\x8b",
        b"Rar!\x1a\x07",
        b"7z\xbc\xaf\x27\x1c",
    ),
    "a picture": (b"\xff\xd8\xff", b"\x89PNG\r\n", b"GIF87a", b"GIF89a", b"II*\0", b"MM\0*"),
    "a document to be printed": (b"%PDF-",),
}


class FileRefused(Exception):  # noqa: N818  # a refusal of the whole file, as the deeds of this house say it
    """Why a file can't be read; line 0 stands for the file as a whole."""

    def __init__(self, sentence: str, line: int = 0, column: str = "", written: str = "") -> None:
        super().__init__(sentence)
        self.where = (line, column, written, sentence)


def decoded(content: bytes, *, largest_bytes: int, save_as: str = SAVE_AS_CSV, empty: str) -> str:
    """The text of a file. `empty`: what to say of one without a letter; `save_as`: how to make one that can be read."""
    if len(content) > largest_bytes:
        raise FileRefused(f"The file is larger than {largest_bytes // 1_000_000} MB. Split it into several.")
    if not content.strip():
        raise FileRefused(empty)
    for what, beginnings in _NO_TEXT.items():
        if content.startswith(beginnings):
            raise FileRefused(f"This is {what}, not a text file. {save_as}")
    if content.startswith((b"\xff\xfe", b"\xfe\xff")):
        raise FileRefused(f"This text is in UTF-16, not in UTF-8. {save_as}")
    if b"\0" in content:
        raise FileRefused(f"This is not a text file. {save_as}")
    try:
        return content.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = content[: error.start].count(b"\n") + 1
        raise FileRefused(f"From here on the text is not in UTF-8. {save_as}", line) from None


def rows(text: str, *, delimiter: str, most_lines: int) -> Iterator[tuple[int, list[str]]]:
    """(line number, cells) of every line that is not blank, the header among them."""
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=delimiter, strict=True)
    begins, count = 1, 0
    while True:
        try:
            cells = next(reader)
        except StopIteration:
            return
        except csv.Error as error:
            if "limit" in str(error):  # the only one of its errors that is not about quotation marks
                raise FileRefused(
                    "A cell here is far too long. Is a separator or a quotation mark missing?", begins
                ) from None
            raise FileRefused(
                "A quotation mark is out of place here, or one that is opened is never closed. A cell that holds a "
                "quotation mark stands in quotation marks and doubles it.",
                begins,
            ) from None
        if any(cell.strip() for cell in cells):
            count += 1
            if count > most_lines + 1:
                raise FileRefused(f"The file has more than {most_lines:,} lines. Split it into several.", begins)
            yield begins, cells
        begins = reader.line_num + 1
