"""What fixing a piece to the head asks: how, with which tape where, and where each clip sits now."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any

from django import forms

from clients.models import Product
from clients.models.health import Substance
from fittings.consult.fields import ChoiceField, TickField
from fittings.models import HouseRule, Service
from fittings.rules.facts import ADHESIVE_SUBSTANCES, FIXINGS
from fittings.services.details import TAPE_WORDS, ClipAt, ClipMoves
from fittings.services.fields import asked_yes_no, product_field, text_field, ticks
from fittings.services.service_form import ServiceForm
from fittings.services.targets import Target
from pieces.bases.construction import Clip
from pieces.bases.drawing import ClipMark, draw_base
from salon.common.form_fields import LengthField, WholeField, unchanged

NEW_CLIPS = 2
LONGEST_CLIP_MM, USUAL_CLIP_MM = 80, 30.0  # common practice: 25 to 40 mm


class LabelRead(ServiceForm):
    """Asks what an adhesive contains, or that its label was read and names none of it."""

    adhesive_contains = TickField(
        label="Tape or adhesive contains, by its label",
        choices=[(Substance.ACRYLATE, "Acrylate"), (Substance.LATEX, "Latex"), (Substance.ROSIN, "Rosin")],
    )
    label_read = forms.BooleanField(
        label="I have read the label; nothing of these is in it",
        required=False,
        help_text="Tick only when none applies.",
    )

    def facts(self) -> dict[str, Any]:
        facts = super().facts()
        if self.cleaned_data.get("label_read") and "adhesive_contains" not in facts:
            facts["adhesive_contains"] = []  # known to hold none, which is not the same as not known
        return facts

    def _order(self) -> list[str]:
        names = super()._order()
        after = names.index("adhesive_contains") + 1
        return [*names[:after], "label_read", *names[after:]]


class FixingForm(LabelRead):
    kind = Service.Kind.FIXING
    fact_fields = ("planned_fixing", "adhesive_contains")
    own_hair = False

    planned_fixing = TickField(
        label="How it is fixed", choices=[(key, word.capitalize()) for key, word in FIXINGS.items()]
    )

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean()
        if not cleaned.get("planned_fixing"):
            self.add_error("planned_fixing", "Tick how it is fixed.")
        return cleaned


class TapeForm(LabelRead):
    kind = Service.Kind.TAPE
    fact_fields = ("adhesive_contains", "flammable_remover_wet")
    detail_fields = ("product", "where", "lot", "renew_after_days")
    given = {"planned_fixing": ["tape"]}
    own_hair = False

    flammable_remover_wet = asked_yes_no("A remover or cleaner still wet on hair or base")
    product = product_field("Tape, by its label")
    where = ticks("Where", TAPE_WORDS)
    lot = text_field("Lot", 40)
    renew_after_days = WholeField(label="To be renewed after so many days", low=1, high=365)

    def prepare(self) -> None:
        self.initial.setdefault("renew_after_days", int(HouseRule.objects.current()["care_tape_days"]))

    def facts(self) -> dict[str, Any]:
        """A tape of the salon's list whose label was read says itself what it contains."""
        facts, listed = super().facts(), self._listed()
        if listed is not None and listed.contains_read:
            facts["adhesive_contains"] = [one for one in listed.contains if one in ADHESIVE_SUBSTANCES]
        return facts

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean()
        if not self.plans and not cleaned.get("product"):
            self.add_error("product", "Write which tape, by its label.")
        if not self.plans and not cleaned.get("where"):
            self.add_error("where", "Tick where it was taped.")
        return cleaned

    def _order(self) -> list[str]:
        """Which tape and where first; a tape of the list then answers what it contains."""
        first = ["done_to", "product", "where"]
        return [*first, *(name for name in super()._order() if name not in first)]

    def _listed(self) -> Product | None:
        return self.product_named(self.cleaned_data.get("product") or "")


@dataclass(frozen=True)
class ClipRow:
    """One clip on the form: where it sits so far (None: it is new), and its fields."""

    number: int
    was: ClipAt | None
    fields: list[forms.BoundField]


@dataclass(frozen=True)
class ClipsDrawn:
    """The base with each clip where the form says it sits now, under its number."""

    outline: str
    view: str
    marks: list[tuple[int, ClipMark]]


