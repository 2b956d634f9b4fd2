"""What exactly a client agrees to: the words of each consent, and which version of them is asked now.

A changed text gets a new version; what was signed before keeps its own words on the consent itself. The points each
text makes are those a consent about health must make to be informed: what, what for, who sees it, that it is her choice
and how to take it back (Regulation (EU) 2016/679, Art. 7, 9(2)(a) and 13: MEMORY). A salon has its own texts looked at
by somebody who knows the law where it stands.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from clients.models.consent import ConsentKind


@dataclass(frozen=True)
class ConsentText:
    """The words of one kind; `{salon}` stands for the salon's name."""

    version: str
    words: str
    on_withdrawal: str


CONSENT_TEXTS: Final[dict[str, ConsentText]] = {
    ConsentKind.RECORD: ConsentText(
        version="record-1",
        words=(
            "I agree that {salon} writes down what I tell and what is seen and measured of my hair, my scalp and my "
            "health as far as it matters for choosing, fitting and looking after a hairpiece: for example how my hair "
            "loss began, measurements, a map of the remaining hair, colours, reactions of my skin and skin tests. It "
            "is used for that alone. My stylist and the owner of the salon see it; nobody outside the salon does "
            "without my asking. The salon fits hair and gives no medical advice. I need not agree, and I can take "
            "this back at any time by saying so; the salon then writes nothing more of this kind. I can ask to see "
            "what is kept, to have it corrected, to be given a copy, and to have it erased."
        ),
        on_withdrawal=(
            "From then on nothing new about her hair, scalp or health can be written down, so no new consult can "
            "begin. What is stored stays until it is erased: she can ask for that, and the law may ask for it too or "
            "for keeping some of it. Tell the owner, who decides with her and sees to it."
        ),
    ),
    ConsentKind.PHOTOS: ConsentText(
        version="photos-1",
        words=(
            "I agree that {salon} takes photos of my hair, my scalp and the pieces I wear and keeps them in my record, "
            "to compare over time and to prepare my visits. They are shown to nobody outside the salon. I need not "
            "agree, I am looked after just the same without photos, and I can take this back at any time by saying so."
        ),
        on_withdrawal=(
            "No more photos are taken, and those already kept can't be opened by anybody. They stay locked in her "
            "record until they are erased: ask her what she wishes and tell the owner. Colours that were read from "
            "them stay."
        ),
    ),
    ConsentKind.PUBLICITY: ConsentText(
        version="publicity-1",
        words=(
            "I agree that {salon} shows photos of me outside the salon, for example in its window, in print or on "
            "its own pages, each photo only after I have seen it and said yes to it. My name and anything about my "
            "health are never given with it. I need not agree, I am looked after just the same, and I can take this "
            "back at any time by saying so; the salon then takes the photos down. Copies that others have made may "
            "remain out of its reach."
        ),
        on_withdrawal="No photo of her is shown any more. Take down those that are shown now, and tell the owner.",
    ),
    ConsentKind.REMINDERS: ConsentText(
        version="reminders-1",
        words=(
            "I agree that {salon} reminds me of appointments and of the care of my piece by message, to the phone "
            "number or e-mail address I have given. The messages say nothing about my health. I need not agree, and "
            "I can take this back at any time by saying so."
        ),
        on_withdrawal="No more reminders are sent.",
    ),
}


def consent_words(kind: str, *, salon_name: str, guardian_of: str = "") -> str:
    """The exact words to show and to store. `guardian_of` names a client under age, for whom her guardian signs."""
    words = CONSENT_TEXTS[kind].words.format(salon=salon_name)
    if guardian_of:
        return f"The guardian signs for {guardian_of}; “I”, “me” and “my” below are {guardian_of}. {words}"
    return words
