"""What else is recorded of a service than the facts the rules read: one small frozen record a kind, kept as plain data.

`read_details` takes the plain data of `Service.details` (or of a form) back; what does not belong there is refused, so
that nothing odd is ever stored. How a record is said on a page or a paper is `told`'s. Millimetres, minutes, percent of
hydrogen peroxide.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import asdict, dataclass, field, fields
from typing import Any, ClassVar, Self

from clients.scalp.regions import ZONES
from fittings.models import Service
from fittings.services.developer import STRONGEST_PERCENT, WEAKEST_PERCENT

ZONE_WORDS = {zone.key: zone.label for zone in ZONES}
ALONG_WORDS = {"roots": "Roots", "lengths": "Mid-lengths", "ends": "Ends"}
CUT_WORDS = {
    "length": "Length",
    "layers": "Layered",
    "thinned": "Thinned out",
    "fringe": "Fringe",
    "face": "Round the face",
    "blended": "Blended into her own hair",
    "lace": "Lace trimmed",
    "base": "Base trimmed",
}
REPAIR_WORDS = {
    "knots": "Knots sealed",
    "hair": "Hair put in",
    "lace": "Lace mended",
    "base": "Tear in the base closed",
    "clip": "Clip sewn on",
    "elastic": "Elastic renewed",
    "edge": "Edge bound",
}
TAPE_WORDS = {
    "front": "Front edge",
    "left": "Left side",
    "right": "Right side",
    "back": "Back edge",
    "middle": "Across the middle",
}
MOST_LINES, MOST_CLIPS = 4, 12


class WrongDetails(ValueError):  # noqa: N818  # reads as what it is
    """A sentence that says what can't be recorded."""


def _kept_as(read: Callable[[Any], Any], default: Any) -> Any:
    return field(default=default, metadata={"read": read})


def _text(longest: int) -> Any:
    def read(value: Any) -> str:
        if not isinstance(value, str) or len(value) > longest or "\x00" in value:
            raise WrongDetails(f"Write no more than {longest} characters.")
        return " ".join(value.split())

    return _kept_as(read, "")


def _words(known: Mapping[str, str]) -> Any:
    def read(value: Any) -> tuple[str, ...]:
        if not isinstance(value, list | tuple) or not all(isinstance(word, str) and word in known for word in value):
            raise WrongDetails("Tick only what is shown.")
        return tuple(word for word in known if word in value)

    return _kept_as(read, ())


def _number(low: float, high: float, *, whole: bool = False) -> Any:
    def read(value: Any) -> float | int | None:
        if value is None:
            return None
        counts = isinstance(value, int | float) and not isinstance(value, bool) and low <= value <= high
        if not counts or (whole and value != int(value)):
            raise WrongDetails(
                f"A {'whole ' if whole else ''}number from {low:g} to {high:g} is wanted, not {value!r}."
            )
        return int(value) if whole else round(float(value), 2)

    return _kept_as(read, None)


def _rows(kind: Callable[[], type[Details]], most: int) -> Any:
    def read(value: Any) -> tuple[Details, ...]:
        if not isinstance(value, list | tuple) or len(value) > most:
            raise WrongDetails(f"No more than {most} lines can be kept.")
        return tuple(kind().read(row) for row in value)

    return _kept_as(read, ())


def _one(kind: Callable[[], type[Details]]) -> Any:
    return _kept_as(lambda value: None if value is None else kind().read(value), None)


def _ticked() -> Any:
    def read(value: Any) -> bool:
        if not isinstance(value, bool):
            raise WrongDetails("It is ticked or not.")
        return value

    return _kept_as(read, False)


@dataclass(frozen=True)
class Details:
    """Nothing more than the facts; each kind adds its own."""

    never_repeated: ClassVar[tuple[str, ...]] = ()

    @classmethod
    def read(cls, plain: Mapping[str, Any]) -> Self:
        """Raises WrongDetails, a sentence, for what does not belong to this kind."""
        if not isinstance(plain, Mapping):
            raise WrongDetails("What was used and where is kept by name.")
        readers = {one.name: one.metadata["read"] for one in fields(cls)}
        if strange := sorted(set(plain) - set(readers)):
            raise WrongDetails(f"This is not recorded of such a service: {', '.join(strange)}.")
        return cls(**{name: readers[name](value) for name, value in plain.items()})

    def as_kept(self) -> dict[str, Any]:
        """Plain data; what was not said is left out."""
        return {
            name: value for name, value in asdict(self).items() if value not in (None, "", ()) and value is not False
        }

    @property
    def on_skin(self) -> tuple[str, ...]:
        """The products that touch her, if they do: their own skin tests are what counts."""
        return ()

    def to_repeat(self) -> Self:
        """The same again, without what is another one each time: a lot, a strand test."""
        return type(self).read({name: v for name, v in self.as_kept().items() if name not in self.never_repeated})


