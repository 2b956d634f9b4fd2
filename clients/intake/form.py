"""Asks a client what she agrees to, what she tells, and for her signature; what may be kept is for `clients.intaking`.

Of her record the form shows her first name and the day of each consent that stands. The words of the consents go with
the page as a fingerprint, so that what is signed is what was shown.
"""

from __future__ import annotations

import hashlib
from dataclasses import dataclass
from datetime import datetime
from typing import Any, Final

from django import forms
from django.core.exceptions import NON_FIELD_ERRORS, ValidationError

from clients.consent_texts import CONSENT_TEXTS, consent_words
from clients.consenting import full_name, is_under_age, live_consents
from clients.intaking import Answers, AnswersNeedConsent, IntakeClosed, send_intake
from clients.models import Consent, Intake, IntakeLink
from clients.models.assessment import Chemotherapy, YesNo
from clients.models.consent import ConsentKind
from clients.models.health import Substance
from clients.signatures import LONGEST_SENT, Strokes, read_strokes
from salon.models import Salon

OVER, UNDER = "over", "under"
WITHOUT_ANSWERS: Final = "without answers"
_LONGEST_TEXT = 10_000
_UNANSWERED = [("", "I’d rather not say")]
_YES_NO = [(YesNo.YES.value, "Yes"), (YesNo.NO.value, "No")]
# as a client knows these things, not as a label names them
IN_PLAIN_WORDS: Final = {
    Substance.HAIR_DYE: "Hair colour or dye",
    Substance.BLACK_HENNA: "A temporary black tattoo, such as “black henna”",
    Substance.ACRYLATE: "Plasters, sticky tape, lash or nail glue (acrylate)",
    Substance.LATEX: "Rubber gloves or balloons (latex)",
    Substance.ROSIN: "Resin of pine trees, as in some plasters and polishes (rosin)",
    Substance.NICKEL: "Cheap jewellery, buckles or buttons (nickel)",
}


@dataclass(frozen=True)
class Asked:
    """One consent as it is put to her; `standing` is hers from before."""

    kind: ConsentKind
    words: str
    version: str
    standing: Consent | None


