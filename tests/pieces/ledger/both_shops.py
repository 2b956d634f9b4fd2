"""Does deeds in the shop and in the plain model of it, one after the other, and holds the two against each other."""

import inspect
from datetime import UTC, datetime, timedelta

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils.timezone import localdate
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, initialize, invariant, precondition, rule

from pieces import counting, ordering, paying, returning, selling, stock
from pieces.models import Payment, Receipt, Sale, SaleLine, Unit
from salon.models import Salon
from tests.pieces.factories import TaxRateFactory
from tests.pieces.ledger.broken import broken
from tests.pieces.ledger.naive_shop import Deposit, NaiveShop, Order
from tests.pieces.ledger.naive_shop import Sale as NaiveSale

START = datetime(2026, 3, 2, 9, 0, tzinfo=UTC)
some = st.integers(0, 23)  # whose remainder chooses one of what there is
amounts = st.sampled_from(["all", "all", "a part", "a penny", "a penny too much", "nothing"])
ways = st.sampled_from(["card", "cash", ""])
states = st.sets(st.sampled_from(["seal_broken", "worn", "cut", "coloured"]), max_size=1)
PRICES = [124_990, 8_550, 99, 33_333]  # with the rates of test_ledger.py their taxes fall on both sides of a half


# what moves a unit: the deed, where the unit should be, and what the model and the deed are told
MOVES = {
    "put_back": (stock.release_unit, ["reserved"], [], {}),
    "take_in": (stock.take_in_unit, ["with client"], ["cleaning"], {"to": "cleaning"}),
    "clean": (stock.send_to_be_cleaned, ["drawer", "kept apart"], [], {}),
    "cleaned": (stock.back_from_cleaning, ["cleaning"], [], {}),
    "keep_apart": (stock.keep_apart, ["drawer"], [], {"because": "A loose clip"}),
    "let_in": (stock.let_in_again, ["kept apart"], [], {}),
    "write_off": (stock.write_off, ["drawer"], [], {"because": "Torn"}),
    "lose": (stock.take_in_unit, ["with client"], [], {"to": "gone", "because": "She lost it"}),
}


