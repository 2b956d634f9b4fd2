"""A valid post of every form of the till: a sale put together, its money, deposits, papers, prices and rates."""

from tests.mutated.sending import post


def of_the_till(scene):
    new, sale, unit = scene.new.reference, scene.sale.reference, f"unit-{scene.unit.number}"
    service = f"service-{scene.priced_service.pk}"
    money = {"amount_minor": "£10.00", "method": "card"}
    line = {
        f"{unit}-price_minor": "£1,249.00",
        f"{unit}-discount_minor": "£50",
        f"{unit}-discount_because": "Shown at the fair",
        f"{unit}-tax_rate": scene.tax_rate.pk,
    }
    lines = [
        ("line", unit),
        ("line", service),
        *line.items(),
        (f"{service}-count", "2"),
        (f"{service}-price_minor", "85"),
    ]
    asked = post("sale-new", "Front desk", new, stylist="", note="Pays the rest on Friday", number="", service="")
    rate = {"name": "Reduced", "basis_points": "5 %", "is_usual": "on"}
    priced = {"name": "Soft brush", "price_minor": "18.50", "tax_rate": scene.tax_rate.pk, "done_as": "wash"}
    return {
        "a sale agreed": asked.with_fields([*asked.fields, *lines, ("agree", "yes")]),
        "a sale with one more": asked.with_fields(
            [*asked.fields, *lines, ("more", "yes"), ("number", scene.unit.number)]
        ),
        "a sale with one less": asked.with_fields([*asked.fields, *lines, ("remove", service), ("add", unit)]),
        "a sale paid": post("sale-pay", "Front desk", sale, **money),
        "money of a sale given back": post("sale-give-back", "Front desk", sale, **money, what_for="Paid too much"),
        "a deposit that counts": post("sale-deposit", "Front desk", sale, scene.deposit.pk),
        "a piece of a sale handed over": post("sale-hand-over", "Front desk", sale, line=scene.sale.lines.first().pk),
        "a line taken out of a sale": post(
            "sale-take-out", "Front desk", scene.of_two.sale.reference, scene.of_two.pk, because="Changed her mind"
        ),
        "a sale cancelled": post("sale-cancel", "Front desk", scene.unpaid_sale.reference, because="Changed her mind"),
        "a deposit taken": post("deposit-new", "Front desk", new, **money, what_for="A piece on order"),
        "a deposit given back": post(
            "deposit-back", "Front desk", scene.deposit.pk, method="cash", what_for="Not wanted"
        ),
        "a statement": post(
            "statement-pdf",
            "Front desk",
            new,
            sales=scene.sale.pk,
            her_number="M 12",
            prescriber="The practice",
            wording="As prescribed",
            codes="None",
        ),
        "a price": post("priced-service-new", "Owner", **priced),
        "a price changed": post("priced-service", "Owner", scene.priced_service.pk, **priced, is_in_use="on"),
        "a tax rate": post("tax-rate-new", "Owner", **rate),
        "a tax rate changed": post("tax-rate", "Owner", scene.tax_rate.pk, **rate, is_in_use="on"),
    }