class IntakeForm(forms.Form):
    """The whole intake. `of_age` is what she said of her age, where her date of birth is not on file."""

    words = forms.CharField(required=False, max_length=64, widget=forms.HiddenInput)
    of_age = forms.ChoiceField(
        choices=[(OVER, "Yes"), (UNDER, "No")], required=False, widget=forms.HiddenInput, label="Old enough to sign"
    )
    story = forms.CharField(
        label="What would you like to tell us about your hair?",
        required=False,
        max_length=_LONGEST_TEXT,
        widget=forms.Textarea(attrs={"rows": 5}),
    )
    losing_since = forms.CharField(label="Since when has it been changing?", required=False, max_length=80)
    chemotherapy = forms.ChoiceField(
        label="Are you having chemotherapy, or have you had it?",
        required=False,
        choices=[*_UNANSWERED, *Chemotherapy.choices],
        widget=forms.RadioSelect,
    )
    under_treatment = forms.ChoiceField(
        label="Is a doctor treating your hair or scalp now?",
        required=False,
        choices=[*_UNANSWERED, *_YES_NO],
        widget=forms.RadioSelect,
    )
    reacts = forms.ChoiceField(
        label="Has your skin ever reacted to something that touched it?",
        required=False,
        choices=[*_UNANSWERED, *_YES_NO],
        widget=forms.RadioSelect,
    )
    substances = forms.MultipleChoiceField(
        label="If yes: was it one of these?",
        required=False,
        choices=[(substance.value, IN_PLAIN_WORDS[substance]) for substance in Substance],
        widget=forms.CheckboxSelectMultiple,
        error_messages={"invalid_choice": "One of the ticked things is not on the list; tick it there."},
    )
    reaction = forms.CharField(
        label="What happened, and to what?",
        required=False,
        max_length=_LONGEST_TEXT,
        widget=forms.Textarea(attrs={"rows": 3}),
    )
    medicines = forms.CharField(
        label="What else should your stylist know of your health?",
        help_text="Only what matters for your head and skin, and only what you want us to know: a tender place, a "
        "medicine that changes hair or skin.",
        required=False,
        max_length=_LONGEST_TEXT,
        widget=forms.Textarea(attrs={"rows": 3}),
    )
    wishes = forms.CharField(
        label="What do you wish for?",
        help_text="A length, a colour, something you would like to do again.",
        required=False,
        max_length=_LONGEST_TEXT,
        widget=forms.Textarea(attrs={"rows": 3}),
    )
    signed_name = forms.CharField(required=False, max_length=120)
    signature = forms.CharField(required=False, widget=forms.HiddenInput)

    def __init__(self, data: Any = None, *, link: IntakeLink, salon: Salon, at: datetime, of_age: str = "") -> None:
        super().__init__(data, initial={"of_age": of_age})
        self.link, self.at, self.age_of_consent = link, at, salon.age_of_consent
        self.answers_need_consent = False
        client = link.client
        self.asks_age = client.born_on is None
        said = self.data.get("of_age", "") if self.is_bound else of_age
        self.guardian_signs = is_under_age(client, salon, at) or (self.asks_age and said == UNDER)
        self.guardian_of = full_name(client) if self.guardian_signs else ""
        standing = live_consents(client)
        self.asked = [
            Asked(
                kind,
                consent_words(kind, salon_name=salon.name, guardian_of=self.guardian_of),
                CONSENT_TEXTS[kind].version,
                standing.get(kind),
            )
            for kind in ConsentKind
        ]
        for asked in self.asked:
            self.fields[f"agree_{asked.kind}"] = self._yes_or_no(asked)
        for field in self.fields.values():
            field.widget.attrs["autocomplete"] = "off"  # the tablet is not hers
        name = self.fields["signed_name"]
        name.label = "The guardian’s full name" if self.guardian_signs else "Your full name"
        name.error_messages["required"] = "Type the full name of the person who signs."

    def clean_of_age(self) -> str:
        said: str = self.cleaned_data["of_age"]
        if self.asks_age and not said:
            raise ValidationError(f"Say first whether you are {self.age_of_consent} or over. Load this page again.")
        return said

    def clean_words(self) -> str:
        shown: str = self.cleaned_data["words"]
        if shown != self.fingerprint:
            raise ValidationError(
                "What you agree to has changed since you opened this page. Read it again below, then send."
            )
        return shown

    def clean_signature(self) -> Strokes:
        return read_strokes(self.cleaned_data["signature"])

    @property
    def fingerprint(self) -> str:
        """Of all that is put to her to sign, and of what stands already."""
        shown = [f"{asked.kind}:{asked.words}:{asked.standing and asked.standing.pk}" for asked in self.asked]
        return hashlib.sha256("\n".join(shown).encode()).hexdigest()

    @property
    def consents(self) -> list[tuple[Asked, forms.BoundField]]:
        return [(asked, self[f"agree_{asked.kind}"]) for asked in self.asked]

    @property
    def strokes_sent(self) -> str:
        """What was drawn, to be drawn again on a page that refuses; nothing when it can't be a signature."""
        sent = str(self["signature"].value() or "")
        return "" if "signature" in self.errors or len(sent) > LONGEST_SENT else sent

    @property
    def errors_above(self) -> list[str]:
        """Sentences that belong to no field that can be seen."""
        names = (NON_FIELD_ERRORS, "words", "of_age")
        return [str(sentence) for name in names for sentence in self.errors.get(name, [])]

    def send(self) -> Intake | None:
        """Store all of it; or put the reason on the form and return None. Raises IntakeClosed."""
        typed = self.cleaned_data
        told = Answers(
            **{name: typed[name] for name in Answers.__dataclass_fields__ if name != "substances"},
            substances=tuple(typed["substances"]),
        )
        try:
            return send_intake(
                link=self.link,
                answers=Answers() if self.data.get("send") == WITHOUT_ANSWERS else told,
                agrees={a.kind: typed[f"agree_{a.kind}"] == YesNo.YES for a in self.asked if typed[f"agree_{a.kind}"]},
                signed_name=typed["signed_name"],
                signature=typed["signature"],
                guardian_signs=self.guardian_signs,
                at=self.at,
            )
        except IntakeClosed:
            raise
        except ValidationError as refusal:
            self.answers_need_consent = isinstance(refusal, AnswersNeedConsent)
            reasons = getattr(refusal, "message_dict", {NON_FIELD_ERRORS: refusal.messages})
            for name, sentences in reasons.items():
                self.add_error(
                    {"guardian_name": "signed_name"}.get(name, name if name in self.fields else None), sentences
                )
            return None

    def _yes_or_no(self, asked: Asked) -> forms.ChoiceField:
        """No answer is chosen beforehand. What stands already needs none, and stays without one."""
        words = ("It stands", "I take it back") if asked.standing else ("Yes, I agree", "No")
        return forms.ChoiceField(
            label=asked.kind.label,
            choices=list(zip(YesNo.values, words, strict=True)),
            required=asked.standing is None,
            widget=forms.RadioSelect,
            error_messages={"required": "Choose yes or no."},
        )