def of(whole, how):
    """An amount of money beside a whole."""
    return {"all": whole, "a part": whole // 3, "a penny": 1, "a penny too much": whole + 1, "nothing": 0}[how]


def there(name):
    """Only while the model has one of those."""
    return precondition(lambda shops: getattr(shops.naive, name))


class BothShops(RuleBasedStateMachine):
    """`cast`: two clients, two variants, a service, a reason, a stylist and an owner, made before the first example."""

    def __init__(self, cast, tax_included, basis_points):
        super().__init__()
        self.held = transaction.atomic()
        self.held.__enter__()
        self.cast, self.at = cast, START
        self.salon = Salon.objects.default()
        self.salon.prices_include_tax = tax_included
        self.salon.save()
        TaxRateFactory(is_usual=True, basis_points=basis_points)
        self.naive = NaiveShop(tax_included, basis_points)
        self.rows = {}  # the model's things, and the rows that they are
        self.stocktake = None

    def teardown(self):
        try:
            assert broken() == []
        finally:
            transaction.set_rollback(True)
            self.held.__exit__(None, None, None)

    # how a deed is done in both

    def both(self, naive, deed, **told):
        """Do it in the model, which says whether it may be done, and in the shop; None where the shop refused."""
        self.at += timedelta(minutes=1)
        self.naive.now += 1
        may = bool(naive())
        at_the_till = {"salon": self.salon, "by": self.cast["stylist"], "at": self.at}
        asked = inspect.signature(deed).parameters
        told |= {name: value for name, value in at_the_till.items() if name in asked}
        try:
            given, refusal = deed(**told), None
        except ValidationError as said:
            given, refusal = None, said.messages
        assert may == (refusal is None), f"{deed.__name__}: may be done: {may}; the shop refuses: {refusal}"
        return given

    def chosen(self, name, number, likely):
        """One of those things: two times in three one with which the deed is likely to go on, if there is any."""
        things = getattr(self.naive, name)
        if number % 3:
            things = [thing for thing in things if likely(thing)] or things
        return things[number % len(things)]

    def row(self, thing):
        """The row as it was when it was made: what happened to it since is for the deed to find out."""
        return self.rows.get(id(thing))

    def client(self, number):
        return self.cast["clients"][number % 2]

    def new_units(self):
        """Rows of the units that the model has since the last time."""
        rows = [*Unit.objects.order_by("pk").exclude(pk__in=self.cast["units_before"])]
        for unit, row in zip(self.naive.units, rows, strict=True):
            self.rows.setdefault(id(unit), row)

    # the drawers

    @rule(which=some, count=st.integers(1, 3), try_on=st.booleans())
    def receive(self, which, count, try_on):
        variant, purpose = self.cast["variants"][which % 2], "try-on" if try_on else "sale"
        told = {"variant": variant, "count": count, "purpose": purpose, "received_on": localdate(self.at)}
        self.both(lambda: self.naive.receive(count, try_on), stock.receive_units, **told)
        self.new_units()

    @there("units")
    @rule(name=st.sampled_from([*MOVES]), number=some)
    def move(self, name, number):
        deed, states, naive_told, told = MOVES[name]
        self.moved(name, deed, number, states, *naive_told, **told)

    @there("units")
    @rule(number=some, her=st.one_of(st.none(), some))
    def set_aside(self, number, her):
        client = None if her is None else self.client(her)
        self.moved("set_aside", stock.reserve_unit, number, ["drawer"], client, client=client)

    @there("units")
    @rule(number=some, her=some)
    def lend(self, number, her):
        client, states = self.client(her), ["drawer", "reserved"]
        self.moved("lend", stock.hand_over_unit, number, states, client, to=client, kind="lent")

    def moved(self, name, deed, number, states, *naive_told, **told):
        unit = self.chosen("units", number, lambda unit: unit.state in states and not unit.line)
        self.both(lambda: getattr(self.naive, name)(unit, *naive_told), deed, unit=self.row(unit), **told)

    # sales

    @initialize(her=some, paid=amounts)
    def a_morning(self, her, paid):
        """Something lies here, something is sold, and something is on its way."""
        self.receive(0, 3, try_on=False)
        self.sell(her, 1, 0, paid)
        self.order(1, 2, her)
        self.send(1)

    @rule(her=some, number=some, price=some, paid=amounts)
    def sell(self, her, number, price, paid):
        """What happens most: a unit is agreed on, paid and handed over."""
        sold = len(self.naive.sales)
        self.agree(her, [("unit", number, price)] if self.naive.units else [], 0, knows=True)
        if len(self.naive.sales) > sold:
            self.pay_for(self.naive.sales[-1], paid, "card")
            self.hand_over_line(self.naive.lines[-1])

    @rule(
        her=some,
        wanted=st.lists(st.tuples(st.sampled_from(["unit", "unit", "order", "service"]), some, some), max_size=3),
        cheaper=st.sampled_from([0, 0, 0, 0, 99, 501, 200_000]),
        knows=st.booleans(),
    )
    def agree(self, her, wanted, cheaper, knows):
        client, asked, naive_asked = self.client(her), [], []
        for what, number, price in wanted:
            things = {"unit": self.naive.units, "order": self.naive.orders, "service": [None]}[what]
            if not things:
                continue
            if number % 4:
                things = [thing for thing in things if thing is None or thing.is_free_for(client)] or things
            thing, price_minor = things[number % len(things)], PRICES[price % len(PRICES)]
            column = {"unit": "unit", "order": "order_line", "service": "service"}[what]
            told = {column: self.row(thing) if thing else self.cast["service"], "price_minor": price_minor}
            told |= {"discount_minor": cheaper, "discount_because": "A friend" if cheaper else "", "tried_on": knows}
            asked.append(selling.LineAsked(**told))
            naive_asked.append((thing, price_minor, cheaper))
        sale = self.both(
            lambda: self.naive.agree(client, naive_asked, knows), selling.agree_sale, client=client, lines=asked
        )
        if sale:
            self.rows[id(self.naive.sales[-1])] = sale
            lines = zip(self.naive.sales[-1].lines, sale.lines.order_by("pk"), strict=True)
            self.rows.update((id(line), row) for line, row in lines)

    @there("lines")
    @rule(number=some)
    def hand_over(self, number):
        self.hand_over_line(self.chosen("lines", number, lambda line: line.counts and line.handed_over is None))

    def hand_over_line(self, line):
        self.both(lambda: self.naive.hand_over(line, self.day()), selling.hand_over, line=self.row(line))

    @there("lines")
    @rule(number=some, goes_on=st.booleans())
    def take_out(self, number, goes_on):
        waits = lambda line: line.counts and line.handed_over is None and len(line.sale.lines) > 1  # noqa: E731
        line = self.chosen("lines", number, waits)
        told = {"line": self.row(line), "because": "She chose another", "order_goes_on": goes_on}
        apart = self.both(lambda: self.naive.take_out(line, goes_on), selling.take_out_line, **told)
        if apart:
            self.rows[id(self.naive.sales[-1])] = apart

    @there("sales")
    @rule(number=some)
    def cancel(self, number):
        sale = self.chosen("sales", number, lambda sale: not sale.paid and not sale.cancelled)
        self.both(lambda: self.naive.cancel(sale), selling.cancel_sale, sale=self.row(sale), because="She rang")

    # money

    @there("sales")
    @rule(number=some, how=amounts, way=st.sampled_from(["card", "cash"]))
    def pay(self, number, how, way):
        self.pay_for(self.chosen("sales", number, NaiveSale.owed), how, way)

    def pay_for(self, sale, how, way):
        told = {"sale": self.row(sale), "amount_minor": of(sale.owed(), how), "method": way}
        self.both(lambda: self.naive.pay(sale, told["amount_minor"]), paying.take_payment, **told)

    @there("sales")
    @rule(number=some, how=amounts)
    def give_back(self, number, how):
        sale = self.chosen("sales", number, lambda sale: sale.paid)
        told = {"sale": self.row(sale), "amount_minor": of(sale.paid, how), "method": "cash"}
        self.both(lambda: self.naive.give_back(sale, told["amount_minor"]), paying.give_back, **told)

    @rule(her=some, amount=st.sampled_from([2_000, 1, 500_000, 0]))
    def deposit(self, her, amount):
        client = self.client(her)
        told = {"client": client, "amount_minor": amount, "what_for": "A consult", "method": "card"}
        given = self.both(lambda: self.naive.deposit(client, amount), paying.take_deposit, **told)
        if given:
            self.rows[id(self.naive.deposits[-1])] = given

    @there("deposits")
    @there("sales")
    @rule(number=some, which=some)
    def count_deposit(self, number, which):
        deposit = self.chosen("deposits", number, Deposit.is_held)
        sale = self.chosen("sales", which, lambda sale: sale.client is deposit.client and sale.owed())
        self.both(
            lambda: self.naive.count_deposit(deposit, sale),
            paying.count_deposit,
            payment=self.row(deposit),
            sale=self.row(sale),
        )

    @there("deposits")
    @rule(number=some, how=amounts)
    def deposit_back(self, number, how):
        deposit = self.chosen("deposits", number, Deposit.is_held)
        amount = of(deposit.amount - deposit.given_back, how)
        told = {"deposit": self.row(deposit), "amount_minor": amount, "method": "cash"}
        self.both(lambda: self.naive.deposit_back(deposit, amount), paying.give_back, **told)

    # what comes back

    @there("lines")
    @rule(
        number=some, state=states, fate=st.sampled_from(["drawer", "cleaning", "kept apart", "gone"]),
        how=amounts, allowed=st.booleans(), instead=st.one_of(st.none(), st.none(), some), way=ways,
    )  # fmt: skip  # in pairs it is read at a glance
    def take_back(self, number, state, fate, how, allowed, instead, way):
        line = self.chosen("lines", number, lambda line: line.counts and line.unit and line.handed_over is not None)
        other = None
        if instead is not None:
            hers = lambda sale: sale.client is line.sale.client and sale is not line.sale  # noqa: E731
            other = self.chosen("sales", instead, hers)
        refund = of(min(line.total, line.sale.paid), how)
        outcome = {"state": state, "fate": fate, "refund": refund, "owner": allowed, "instead": other, "way": way}
        told = {
            "line": self.row(line),
            "reason": self.cast["reason"],
            "fate": fate,
            "refund_minor": refund,
            "method": way,
        }
        told |= dict.fromkeys(state, True) | {"exchanged_for": self.row(other) if other else None}
        told |= {"owner": self.cast["owner"], "because": "She asked kindly"} if allowed else {}
        self.both(lambda: self.naive.take_back(line, day=self.day(), **outcome), returning.take_back, **told)

    # orders

    @rule(which=some, count=st.integers(1, 3), her=st.one_of(st.none(), some))
    def order(self, which, count, her):
        client, variant = None if her is None else self.client(her), self.cast["variants"][which % 2]
        wanted = ordering.LineWanted(variant=variant, count=1 if client else count, for_client=client)
        maker = variant.piece.base.maker
        order = self.both(lambda: self.naive.order(count, client), ordering.draft_order, maker=maker, lines=[wanted])
        self.rows[id(self.naive.orders[-1])] = order.lines.get()

    @there("orders")
    @rule(number=some)
    def send(self, number):
        order = self.chosen("orders", number, lambda order: order.state == "draft")
        self.both(lambda: self.naive.send(order), ordering.send_order, order=self.row(order).order, expected_on=None)

    @there("orders")
    @rule(number=some, count=st.integers(0, 3))
    def arrive(self, number, count):
        order = self.chosen("orders", number, Order.is_on_the_way)
        told = {"line": self.row(order), "count": count, "received_on": localdate(self.at)}
        self.both(lambda: self.naive.arrive(order, count), ordering.receive_against, **told)
        self.new_units()

    @there("orders")
    @rule(number=some, drop=st.booleans())
    def give_up(self, number, drop):
        if drop:
            self.drop(number)
        else:
            self.close(number)

    def close(self, number):
        order = self.chosen("orders", number, Order.is_on_the_way)
        told = {"order": self.row(order).order, "because": "No longer made"}
        self.both(lambda: self.naive.close(order), ordering.close_order, **told)

    def drop(self, number):
        order = self.chosen("orders", number, lambda order: order.state == "draft")
        self.both(lambda: self.naive.drop(order), ordering.drop_order, order=self.row(order).order)

    # the stocktake

    @precondition(lambda shops: shops.naive.met is None)
    @rule()
    def begin_stocktake(self):
        begun = self.both(lambda: self.naive.begin_stocktake(), counting.begin_stocktake)
        self.stocktake = begun or self.stocktake

    @precondition(lambda shops: shops.naive.met is not None and shops.naive.units)
    @rule(number=some)
    def count(self, number):
        unit = self.chosen("units", number, lambda unit: unit.state != "with client")
        told = {"stocktake": self.stocktake, "number": self.row(unit).number, "how": "typed"}
        self.both(lambda: self.naive.count(unit), counting.count_unit, **told)

    @precondition(lambda shops: shops.naive.met is not None and shops.naive.units)
    @rule(number=some)
    def put_right(self, number):
        unit = self.chosen("units", number, self.naive.differs)
        told = {"stocktake": self.stocktake, "unit": self.row(unit), "because": "Looked for twice"}
        self.both(lambda: self.naive.put_right(unit), counting.put_right_difference, **told)

    @precondition(lambda shops: shops.naive.met is not None)
    @rule(leaves=st.booleans())
    def finish_stocktake(self, leaves):
        self.both(lambda: self.naive.finish(leaves), counting.finish_stocktake, stocktake=self.stocktake, leaves=leaves)

    # time

    @rule(days=st.integers(1, 16))
    def days_pass(self, days):
        self.at += timedelta(days=days)

    def day(self):
        return self.at.date().toordinal()

    # after every deed

    @invariant()
    def the_two_agree(self):
        naive, before = self.naive, self.cast["units_before"]
        units = Unit.objects.order_by("pk").exclude(pk__in=before).values_list("state", "reserved_for")
        assert [*units] == [(unit.state, unit.hers and unit.hers.pk) for unit in naive.units]
        sales = Sale.objects.order_by("pk").with_money()
        told = [(sale.total_minor, sale.paid_minor) for sale in sales if not sale.is_cancelled]
        assert told == [(sale.total(), sale.paid) for sale in naive.sales if not sale.cancelled]
        lines = SaleLine.objects.order_by("pk").values_list("total_minor", "tax_minor", "is_live")
        assert [*lines] == [(line.total, line.tax, line.counts) for line in naive.lines]
        assert Receipt.objects.count() == naive.receipts
        held = sum(deposit.amount - deposit.given_back for deposit in naive.deposits if deposit.sale is None)
        money = sum(Payment.objects.values_list("amount_minor", flat=True))
        assert money == held + sum(sale.paid for sale in naive.sales)
