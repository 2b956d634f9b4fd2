"""Which doctor is it best to see with a sign for referral, and how soon? In calm words, for the paper and the screen.

That a doctor should look is the rule `refer`'s to say; this adds whom to ask and when. It names no cause, and a doctor
or a local service who says otherwise comes first. Which signs are looked at sooner: loss with scarring does not grow
back and is sent on early (BNSSG Remedy, READ); sores, pus and fever within days and the rest within weeks is common
practice; pulling out one's own hair is met with kindness and an offer of help (ICD-10 F63.3, READ for the code only).
"""

from __future__ import annotations

from collections.abc import Collection
from typing import Final, NamedTuple

from clients.models.assessment import ReferralSign
from fittings.rules.facts import FACTS


class Advice(NamedTuple):
    """What is best done about some signs, and how it is said."""

    signs: tuple[ReferralSign, ...]
    says: str


ADVICE: Final = (
    Advice(
        (ReferralSign.PUSTULES, ReferralSign.PAIN, ReferralSign.UNWELL),
        "Best in the next few days, with a family doctor",
    ),
    Advice(
        (ReferralSign.CHILD,),
        "Best in the next two weeks or so, with a family doctor or a children's doctor",
    ),
    Advice(
        (
            ReferralSign.SHINY,
            ReferralSign.SUDDEN,
            ReferralSign.PATCHY,
            ReferralSign.EXTENSIVE,
            ReferralSign.SCALING,
            ReferralSign.ITCH,
            ReferralSign.BROWS,
        ),
        "Best in the next two weeks or so, with a family doctor, who can send on to a dermatologist",
    ),
    Advice(
        (ReferralSign.EXPECTING,),
        "At the next check-up, with the midwife or doctor, and before anything is taken or put on for the hair",
    ),
    Advice((ReferralSign.CYCLE,), "When it suits, with a family doctor"),
    Advice(
        (ReferralSign.PULLED,),
        "When it suits, with a family doctor or a counsellor: many people know it, and there is help for it",
    ),
)


def which_doctor_and_when(signs: Collection[str]) -> tuple[str, ...]:
    """A sentence for each kind of advice, the soonest first; it names its signs where others are ticked as well."""
    words = FACTS["referral_signs"].values
    told = [(advice, [sign for sign in advice.signs if sign in signs]) for advice in ADVICE]
    told = [(advice, ticked) for advice, ticked in told if ticked]
    if len(told) == 1:
        return (f"{told[0][0].says}.",)
    return tuple(f"{advice.says}: {'; '.join(words[sign] for sign in ticked)}." for advice, ticked in told)