class ClipsForm(ServiceForm):
    """Each clip that is there can be moved or taken off, and a few can be added: by millimetres, shown on a drawing."""

    kind = Service.Kind.CLIPS
    given = {"planned_fixing": ["clips"]}
    own_hair = False
    asks_when_whole = True

    def prepare(self) -> None:
        self.rows = [*self._clips_so_far(), *[(None, None)] * NEW_CLIPS]
        for number, (was, now) in enumerate(self.rows, start=1):
            self.fields[f"on_{number}"] = forms.BooleanField(label="Stays on" if was else "New clip", required=False)
            self.fields[f"u_{number}"] = LengthField(
                low_mm=0, high_mm=450, noun="a clip's place", whole_mm=True, label="From the front edge"
            )
            self.fields[f"v_{number}"] = LengthField(
                low_mm=0, high_mm=225, noun="a clip's place", whole_mm=True, label="From the middle"
            )
            self.fields[f"side_{number}"] = ChoiceField(
                label="To her", choices=[("left", "Left"), ("right", "Right")], unasked="On the middle"
            )
            self.fields[f"length_{number}"] = LengthField(
                low_mm=1, high_mm=LONGEST_CLIP_MM, noun="a clip's length", whole_mm=True, label="Length"
            )
            self.initial.update(_at_first(number, now or was, stays=now is not None))

    def _targets(self) -> list[Target]:
        """The page is about one piece, for its clips are what is asked."""
        targets = super()._targets()
        return [one for one in targets if one.key == self.piece] or targets

    @property
    def asked(self) -> list[forms.BoundField]:
        """Without the clips, which stand in rows of their own."""
        return [field for field in super().asked if not field.name.startswith(("on_", "u_", "v_", "side_", "length_"))]

    @property
    def clip_rows(self) -> list[ClipRow]:
        parts = ("on", "u", "v", "side", "length")
        return [
            ClipRow(number, self._was(number), [self[f"{part}_{number}"] for part in parts])
            for number in self._numbers()
        ]

    @property
    def drawing(self) -> ClipsDrawn | None:
        """As the answers stand; a clip whose place can't be read yet is left out."""
        piece = self.target
        if piece is None or not piece.is_piece:
            return None
        variant = piece.owned_piece.unit.variant if piece.owned_piece else piece.candidate.variant  # type: ignore[union-attr]  # one of the two is there
        sits = [(number, self._drawn(number)) for number in self._numbers()]
        clips = [(number, Clip(one.u_mm or 0, one.v_mm or 0, one.length_mm or 1)) for number, one in sits if one]
        drawn = draw_base(replace(variant.piece.base.shape(), clips=tuple(clip for _, clip in clips)))
        around = f"{-drawn.width / 2 - 8:.0f} -8 {drawn.width + 16:.0f} {drawn.length + 16:.0f}"
        return ClipsDrawn(drawn.outline, around, list(zip((number for number, _ in clips), drawn.clips, strict=True)))

    def read_details(self) -> dict[str, Any]:
        return {"moves": [{"was": was, "now": now} for was, now in self._moves()]}

    def clean(self) -> dict[str, Any]:
        for number in self._numbers():
            self._check_clip(number)
        cleaned = super().clean()
        if not self.errors and all(was == now for was, now in self._moves()):
            self.add_error(None, "Every clip sits where it sat. Move one, take one off or add one.")
        return cleaned

    def _moves(self) -> list[tuple[dict[str, Any] | None, dict[str, Any] | None]]:
        """Each clip that was there or is there now, before and after; as `details.ClipMoves` keeps them."""
        rows = []
        for number in self._numbers():
            was = self._was(number)
            before = None if was is None else was.as_kept()
            after = self._now(number)
            if before is not None or after is not None:
                rows.append((before, after))
        return rows

    def _now(self, number: int) -> dict[str, Any] | None:
        if not self.cleaned_data.get(f"on_{number}"):
            return None
        v = self._length(f"v_{number}") or 0.0
        return {
            "u_mm": self._length(f"u_{number}") or 0.0,
            "v_mm": -v if self.cleaned_data.get(f"side_{number}") == "right" else v,
            "length_mm": self._length(f"length_{number}") or USUAL_CLIP_MM,
        }

    def _length(self, name: str) -> float | None:
        """As written; what was only shown and sent back again is exact, whatever inches round it to."""
        at_first = self.initial.get(name)
        if unchanged(self.fields[name], at_first, self.data.get(name)):
            return None if at_first is None else float(at_first)
        written = self.cleaned_data.get(name)
        return None if written is None else float(written)

    def _check_clip(self, number: int) -> None:
        said = self.cleaned_data
        if not said.get(f"on_{number}"):
            return
        if said.get(f"u_{number}") is None and not self.has_error(f"u_{number}"):
            self.add_error(f"u_{number}", "Write how far it sits behind the front edge.")
        if said.get(f"v_{number}") and not said.get(f"side_{number}"):
            self.add_error(f"side_{number}", "Press to which side of the middle it sits.")
        if said.get(f"side_{number}") and not said.get(f"v_{number}") and not self.has_error(f"v_{number}"):
            self.add_error(f"v_{number}", "Write how far it sits from the middle.")

    def _drawn(self, number: int) -> ClipAt | None:
        if not self.is_bound:
            return self.rows[number - 1][1]
        if any(self.has_error(f"{part}_{number}") for part in ("u", "v", "side", "length")):
            return None
        now = self._now(number)
        return None if now is None else ClipAt(**now)

    def _numbers(self) -> range:
        return range(1, len(self.rows) + 1)

    def _was(self, number: int) -> ClipAt | None:
        return self.rows[number - 1][0]

    def _clips_so_far(self) -> list[tuple[ClipAt | None, ClipAt | None]]:
        """Where each clip sits, before and now; a correction starts from what it corrects says of both."""
        if self.corrects is not None:
            return [(move.was, move.now) for move in ClipMoves.read(self.corrects.details).moves]
        piece = self.target
        if piece is not None and piece.owned_piece is not None:
            clips = [ClipAt.read(clip) for clip in piece.owned_piece.clips]
        elif piece is not None and piece.candidate is not None:
            made = piece.candidate.variant.piece.base.clips.all()
            clips = [ClipAt(float(clip.u_mm), float(clip.v_mm), float(clip.length_mm)) for clip in made]
        else:
            clips = []
        return [(clip, clip) for clip in clips]


def _at_first(number: int, clip: ClipAt | None, *, stays: bool) -> dict[str, Any]:
    if clip is None:
        return {}
    v = clip.v_mm or 0.0
    return {
        f"on_{number}": stays,
        f"u_{number}": clip.u_mm,
        f"v_{number}": abs(v) or None,
        f"side_{number}": "left" if v > 0 else "right" if v < 0 else "",
        f"length_{number}": clip.length_mm,
    }
