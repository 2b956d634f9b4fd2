"""What may never be true of stock, sales, money and receipts, asked of the database: a sentence for each that is.

Every question is answered from rows alone, not by the code that wrote them; the pages' own figures are held against
sums made here.
"""

from collections import Counter, defaultdict

from pieces.models import OrderLine, Payment, Receipt, ReceiptCounter, Return, Sale, SaleLine, StockMovement, Unit

MOVES_OUT = {"lent", "sold", "taken home"}


def broken():
    return [*_stock(), *_sales(), *_money(), *_receipts(), *_returns(), *_orders()]


def _stock():
    """Movements follow on each other without a gap, and the units are where they lead."""
    moves = defaultdict(list)
    for row in StockMovement.objects.order_by("unit", "seq").values("unit", "seq", "kind", "from_state", "to_state"):
        moves[row["unit"]].append(row)
    units = dict(Unit.objects.values_list("pk", "state"))
    if units.keys() != moves.keys():
        yield "a unit without a movement, or the other way round"
    for unit, its in moves.items():
        if [row["seq"] for row in its] != [*range(len(its))]:
            yield f"unit {unit}: its movements have gaps"
        if [row["from_state"] for row in its] != ["", *(row["to_state"] for row in its[:-1])]:
            yield f"unit {unit}: a movement takes it from where it was not"
        if units.get(unit) != its[-1]["to_state"]:
            yield f"unit {unit} is {units.get(unit)}, its movements lead to {its[-1]['to_state']}"
        if any(row["kind"] in MOVES_OUT and row["from_state"] not in ("drawer", "reserved") for row in its):
            yield f"unit {unit} went out without being in stock"
    told, counted = StockMovement.objects.counts(), Counter(units.values())
    if told != {state: counted[state] for state in told}:
        yield f"summed from movements {told}, counted {counted}"
    if min(told.values(), default=0) < 0:
        yield f"less than none: {told}"


def _sales():
    """A unit stands in one live line, set aside for its client until it is handed over, and then out with her."""
    live = Counter()
    lines = SaleLine.objects.select_related("sale", "unit").prefetch_related("movements")
    for line in lines:
        if line.unit is None:
            continue
        sold = [move for move in line.movements.all() if move.kind == "sold"]
        if len(sold) != bool(line.handed_over_at):
            yield f"line {line.pk} was handed over {len(sold)} times by the ledger"
        if not line.is_live:
            continue
        live[line.unit_id] += 1
        if line.handed_over_at is None and line.unit.state == "reserved":
            if line.unit.reserved_for_id != line.sale.client_id:
                yield f"unit {line.unit} is set aside for somebody else than who bought it"
        elif line.handed_over_at is None and line.unit.state != "gone":
            yield f"unit {line.unit} of a line that waits is {line.unit.state}"
        elif line.handed_over_at and line.unit.state not in ("with client", "gone"):
            yield f"unit {line.unit} was sold and is {line.unit.state}"
    yield from (f"unit {unit} is sold {times} times" for unit, times in live.items() if times > 1)


def _money():
    """No sale and no deposit gave back more than came in, what counts elsewhere cancels out, and totals add up."""
    paid, elsewhere = Counter(), Counter()
    for payment in Payment.objects.select_related("gives_back"):
        if payment.method == "exchange":
            elsewhere[payment.client_id] += payment.amount_minor
        held = payment.gives_back or payment
        paid["sale", payment.sale_id] += payment.amount_minor if payment.sale_id else 0
        if held.sale_id is None:
            paid["deposit", held.pk] += payment.amount_minor
    yield from (f"{what} gave back more than came in: {left}" for what, left in paid.items() if left < 0)
    yield from (f"client {her}: {left} of what counts elsewhere is nowhere" for her, left in elsewhere.items() if left)
    for sale in Sale.objects.with_money().prefetch_related("lines"):
        if sale.paid_minor != paid["sale", sale.pk]:
            yield f"sale {sale} says {sale.paid_minor} was paid, its payments come to {paid['sale', sale.pk]}"
        if not sale.lines.all():
            yield f"nothing stands in sale {sale}"
        if sale.is_cancelled:
            if any(line.is_live for line in sale.lines.all()) or sale.paid_minor:
                yield f"sale {sale} was cancelled and something of it counts"
            continue
        if sale.total_minor != sum(line.total_minor for line in sale.lines.all() if line.is_live):
            yield f"sale {sale} comes to {sale.total_minor}, its lines to something else"
        for line in sale.lines.all():
            left = line.price_minor * line.count - line.discount_minor
            if line.total_minor != left + (0 if sale.prices_include_tax else line.tax_minor):
                yield f"line {line.pk} does not add up"


def _receipts():
    """Numbers from 1 without a gap, one for every payment that is no exchange, and each adds up by itself."""
    numbers = [*Receipt.objects.order_by("number").values_list("number", flat=True)]
    last = ReceiptCounter.objects.values_list("last", flat=True).first() or 0
    if numbers != [*range(1, last + 1)]:
        yield f"receipts are numbered {numbers}, and the counter stands at {last}"
    without = Payment.objects.exclude(method="exchange").filter(receipt__isnull=True).count()
    if without or Receipt.objects.filter(payment__method="exchange").exists():
        yield f"{without} payments without a receipt, or an exchange with one"
    for receipt in Receipt.objects.select_related("payment"):
        shown = receipt.shown
        if shown["amount_minor"] != receipt.payment.amount_minor:
            yield f"{receipt} is of another amount than its payment"
        if shown["total_minor"] != sum(line["total_minor"] for line in shown["lines"]):
            yield f"{receipt}: its lines do not come to its total"
        if shown["total_minor"] != sum(rate["net_minor"] + rate["tax_minor"] for rate in shown["rates"]):
            yield f"{receipt}: its rates do not come to its total"
        paid = shown["paid_before_minor"] + shown["amount_minor"]
        if shown["sale"] and shown["still_owed_minor"] != max(0, shown["total_minor"] - paid):
            yield f"{receipt}: what is still owed does not follow from it"


def _returns():
    """What was taken back counts no longer, came in by its line, and outside the terms somebody allowed it."""
    for row in Return.objects.select_related("line", "payment").prefetch_related("line__movements"):
        if row.line.is_live or row.line.handed_over_at is None:
            yield f"{row}: its line still counts, or never left"
        if [move.to_state for move in row.line.movements.all() if move.from_state == "with client"] != [row.fate]:
            yield f"{row}: the ledger does not say that it came back"
        if row.refund_minor > row.line.total_minor:
            yield f"{row}: more went back than it cost"
    taken_back = SaleLine.objects.filter(is_live=False, sale__cancelled_at__isnull=True, taken_back__isnull=True)
    yield from (f"line {line.pk} counts no longer, and nobody took it back" for line in taken_back)


def _orders():
    """What came in against an order is what its line says, and an order is closed when nothing is to come."""
    for line in OrderLine.objects.select_related("order").prefetch_related("movements"):
        came = sum(move.kind == "received" for move in line.movements.all())
        if came != line.received_count or came > line.count:
            yield f"{came} came of order line {line.pk}, which says {line.received_count} of {line.count}"
    for order in {line.order for line in OrderLine.objects.select_related("order")}:
        all_came = all(line.received_count == line.count for line in order.lines.all())
        if all_came != (order.state == "closed" and not order.closed_because):
            yield f"order {order} is {order.state}"
