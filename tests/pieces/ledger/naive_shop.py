"""The shop once more, as plainly as can be: lists, whole numbers and what may follow on what.

Nothing here knows queries, constraints or locks. Each deed answers whether it may be done, and does it then.
"""

from dataclasses import dataclass, field
from decimal import ROUND_HALF_UP, Decimal

HERE = ("drawer", "reserved", "cleaning", "kept apart")
RETURN_DAYS = 14


@dataclass(eq=False)
class Unit:
    state: str = "drawer"
    hers: object = None  # the client it is set aside for
    try_on: bool = False
    line: object = None  # the line that counts and that it stands on
    moved: list = field(default_factory=list)  # (when, whether somebody had it in hand)

    def is_free_for(self, client):
        return not self.line and (self.state, self.hers) in [("drawer", None), ("reserved", None), ("reserved", client)]


@dataclass(eq=False)
class Line:
    sale: object
    total: int
    tax: int
    unit: object = None
    order: object = None
    is_piece: bool = False
    counts: bool = True
    handed_over: object = None  # the day


@dataclass(eq=False)
class Sale:
    client: object
    lines: list = field(default_factory=list)
    paid: int = 0
    cancelled: bool = False

    def total(self):
        return sum(line.total for line in self.lines if line.counts)

    def owed(self):
        return max(0, self.total() - self.paid)


@dataclass(eq=False)
class Deposit:
    client: object
    amount: int
    given_back: int = 0
    sale: object = None

    def is_held(self):
        return self.sale is None and not self.given_back


@dataclass(eq=False)
class Order:
    count: int
    client: object = None
    state: str = "draft"
    received: int = 0
    line: object = None  # the line of a sale that waits for it

    def to_come(self):
        return self.count - self.received

    def is_on_the_way(self):
        return self.state in ("sent", "part received")

    def is_free_for(self, client):
        return self.client is client and not self.received and self.state in ("draft", "sent") and not self.line


