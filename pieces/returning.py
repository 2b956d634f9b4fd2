"""Takes a sold piece back: the only writer of Return, and of a line from then on.

Within the salon's terms anybody who may take back does; outside them an owner allows it, with a written reason. The
terms are the salon's own and are kept with each return: the law of the place comes first, and is not looked up here.
The unit is moved by `stock`, money by `paying`, each within the same transaction; whose piece it was while it was out
is for `fittings.taking_back`. Rows are held in one order: sales by key, line, unit, the receipts' counter last.
"""

from __future__ import annotations

from datetime import datetime
from typing import Any, Final
from uuid import UUID

from django.core.exceptions import ValidationError
from django.db import transaction
from django.db.models import Sum
from django.utils.timezone import localdate

from pieces.models import Payment, Return, ReturnReason, Sale, SaleLine, Unit
from pieces.paying import give_back, owed_for, paid_for, take_payment
from pieces.selling import held
from pieces.stock import take_in_unit
from salon.common.days import day_said
from salon.common.money import format_minor
from salon.models import Salon, User

REFUSED_WHEN: Final = {
    "seal_broken": "Its seal is broken.",
    "worn": "It was worn.",
    "cut": "It was cut in.",
    "coloured": "It was coloured.",
}
"""What the salon's terms ask of a piece that comes back, besides its day."""


def terms_of(salon: Salon) -> dict[str, Any]:
    """The salon's terms of today, as they are kept with a return."""
    return {"return_days": salon.return_days, "refused_when": list(REFUSED_WHEN)}


def against_terms(
    *,
    days_since: int,
    terms: dict[str, Any],
    seal_broken: bool = False,
    worn: bool = False,
    cut: bool = False,
    coloured: bool = False,
) -> list[str]:
    """What speaks against taking it back, a sentence each; empty where it is within the terms.

    days_since: whole days of the salon's clock since it was handed over; the last day of the terms counts in.
    """
    state = {"seal_broken": seal_broken, "worn": worn, "cut": cut, "coloured": coloured}
    last = terms["return_days"]
    late = (
        [f"It comes back after {_days(days_since)}; the terms say within {_days(last)}."] if days_since > last else []
    )
    return late + [REFUSED_WHEN[what] for what in terms["refused_when"] if state[what]]


def days_out(line: SaleLine, at: datetime) -> int:
    """Whole days of the salon's clock since it was handed over."""
    if line.handed_over_at is None:
        raise ValidationError("This piece has not been handed over; there is nothing to take back.")
    days = (localdate(at) - localdate(line.handed_over_at)).days
    if days < 0:
        raise ValidationError(f"It was handed over on {day_said(localdate(line.handed_over_at))}, and not before.")
    return days


def may_come_back(line: SaleLine) -> Unit:
    """Its unit; raises ValidationError for a line that nothing can come back of."""
    if line.sale.is_cancelled:
        raise ValidationError(f"Sale {line.sale} was cancelled; there is nothing to take back.")
    if not line.is_live:
        raise ValidationError("This piece was taken back already.")
    if line.variant_id is None:
        raise ValidationError("Only a piece is taken back; money for anything else is given back at its sale.")
    if line.unit is None:
        raise ValidationError("This piece has not come in yet; there is nothing to take back.")
    return line.unit


def usual_refund(line: SaleLine) -> int:
    """What is usually given back for it: what it cost her, as far as it is paid beyond the rest of the sale."""
    rest = line.sale.lines.filter(is_live=True).exclude(pk=line.pk).aggregate(total=Sum("total_minor"))["total"] or 0
    return max(0, min(line.total_minor, paid_for(line.sale) - int(rest)))


