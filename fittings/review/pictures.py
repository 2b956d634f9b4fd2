"""The review's pictures, drawn by matplotlib: bars, intervals and curves, each with words for all of it.

Nothing is told by colour alone: bars carry their numbers, curves their own dashes. Names stand over what they name, so
that a narrow screen needs no smaller letters. matplotlib is imported where it draws, for it takes half a second.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from io import StringIO
from math import ceil, isinf
from typing import Any, Final

from django.utils.safestring import SafeString

from fittings.review.inline_svg import FIRST, INK, LINE, PAPER, SECOND, SOFT, inline
from pieces.review.rates import Rate

WIDE: Final = 340  # units of the drawing; letters are 12 and 10.5 of them
MOST_BARS: Final = 12
_LONGEST_NAME: Final = 54
_DASHES: Final = ("-", "--", ":", "-.")
_ROW: Final = 38
_EDGE: Final = 4
_ON_PAPER: Final[dict[str, Any]] = {"bbox": {"facecolor": PAPER, "edgecolor": "none", "pad": 1}, "zorder": 5}
"""Words that lines would cross."""


@dataclass(frozen=True)
class Bar:
    """One bar; says: what is written at its end; share: its length as a share of the longest there can be."""

    name: str
    share: float
    says: str
    is_second: bool = False


def bars(bars: Sequence[Bar], *, key: str, title: str) -> SafeString:
    """Bars below each other, each under its name and with its number."""
    figure, axes = _sheet(_ROW * len(bars), beside=0, below=0)
    axes.axis("off")
    axes.set_xlim(0, 1)
    axes.set_ylim(len(bars), 0)
    for place, bar in enumerate(bars):
        axes.text(0, place + 0.30, _short(bar.name), va="center", fontsize=12)
        look = {"color": SECOND, "hatch": "////", "edgecolor": PAPER} if bar.is_second else {"color": FIRST}
        length = max(bar.share, 0.0) * 0.58
        axes.barh(place + 0.72, length, height=0.40, **look)
        axes.text(length + 0.015, place + 0.72, bar.says, va="center", fontsize=10.5, color=INK)
    told = "; ".join(f"{bar.name}: {bar.says}" for bar in bars)
    return _drawn(figure, key=key, title=title, told=told)


@dataclass(frozen=True)
class Span:
    """A middle and its interval; says: in words, at its right. A middle of None is not drawn."""

    name: str
    middle: float | None
    low: float
    high: float
    says: str


def shares(spans: Sequence[Span], *, key: str, title: str, overall: Rate) -> SafeString:
    """Shares with their intervals, and a line at the share of all together."""
    most = min(1.0, ceil(max([span.high for span in spans] + [overall.share or 0.0]) * 10 + 0.01) / 10)
    figure, axes = _sheet(_ROW * len(spans))
    _intervals(axes, spans)
    axes.set_xlim(0, most)
    step = 0.05 if most <= 0.3 else 0.1 if most <= 0.6 else 0.2
    ticks = [step * place for place in range(int(most / step + 1e-9) + 1)]
    axes.set_xticks(ticks, [f"{100 * tick:.0f} %" for tick in ticks])
    if overall.share is not None:
        axes.axvline(overall.share, color=SOFT, linestyle="--", linewidth=1)
    told = "; ".join(f"{span.name}: {span.says}" for span in spans)
    return _drawn(figure, key=key, title=title, told=told)


def ratios(spans: Sequence[Span], *, key: str, title: str) -> SafeString:
    """How many times as often, on a scale on which twice and half are equally far from once."""
    low = min([0.5] + [max(span.low, 0.1) for span in spans])
    high = max([2.0] + [10.0 if isinf(span.high) else min(span.high, 20.0) for span in spans])
    figure, axes = _sheet(_ROW * len(spans))
    _intervals(axes, [Span(s.name, s.middle, max(s.low, low), min(s.high, high), s.says) for s in spans])
    axes.set_xscale("log")
    axes.set_xlim(low * 0.9, high * 1.1)
    ticks = [tick for tick in (0.1, 0.2, 0.5, 1, 2, 5, 10, 20) if low * 0.9 <= tick <= high * 1.1]
    axes.set_xticks(ticks, [f"{tick:g}×" for tick in ticks])
    axes.minorticks_off()
    axes.axvline(1, color=SOFT, linestyle="--", linewidth=1)
    told = "; ".join(f"{span.name}: {span.says}" for span in spans)
    return _drawn(figure, key=key, title=title, told=told)


def pareto(bars: Sequence[Bar], reached: Sequence[float], *, key: str, title: str) -> SafeString:
    """Bars in falling order, and the share that each and all before it reach together as a rising line."""
    figure, axes = _sheet(_ROW * len(bars))
    axes.set_ylim(len(bars), 0)
    axes.set_yticks([])
    axes.set_xlim(0, 1.02)
    for place, bar in enumerate(bars):
        axes.text(0, place + 0.30, _short(f"{bar.name}: {bar.says}"), va="center", fontsize=11, **_ON_PAPER)
        look = {"color": SECOND, "hatch": "////", "edgecolor": PAPER} if bar.is_second else {"color": FIRST}
        axes.barh(place + 0.72, bar.share, height=0.40, **look)
    axes.plot(reached, [place + 0.72 for place in range(len(bars))], color=INK, marker="s", markersize=5, linewidth=1.4)
    ticks = [0, 0.2, 0.4, 0.6, 0.8, 1]
    axes.set_xticks(ticks, [f"{100 * tick:.0f} %" for tick in ticks])
    _quiet(axes)
    told = "; ".join(
        f"{bar.name}: {bar.says}, together {100 * so_far:.0f} %" for bar, so_far in zip(bars, reached, strict=True)
    )
    return _drawn(figure, key=key, title=title, told=told)


@dataclass(frozen=True)
class Curve:
    """Shares still worn after so many days, a step at each; says: in the legend."""

    name: str
    days: Sequence[float]
    shares: Sequence[float]


def curves(curves: Sequence[Curve], *, key: str, title: str, told: str) -> SafeString:
    """Falling steps, each with dashes of its own, named below."""
    figure, axes = _sheet(190, beside=46, below=48 + 18 * len(curves))
    longest = max([365.0, *(curve.days[-1] for curve in curves if len(curve.days))])
    for place, curve in enumerate(curves):
        colour = INK if place % 2 else FIRST
        axes.step(
            [0.0, *curve.days, longest],
            [1.0, *curve.shares, *(curve.shares[-1:] or [1.0])],
            where="post",
            color=colour,
            linestyle=_DASHES[place % len(_DASHES)],
            linewidth=2,
            label=curve.name,
        )
    axes.set_ylim(0, 1.02)
    axes.set_xlim(0, longest)
    quarter = 91.3 * max(1, round(longest / 91.3 / 6))
    ticks = [quarter * place for place in range(int(longest / quarter) + 1)]
    axes.set_xticks(ticks, [f"{tick / 30.44:.0f}" for tick in ticks])
    axes.set_yticks([0, 0.25, 0.5, 0.75, 1], ["0 %", "25 %", "50 %", "75 %", "100 %"])
    axes.axhline(0.5, color=SOFT, linestyle=":", linewidth=1)
    axes.set_xlabel("months worn", fontsize=10.5, color=SOFT)
    _quiet(axes)
    axes.legend(loc="upper center", bbox_to_anchor=(0.45, -0.22), frameon=False, fontsize=11, handlelength=3.2)
    return _drawn(figure, key=key, title=title, told=told)


def _intervals(axes: Any, spans: Sequence[Span]) -> None:
    axes.set_ylim(len(spans), 0)
    axes.set_yticks([])
    for place, span in enumerate(spans):
        y = place + 0.72
        axes.annotate(
            _short(f"{span.name}: {span.says}"),
            (0, place + 0.30),
            xycoords=("axes fraction", "data"),
            va="center",
            fontsize=11,
            **_ON_PAPER,
        )
        axes.plot([span.low, span.high], [y, y], color=SOFT, linewidth=2, solid_capstyle="butt")
        for end in (span.low, span.high):
            axes.plot([end, end], [y - 0.12, y + 0.12], color=SOFT, linewidth=2)
        if span.middle is not None:
            axes.plot([span.middle], [y], marker="o", color=FIRST, markersize=8)
    _quiet(axes)


def _quiet(axes: Any) -> None:
    for side in ("top", "right", "left"):
        axes.spines[side].set_visible(False)
    axes.spines["bottom"].set_color(SOFT)
    axes.tick_params(colors=SOFT, labelcolor=INK, labelsize=10.5, length=3)
    axes.grid(axis="x", color=LINE, linewidth=0.7)
    axes.set_axisbelow(True)


def _short(name: str) -> str:
    return name if len(name) <= _LONGEST_NAME else f"{name[: _LONGEST_NAME - 1]}…"


def _sheet(high: float, *, beside: float = 18, below: float = 26) -> tuple[Any, Any]:
    """A drawing with axes so high, room for their words at the left and below, and a little at the other sides."""
    import matplotlib as mpl
    from matplotlib.backends.backend_svg import FigureCanvasSVG
    from matplotlib.figure import Figure

    # letters stay letters, which are read out and grow with the page's; the salt keeps names the same run after run
    mpl.rcParams.update({"svg.fonttype": "none", "svg.hashsalt": "review", "text.parse_math": False})
    whole = high + below + _EDGE
    figure = Figure(figsize=(WIDE / 72, whole / 72))
    FigureCanvasSVG(figure)
    figure.patch.set_visible(False)
    right = min(beside, 18)
    axes = figure.add_axes((beside / WIDE, below / whole, (WIDE - beside - right) / WIDE, high / whole))
    axes.patch.set_visible(False)
    return figure, axes


def _drawn(figure: Any, *, key: str, title: str, told: str) -> SafeString:
    text = StringIO()
    figure.savefig(text, format="svg", metadata={"Date": None})
    return inline(text.getvalue(), key=f"picture-{key}", title=title, told=told)