@dataclass
class NaiveShop:
    tax_included: bool
    basis_points: int
    units: list = field(default_factory=list)
    sales: list = field(default_factory=list)
    lines: list = field(default_factory=list)
    deposits: list = field(default_factory=list)
    orders: list = field(default_factory=list)
    receipts: int = 0
    met: object = None  # when each unit was met in the stocktake that is open; None while none is
    began: int = 0
    now: int = 0  # counts up with every deed

    # the drawers

    def move(self, unit, to, on_paper=False, hers=None):
        unit.state, unit.hers = to, hers
        unit.moved.append((self.now, not on_paper))
        return True

    def receive(self, count, try_on):
        for _ in range(count):
            self.units.append(Unit(try_on=try_on, moved=[(self.now, True)]))
        return True

    def set_aside(self, unit, client):
        return unit.state == "drawer" and not unit.line and self.move(unit, "reserved", True, client)

    def put_back(self, unit):
        return unit.state == "reserved" and not unit.line and self.move(unit, "drawer", True)

    def lend(self, unit, client):
        free = unit.state in ("drawer", "reserved") and unit.hers in (None, client) and not unit.line
        return free and self.move(unit, "with client")

    def take_in(self, unit, to):
        return unit.state == "with client" and not unit.line and self.move(unit, to)

    def lose(self, unit):
        return unit.state == "with client" and self.move(unit, "gone")

    def clean(self, unit):
        return unit.state in ("drawer", "kept apart") and not unit.line and self.move(unit, "cleaning")

    def cleaned(self, unit):
        return unit.state == "cleaning" and self.move(unit, "drawer")

    def keep_apart(self, unit):
        return unit.state in ("drawer", "cleaning") and not unit.line and self.move(unit, "kept apart")

    def let_in(self, unit):
        return unit.state == "kept apart" and self.move(unit, "drawer")

    def write_off(self, unit):
        return unit.state in ("drawer", "cleaning", "kept apart") and self.move(unit, "gone")

    # sales

    def reckoned(self, price, discount):
        """(total, tax), by decimals rounded half up."""
        left, rate = price - discount, Decimal(self.basis_points) / 10_000
        tax = left - left / (1 + rate) if self.tax_included else left * rate
        tax = int(tax.quantize(Decimal(1), ROUND_HALF_UP))
        return (left if self.tax_included else left + tax), tax

    def agree(self, client, wanted, knows_try_on):
        """wanted: (unit, order or None, price, discount) of each line."""
        things = [thing for thing, *_ in wanted if thing is not None]
        if not wanted or len(set(map(id, things))) < len(things):
            return False
        for thing, price, discount in wanted:
            if discount > price:
                return False
            if isinstance(thing, Unit) and (not thing.is_free_for(client) or (thing.try_on and not knows_try_on)):
                return False
            if isinstance(thing, Order) and not thing.is_free_for(client):
                return False
        sale = Sale(client)
        for thing, price, discount in sorted(wanted, key=self._as_the_till_does):
            total, tax = self.reckoned(price, discount)
            line = Line(sale, total, tax, is_piece=thing is not None)
            if isinstance(thing, Unit):
                line.unit, thing.line = thing, line
                if thing.hers is not client:
                    self.move(thing, "reserved", True, client)
            if isinstance(thing, Order):
                line.order, thing.line = thing, line
            sale.lines.append(line)
            self.lines.append(line)
        self.sales.append(sale)
        return True

    def _as_the_till_does(self, wanted):
        """First what is of the price list, then orders as they were drafted, then units as they came in."""
        thing = wanted[0]
        if isinstance(thing, Unit):
            return 2, self.units.index(thing)
        return (1, self.orders.index(thing)) if thing else (0, 0)

    def hand_over(self, line, day):
        if line.sale.cancelled or not line.counts or line.handed_over is not None:
            return False
        if line.is_piece:
            unit = line.unit
            if unit is None or unit.state not in ("drawer", "reserved") or unit.hers not in (None, line.sale.client):
                return False
            self.move(unit, "with client")
        line.handed_over = day
        return True

    def cancel(self, sale):
        out = any(line.is_piece and line.handed_over is not None for line in sale.lines)
        if sale.cancelled or out or sale.paid:
            return False
        sale.cancelled = True
        for line in sale.lines:
            self._let_go(line)
        return True

    def take_out(self, line, order_goes_on):
        sale = line.sale
        if sale.cancelled or not line.counts or line.handed_over is not None or len(sale.lines) == 1:
            return False
        if line.order and not line.unit and line.order.is_on_the_way() and not order_goes_on:
            return False
        if sale.paid > sale.total() - line.total:
            return False
        sale.lines.remove(line)
        line.sale = Sale(sale.client, [line], cancelled=True)
        self.sales.append(line.sale)
        self._let_go(line)
        return True

    def _let_go(self, line):
        line.counts = False
        if line.order:
            line.order.line = line.order = None
        if line.unit:
            line.unit.line = None
            if line.unit.state == "reserved":
                self.move(line.unit, "drawer", True)

    # money

    def pay(self, sale, amount):
        if sale.cancelled or not 0 < amount <= sale.owed():
            return False
        sale.paid += amount
        self.receipts += 1
        return True

    def give_back(self, sale, amount):
        if sale.cancelled or not 0 < amount <= sale.paid:
            return False
        sale.paid -= amount
        self.receipts += 1
        return True

    def deposit(self, client, amount):
        if amount <= 0:
            return False
        self.deposits.append(Deposit(client, amount))
        self.receipts += 1
        return True

    def count_deposit(self, deposit, sale):
        if sale.cancelled or not deposit.is_held() or deposit.client is not sale.client or deposit.amount > sale.owed():
            return False
        deposit.sale = sale
        sale.paid += deposit.amount
        return True

    def deposit_back(self, deposit, amount):
        if deposit.sale is not None or not amount or amount != deposit.amount - deposit.given_back:
            return False  # it goes back whole
        deposit.given_back += amount
        self.receipts += 1
        return True

    # what comes back

    def take_back(self, line, *, day, state, fate, refund, owner, instead, way):
        sale = line.sale
        if sale.cancelled or (instead and instead.cancelled) or not line.counts or not line.unit:
            return False
        if line.handed_over is None or line.unit.state != "with client":
            return False
        against = day - line.handed_over > RETURN_DAYS or bool(state)
        if (against and not owner) or ("worn" in state and fate == "drawer"):
            return False
        if refund > min(sale.paid, line.total):
            return False
        if instead and (instead is sale or instead.client is not sale.client):
            return False
        elsewhere = min(refund, instead.owed()) if instead else 0
        if refund > elsewhere and not way:
            return False
        line.counts = False
        line.unit.line = None
        self.move(line.unit, fate)
        sale.paid -= refund
        if instead:
            instead.paid += elsewhere
        self.receipts += refund > elsewhere
        return True

    # orders

    def order(self, count, client):
        self.orders.append(Order(1 if client else count, client))
        return True

    def send(self, order):
        if order.state != "draft":
            return False
        order.state = "sent"
        return True

    def arrive(self, order, count, try_on=False):
        if not order.is_on_the_way() or not 1 <= count <= order.to_come():
            return False
        order.received += count
        order.state = "part received" if order.to_come() else "closed"
        self.receive(count, try_on)
        if order.client:
            self.move(self.units[-1], "reserved", True, order.client)
        if order.line:
            order.line.unit, self.units[-1].line = self.units[-1], order.line
            order.line = None
        return True

    def close(self, order):
        if not order.is_on_the_way() or order.line:
            return False
        order.state = "closed"
        return True

    def drop(self, order):
        if order.state != "draft" or order.line:
            return False
        order.state = "dropped"
        return True

    # the stocktake

    def begin_stocktake(self):
        if self.met is not None:
            return False
        self.met, self.began = {}, self.now
        return True

    def count(self, unit):
        self.met.setdefault(id(unit), self.now)
        return True

    def differs(self, unit):
        when = self.met.get(id(unit))
        if when is None:
            return unit.state in HERE and not any(at > self.began and in_hand for at, in_hand in unit.moved)
        return unit.state in ("gone", "with client") and not any(at > when for at, _ in unit.moved)

    def put_right(self, unit):
        if not self.differs(unit) or unit.state == "with client":
            return False
        if unit.state in HERE:
            return self.move(unit, "gone")
        if not unit.line:
            return self.move(unit, "drawer")
        return unit.line.handed_over is None and self.move(unit, "reserved", hers=unit.line.sale.client)

    def finish(self, leaves):
        if any(self.differs(unit) for unit in self.units) and not leaves:
            return False
        self.met = None
        return True