@transaction.atomic
def take_back(
    *,
    line: SaleLine,
    reason: ReturnReason,
    fate: str,
    refund_minor: int,
    salon: Salon,
    by: User,
    at: datetime,
    method: str = "",
    said: str = "",
    seal_broken: bool = False,
    worn: bool = False,
    cut: bool = False,
    coloured: bool = False,
    owner: User | None = None,
    because: str = "",
    exchanged_for: Sale | None = None,
    once: UUID | None = None,
) -> Return:
    """Take it back, move its unit to `fate` and give `refund_minor` back by `method`; the same form sent twice counts
    once.

    exchanged_for: what she takes instead. The money then counts towards that sale as far as it is owed, and only what
    is left goes back by `method`. owner: who allows what the terms refuse, for the reason `because`.
    Raises ValidationError where it is not hers to bring back, is outside the terms, or more is asked than was paid.
    """
    line = live_line(line, with_sale=exchanged_for)
    if once and (made := Return.objects.filter(once=once).first()):
        return made
    unit, days, terms = may_come_back(line), days_out(line, at), terms_of(salon)
    state = {"seal_broken": seal_broken, "worn": worn, "cut": cut, "coloured": coloured}
    against = against_terms(days_since=days, terms=terms, **state)
    because = " ".join(because.split())
    _refuse_unless_allowed(against, owner, because)
    if worn and fate == Return.Fate.DRAWER:
        raise ValidationError({"fate": "It was worn: have it cleaned first, keep it apart, or write it off."})
    kept = paid_for(line.sale)
    if refund_minor > min(kept, line.total_minor):
        most = format_minor(min(kept, line.total_minor), line.sale.currency)
        raise ValidationError({"refund_minor": f"{most} is the most that can be given back for it."})
    line.is_live = False
    line.full_clean()
    line.save()
    take_in_unit(unit=unit, to=Unit.State(fate), because=f"Taken back: {reason}", sale_line=line, by=by, at=at)
    taken_back = Return(
        line=line,
        reason=reason,
        said=" ".join(said.split()),
        days_since=days,
        terms=terms,
        in_policy=not against,
        allowed_by=owner if against else None,
        allowed_because=because if against else "",
        fate=fate,
        refund_minor=refund_minor,
        payment=_give_money(line, refund_minor, method, exchanged_for, salon, by, at),
        exchanged_for=exchanged_for,
        at=at,
        by=by,
        once=once,
        **state,
    )
    taken_back.full_clean()
    taken_back.save()
    return taken_back


def live_line(line: SaleLine, *, with_sale: Sale | None = None) -> SaleLine:
    """The line as kept now, held after its sale and the other one, by key, and before its unit."""
    sales = [line.sale, with_sale] if with_sale else [line.sale]
    for sale in sorted(sales, key=lambda sale: sale.pk):
        held(sale)
    rows = SaleLine.objects.select_for_update(of=("self",)).select_related("sale__client", "unit")
    return rows.get(pk=line.pk)


def _refuse_unless_allowed(against: list[str], owner: User | None, because: str) -> None:
    if not against:
        return
    if owner is None:
        raise ValidationError(
            [*against, "That is outside the salon's terms: an owner can take it back, with a reason."]
        )
    if not owner.has_perm("pieces.allow_return"):
        raise ValidationError(f"{owner} may not take back what the salon's terms refuse.")
    if not because:
        raise ValidationError({"because": f"{' '.join(against)} Write why it is taken back all the same."})


def _give_money(
    line: SaleLine, refund_minor: int, method: str, instead: Sale | None, salon: Salon, by: User, at: datetime
) -> Payment | None:
    """Moves the money; the payment that stands for it, which is what went out, or else what counts elsewhere."""
    moved = _count_elsewhere(line, refund_minor, instead, salon, by, at) if instead else None
    left = refund_minor + (moved.amount_minor if moved else 0)
    if not left:
        return moved
    if not method or method == Payment.Method.EXCHANGE:
        raise ValidationError({"method": f"Choose how {format_minor(left, line.sale.currency)} is given back."})
    what_for = f"Taken back: {line}"[:160]
    return give_back(sale=line.sale, amount_minor=left, method=method, what_for=what_for, salon=salon, by=by, at=at)


def _count_elsewhere(
    line: SaleLine, refund_minor: int, instead: Sale, salon: Salon, by: User, at: datetime
) -> Payment | None:
    """Lets as much as is owed there count towards what she takes instead; two payments that make nothing together."""
    sale = line.sale
    if instead.pk == sale.pk:
        raise ValidationError({"exchanged_for": "That is the sale it comes back from; choose what she takes instead."})
    if instead.client_id != sale.client_id:
        raise ValidationError({"exchanged_for": "What she takes instead is another client's sale."})
    if instead.currency != sale.currency:
        raise ValidationError(
            {"exchanged_for": f"{instead} is in {instead.currency} and this sale in {sale.currency}; give money back."}
        )
    counts = min(refund_minor, owed_for(instead))
    if not counts:
        return None
    exchange = Payment.Method.EXCHANGE
    moved = give_back(
        sale=sale, amount_minor=counts, method=exchange, what_for=f"Counts towards {instead}", salon=salon, by=by, at=at
    )
    take_payment(sale=instead, amount_minor=counts, method=exchange, salon=salon, by=by, at=at)
    return moved


def _days(days: int) -> str:
    return "1 day" if days == 1 else f"{days} days"
