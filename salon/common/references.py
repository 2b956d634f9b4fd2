"""What is this record called: short references that can be read aloud, typed back and checked.

A reference is a prefix that says what it names, a hyphen, seven random characters and a check character: C-7K2M9QAV.
The alphabet is the ten digits and the capitals without I, L, O and U, so no two characters look alike; the check
character is ISO/IEC 7064 MOD 37,36 over prefix and body, which finds every single slip and nearly every swap of
neighbours (MEMORY). Whether a record with that reference exists is for the one who keeps it.
"""

import re
import secrets
from typing import Final

from stdnum.iso7064 import mod_37_36

ALPHABET: Final = "0123456789ABCDEFGHJKMNPQRSTVWXYZ"
_BODY_LENGTH: Final = 7
_LONGEST_TEXT: Final = 40
_LOOK_ALIKES: Final = str.maketrans({"I": "1", "L": "1", "O": "0"})
_PREFIX_LOOK_ALIKES: Final = str.maketrans({"1": "I", "0": "O"})  # prefixes are letters
_EXAMPLE: Final = "C-7K2M9QAV"


def new_reference(prefix: str) -> str:
    """A new random reference; `prefix` is one to four capital letters. The keeper makes sure that it is unique."""
    if not re.fullmatch(r"[A-Z]{1,4}", prefix):
        raise ValueError(f"a prefix is one to four capital letters, got {prefix!r}")
    while True:
        body = "".join(secrets.choice(ALPHABET) for _ in range(_BODY_LENGTH))
        check = mod_37_36.calc_check_digit(prefix + body)
        if check in ALPHABET:  # four of the standard's 36 check characters look like others: draw again
            return f"{prefix}-{body}{check}"


def normalise_reference(text: str, *, like: str = _EXAMPLE) -> str:
    """The reference as it was given out, from text typed in any case, with spaces, without the hyphen, or with I for 1.

    Raises ValueError with a sentence when it has the wrong shape (`like` is its example) or its check character does
    not fit.
    """
    typed = text.strip()
    looks_like = f"A reference looks like {like}: letters, a hyphen and eight characters."
    if len(typed) > _LONGEST_TEXT:
        raise ValueError(f"“{typed[:_LONGEST_TEXT]}…” is too long for a reference. {looks_like}")
    letters = re.sub(r"[\s._‐‑–—-]+", "", typed.upper())
    prefix = letters[: -_BODY_LENGTH - 1].translate(_PREFIX_LOOK_ALIKES)
    body = letters[-_BODY_LENGTH - 1 :].translate(_LOOK_ALIKES)
    if not re.fullmatch(r"[A-Z]{1,4}", prefix) or any(character not in ALPHABET for character in body):
        raise ValueError(f"“{typed}” is not a reference. {looks_like}")
    if not mod_37_36.is_valid(prefix + body):
        raise ValueError(f"“{typed}” has a slip in it: its last character does not fit the rest. Read it again.")
    return f"{prefix}-{body}"
