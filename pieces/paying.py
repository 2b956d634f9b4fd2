"""Takes money and gives it back: the only writer of Payment. Every payment but an exchange gets a numbered receipt.

Amounts are whole minor units of the sale's currency. A sale is held while its money moves, so that two tills together
take no more than is owed and give back no more than was paid.
"""

from __future__ import annotations

from datetime import datetime
from uuid import UUID

from django.core.exceptions import ValidationError
from django.db import transaction
from django.db.models import Sum

from clients.consenting import locked
from clients.models import Client
from pieces.models import Payment, Sale
from pieces.receipts import issue_receipt
from pieces.selling import held
from salon.common.money import format_minor
from salon.models import Salon, User


@transaction.atomic
def take_payment(
    *,
    sale: Sale,
    amount_minor: int,
    method: str,
    salon: Salon,
    by: User,
    at: datetime,
    is_deposit: bool = False,
    once: UUID | None = None,
) -> Payment:
    """Take money for a sale, all of it or a part; raises ValidationError for nothing, or for more than is owed."""
    sale = held(sale)
    if once and (taken := Payment.objects.filter(once=once).first()):
        return taken
    owed = owed_for(sale)
    if not 0 < amount_minor <= owed:
        raise ValidationError(
            {"amount_minor": f"{format_minor(owed, sale.currency)} is owed for this sale; write that, or a part of it."}
        )
    payment = Payment(
        client=sale.client,
        sale=sale,
        amount_minor=amount_minor,
        currency=sale.currency,
        method=method,
        is_deposit=is_deposit,
        at=at,
        by=by,
        once=once,
    )
    return _kept(payment, salon)


@transaction.atomic
def take_deposit(
    *,
    client: Client,
    amount_minor: int,
    what_for: str,
    method: str,
    salon: Salon,
    by: User,
    at: datetime,
    once: UUID | None = None,
) -> Payment:
    """Take money before there is a sale; it is held for her until it counts towards one or is given back."""
    client = locked(client)
    if once and (taken := Payment.objects.filter(once=once).first()):
        return taken
    if amount_minor <= 0:
        raise ValidationError({"amount_minor": "A deposit is more than nothing."})
    payment = Payment(
        client=client,
        amount_minor=amount_minor,
        currency=salon.currency,
        method=method,
        is_deposit=True,
        what_for=" ".join(what_for.split()),
        at=at,
        by=by,
        once=once,
    )
    return _kept(payment, salon)


@transaction.atomic
def count_deposit(*, payment: Payment, sale: Sale) -> Payment:
    """Let a deposit that is held for her count towards a sale of hers, once; never for more than is owed."""
    sale = held(sale)
    payment = Payment.objects.select_for_update(of=("self",)).get(pk=payment.pk)
    if payment.client_id != sale.client_id:
        raise ValidationError("This deposit is another client's.")
    if payment.sale_id is not None or not payment.is_deposit:
        raise ValidationError("This payment counts towards a sale already.")
    if payment.currency != sale.currency:
        raise ValidationError(f"This deposit is in {payment.currency} and the sale in {sale.currency}.")
    if payment.given_back_by.exists():
        raise ValidationError("This deposit was given back.")
    if payment.amount_minor > (owed := owed_for(sale)):
        raise ValidationError(
            f"The deposit is more than the {format_minor(owed, sale.currency)} owed: give it back and take that."
        )
    payment.sale = sale
    payment.full_clean()
    payment.save()
    return payment


@transaction.atomic
def give_back(
    *,
    amount_minor: int,
    method: str,
    salon: Salon,
    by: User,
    at: datetime,
    sale: Sale | None = None,
    deposit: Payment | None = None,
    what_for: str = "",
    once: UUID | None = None,
) -> Payment:
    """Give money of a sale back, or the whole of a deposit that is still held; never more than was paid.

    Raises ValidationError for nothing, for more than was paid, or for a deposit that counts towards a sale.
    """
    if (sale is None) == (deposit is None):
        raise ValueError("money is given back for a sale or of a deposit")
    sale = held(sale) if sale else None
    if deposit is not None:
        deposit = Payment.objects.select_for_update(of=("self",)).get(pk=deposit.pk)
    if once and (given := Payment.objects.filter(once=once).first()):
        return given
    if sale is not None:
        kept, client, currency = paid_for(sale), sale.client, sale.currency
    elif deposit is not None:
        kept, client, currency = _still_held(deposit), deposit.client, deposit.currency
    if deposit is not None and 0 < amount_minor < kept:
        raise ValidationError({"amount_minor": f"A deposit goes back whole: {format_minor(kept, currency)}."})
    if not 0 < amount_minor <= kept:
        raise ValidationError(
            {"amount_minor": f"{format_minor(kept, currency)} was paid; no more than that can be given back."}
        )
    payment = Payment(
        client=client,
        sale=sale,
        amount_minor=-amount_minor,
        currency=currency,
        method=method,
        gives_back=deposit,
        what_for=" ".join(what_for.split()),
        at=at,
        by=by,
        once=once,
    )
    return _kept(payment, salon)


def paid_for(sale: Sale) -> int:
    """What came in for it, less what went back."""
    return int(sale.payments.aggregate(paid=Sum("amount_minor"))["paid"] or 0)


def owed_for(sale: Sale) -> int:
    """What is still to be paid: what its live lines come to, less what was paid; never below nothing."""
    total = sale.lines.filter(is_live=True).aggregate(total=Sum("total_minor"))["total"] or 0
    return max(0, int(total) - paid_for(sale))


def _still_held(deposit: Payment) -> int:
    if deposit.sale_id is not None or not deposit.is_deposit:
        raise ValidationError("This payment counts towards a sale; give money of that sale back.")
    given = deposit.given_back_by.aggregate(given=Sum("amount_minor"))["given"] or 0
    return deposit.amount_minor + int(given)


def _kept(payment: Payment, salon: Salon) -> Payment:
    payment.full_clean()
    payment.save()
    if payment.method != Payment.Method.EXCHANGE:
        issue_receipt(payment=payment, salon=salon)
    return payment