@dataclass(frozen=True)
class CutIn(Details):
    taken_off_mm: float | None = _number(0, 1000)
    cut: tuple[str, ...] = _words(CUT_WORDS)
    zones: tuple[str, ...] = _words(ZONE_WORDS)


@dataclass(frozen=True)
class Line(Details):
    """One product of a formula, by the name on its label."""

    product: str = _text(120)
    parts: float | None = _number(0.01, 1000)
    lot: str = _text(40)


@dataclass(frozen=True)
class Tried(Details):
    """The strand test of this unit that the colour rests on, as it was when the colour was done."""

    product: str = _text(120)
    held: bool = _ticked()
    seen: str = _text(240)
    tested_on: str = _text(10)


@dataclass(frozen=True)
class Colouring(Details):
    lines: tuple[Line, ...] = _rows(lambda: Line, MOST_LINES)
    developer_percent: float | None = _number(WEAKEST_PERCENT, STRONGEST_PERCENT)
    developer_parts: float | None = _number(0.01, 1000)
    developer_lot: str = _text(40)
    minutes: int | None = _number(0, 300, whole=True)
    zones: tuple[str, ...] = _words(ZONE_WORDS)
    along: tuple[str, ...] = _words(ALONG_WORDS)
    strand_test: Tried | None = _one(lambda: Tried)  # noqa: RUF009  # it gives a dataclass field

    never_repeated: ClassVar[tuple[str, ...]] = ("strand_test", "developer_lot")

    @property
    def on_skin(self) -> tuple[str, ...]:
        return tuple(line.product for line in self.lines if line.product)

    def to_repeat(self) -> Colouring:
        plain = super().to_repeat().as_kept()
        plain["lines"] = [{"product": line.product, "parts": line.parts} for line in self.lines]
        return Colouring.read(plain)


@dataclass(frozen=True)
class Steaming(Details):
    minutes: int | None = _number(0, 300, whole=True)
    zones: tuple[str, ...] = _words(ZONE_WORDS)


@dataclass(frozen=True)
class Heating(Details):
    """Tool and temperature are facts; this is how often it went over the hair, and where."""

    passes: int | None = _number(1, 50, whole=True)
    zones: tuple[str, ...] = _words(ZONE_WORDS)


@dataclass(frozen=True)
class Washing(Details):
    product: str = _text(120)
    conditioner: str = _text(120)
    deep_care: bool = _ticked()


@dataclass(frozen=True)
class Repairing(Details):
    repaired: tuple[str, ...] = _words(REPAIR_WORDS)
    words: str = _text(240)
    done_by: str = _text(120)


@dataclass(frozen=True)
class Taping(Details):
    product: str = _text(120)
    lot: str = _text(40)
    where: tuple[str, ...] = _words(TAPE_WORDS)
    renew_after_days: int | None = _number(1, 365, whole=True)

    never_repeated: ClassVar[tuple[str, ...]] = ("lot",)

    @property
    def on_skin(self) -> tuple[str, ...]:
        return (self.product,) if self.product else ()


@dataclass(frozen=True)
class ClipAt(Details):
    """As `OwnedPiece.clips`: from the front edge, from the midline (left positive), and its length."""

    u_mm: float | None = _number(0, 500)
    v_mm: float | None = _number(-250, 250)
    length_mm: float | None = _number(1, 100)


@dataclass(frozen=True)
class ClipMoves(Details):
    """Where the clips sat and where they sit now, clip by clip; None was not there, or is there no more."""

    moves: tuple[ClipMove, ...] = _rows(lambda: ClipMove, 2 * MOST_CLIPS)

    never_repeated: ClassVar[tuple[str, ...]] = ("moves",)

    @property
    def clips_now(self) -> list[dict[str, Any]]:
        return [asdict(move.now) for move in self.moves if move.now is not None]


@dataclass(frozen=True)
class ClipMove(Details):
    was: ClipAt | None = _one(lambda: ClipAt)  # noqa: RUF009  # it gives a dataclass field
    now: ClipAt | None = _one(lambda: ClipAt)  # noqa: RUF009  # it gives a dataclass field


DETAILS: Mapping[str, type[Details]] = {
    Service.Kind.CUT_IN: CutIn,
    Service.Kind.HEAT: Heating,
    Service.Kind.STEAM: Steaming,
    Service.Kind.COLOUR: Colouring,
    Service.Kind.TONE: Colouring,
    Service.Kind.FIXING: Details,
    Service.Kind.TAPE: Taping,
    Service.Kind.CLIPS: ClipMoves,
    Service.Kind.WASH: Washing,
    Service.Kind.REPAIR: Repairing,
}


def read_details(kind: str, plain: Mapping[str, Any]) -> Details:
    """The record of that kind; raises WrongDetails, a sentence, for what can't be one."""
    return DETAILS[kind].read(plain)
