"""Files of people as tables and address books give them out, and spoilt ones. Everybody in them is invented."""

import random

CSV = """Family name;Given name;Telephone;E-mail;Date of birth;Shoe size
Ashdown;Ada;07700 900123;ada@ashdown.example;1968-04-09;39
"Thackeray; Quill";Rosalind;;;9.4.1971;
Żółkowska;Zofia;+44 7700 900456;zofia@zolkowska.example;;41
"""

VCARD_3 = """BEGIN:VCARD
VERSION:3.0
N:Ashdown;Ada;;;
FN:Ada Ashdown
NICKNAME:Addy
TEL;TYPE=fax:01632 960001
TEL;TYPE=CELL,pref:07700 900123
EMAIL;TYPE=INTERNET:ada@ashdown.example
BDAY:1968-04-09
NOTE:Parks behind\\nthe house
END:VCARD
"""

VCARD_4 = """BEGIN:VCARD
VERSION:4.0
FN:Zofia Żółkowska
N:Żółkowska;Zofia;;;
TEL;VALUE=uri;PREF=1;TYPE="voice,cell":tel:+44-7700-900456
TEL;VALUE=uri;TYPE=home:tel:+44-1632-960002
EMAIL:zofia@zolkowska.example
BDAY:--0409
END:VCARD
BEGIN:VCARD
VERSION:4.0
FN:Rosalind Thackeray Quill
BDAY:19710409
END:VCARD
"""

ENDS = [
    "",
    "\n",
    "\r\n",
    ";",
    ",",
    '"',
    "END:VCARD",
    "BEGIN:VCARD",
    "N:",
    "VERSION:9",
    "\x00",
    "\x1b[2J",
    "=CMD()",
    "\\",
]
BYTES = [b"\xff", b"\xc3", b"\xe2\x82", b"\x00", b"\xff\xfe", b"PK\x03\x04", b"\xef\xbb\xbf", b"\r", b"\x85"]


def spoilt(text, seed):
    """The file with one to four things done to it that should not have been."""
    draw = random.Random(seed)
    content = text.encode()
    for _ in range(draw.randint(1, 4)):
        at = draw.randrange(len(content) + 1)
        match draw.randrange(8):
            case 0:
                content = content[:at]
            case 1:
                content = content[:at] + draw.choice(BYTES) + content[at:]
            case 2:
                content = content[:at] + draw.choice(ENDS).encode() + content[at:]
            case 3:
                lines = content.split(b"\n")
                del lines[draw.randrange(len(lines))]
                content = b"\n".join(lines)
            case 4:
                lines = content.split(b"\n")
                lines.insert(draw.randrange(len(lines)), draw.choice(lines))
                content = b"\n".join(lines)
            case 5:
                content = content[:at] + content[at : at + 1] * draw.choice([2, 300, 5_000]) + content[at:]
            case 6:
                content = content.replace(
                    draw.choice([b"\n", b";", b":", b"0", b"a"]), draw.choice([b"", b"\t", b"::"]), 3
                )
            case 7:
                content = content[at:]
        content = content or b" "
    return content
