"""Numbers receipts without gaps, and keeps with each what stands on it: the only writer of Receipt and its counter."""

from __future__ import annotations

from typing import Any

from django.db import transaction

from clients.consenting import full_name
from pieces.models import Payment, Receipt, ReceiptCounter, SaleLine
from pieces.reckoning import by_rate
from salon.models import Salon


@transaction.atomic
def issue_receipt(*, payment: Payment, salon: Salon) -> Receipt:
    """The next number for this payment. The counter is held until the whole deed is kept or taken back, so that no
    number is given twice or left out.
    """
    ReceiptCounter.objects.get_or_create(pk=1)
    counter = ReceiptCounter.objects.select_for_update().get(pk=1)
    counter.last += 1
    counter.save(update_fields=["last"])
    receipt = Receipt(number=counter.last, payment=payment, issued_at=payment.at, shown=_shown(payment, salon))
    receipt.full_clean()
    receipt.save()
    return receipt


def _shown(payment: Payment, salon: Salon) -> dict[str, Any]:
    """What is printed, as it is today: a price, a name or an address that changes later changes no receipt."""
    client, sale = payment.client, payment.sale
    every = list(sale.lines.all()) if sale else []
    lines, gone = ([line for line in every if line.is_live is live] for live in (True, False))
    earlier = list(sale.payments.exclude(pk=payment.pk).order_by("at", "pk")) if sale else []
    total = sum(line.total_minor for line in lines)
    paid = sum(one.amount_minor for one in earlier) + payment.amount_minor
    rates = by_rate((line.tax_name, line.tax_basis_points, line.tax_minor, line.total_minor) for line in lines)
    return {
        "salon": {
            "name": salon.name,
            "address": salon.address,
            "phone": salon.phone,
            "email": salon.email,
            "tax_number": salon.tax_number,
        },
        "client": {"reference": client.reference, "name": full_name(client)},
        "sale": sale.reference if sale else "",
        "currency": payment.currency,
        "amount_minor": payment.amount_minor,
        "method": payment.get_method_display(),
        "what_for": payment.what_for,
        "is_deposit": payment.is_deposit,
        "prices_include_tax": sale.prices_include_tax if sale else salon.prices_include_tax,
        "lines": [_line(line) for line in lines],
        "taken_back": [_line(line) for line in gone],
        "rates": [
            {
                "name": rate.name,
                "basis_points": rate.basis_points,
                "net_minor": rate.net_minor,
                "tax_minor": rate.tax_minor,
            }
            for rate in rates
        ],
        "total_minor": total,
        "paid_before_minor": paid - payment.amount_minor,
        "still_owed_minor": max(0, total - paid) if sale else 0,
    }


def _line(line: SaleLine) -> dict[str, Any]:
    return {
        "says": line.says,
        "count": line.count,
        "price_minor": line.price_minor,
        "discount_minor": line.discount_minor,
        "discount_because": line.discount_because,
        "tax_name": line.tax_name,
        "tax_basis_points": line.tax_basis_points,
        "tax_minor": line.tax_minor,
        "total_minor": line.total_minor,
    }
