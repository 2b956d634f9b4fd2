"""Does the owner's review take longer than its rows grow, from 10,000 sales to 200,000 with all that hangs on them?

A thousand variants of 50 pieces, five stylists, two years. Each sale has its unit and movements, its visit with pieces
put forward and tried on, and the piece that became hers; one in nine came back. Printed are the times and their ratio;
beside them the processor's own seconds in this process, which on SQLite are all there is, however busy the machine.
"""

from dataclasses import dataclass
from datetime import timedelta
from statistics import median
from time import perf_counter, process_time

import pytest
from django.db import connection
from django.urls import reverse
from django.utils.timezone import now

from fittings.models import Candidate, CareDate, Fitting, OwnedPiece, TryOn
from pieces.models import AskedFor, Return, Sale, SaleLine, StockMovement, Unit, Variant
from pieces.selling import LineAsked, hand_over
from tests.benchmarks.copied_rows import analyse, copy
from tests.factories import OwnerFactory, StylistFactory
from tests.fittings.factories import CandidateFactory, OwnedPieceFactory
from tests.fittings.visits import signed_off_visit
from tests.pieces.factories import PieceFactory, ReturnReasonFactory, SaleFactory, ShadeFactory, UnitFactory

# Kept rows, as in a salon: SQLite reads what is not committed yet up to half as slowly again
pytestmark = [pytest.mark.slow, pytest.mark.django_db(transaction=True)]

FEW, MANY, TIMES = 10_000, 200_000, 5
PIECES, SHADES, LENGTHS, STYLISTS = 50, 5, 4, 5
FROM = 10_000_000  # keys of what is copied, so that one row can name another by its number


@dataclass(frozen=True)
class Says:
    """How a database writes a moment so many days ago, and the day of it."""

    vendor: str

    def ago(self, days):
        if self.vendor == "sqlite":
            return f"datetime('now', (-({days})) || ' days')"
        return f"(now() - ({days}) * INTERVAL '1 day')"

    def day(self, days):
        return f"date({self.ago(days)})" if self.vendor == "sqlite" else f"({self.ago(days)})::date"


class Years:
    """A salon that sells as many pieces as it is told to, spread over two years."""

    def __init__(self):
        self.count = 0
        self.says = Says(connection.vendor)
        stylists = StylistFactory.create_batch(STYLISTS)
        pieces, shades = PieceFactory.create_batch(PIECES), ShadeFactory.create_batch(SHADES)
        variants = Variant.objects.bulk_create(
            Variant(piece=piece, shade=shade, length_mm=length, price_minor=90000, cost_minor=40000, currency="GBP")
            for piece in pieces
            for shade in shades
            for length in range(250, 250 + 50 * LENGTHS, 50)
        )
        self.visit = signed_off_visit(stylist=stylists[0])
        Fitting.objects.filter(pk=self.visit.pk).update(
            finished_at=now(), finished_by=stylists[0], began_at=now() - timedelta(days=800)
        )
        self.unit = UnitFactory(variant=variants[0])
        sale = SaleFactory(client=self.visit.client, lines=[LineAsked(unit=self.unit)], stylist=stylists[0])
        self.line = hand_over(line=sale.lines.get(), by=sale.agreed_by, at=now())
        self.owned = OwnedPieceFactory(client=sale.client, unit=self.unit)
        self.care = CareDate.objects.create(
            owned_piece=self.owned, kind="replace", due_on=now().date(), worked_out_on=now().date()
        )
        self.candidate = CandidateFactory(fitting=self.visit, variant=variants[0])
        self.tried = TryOn.objects.create(
            fitting=self.visit,
            candidate=self.candidate,
            covers="well",
            sits="well",
            matches="well",
            logged_by=stylists[0],
        )
        self.asked = AskedFor.objects.create(
            variant=variants[0], visit_reference="F-0", asked_at=now(), asked_by=stylists[0]
        )
        reasons = ReturnReasonFactory.create_batch(4)
        self.taken_back = Return.objects.create(
            line=self.line, reason=reasons[0], days_since=1, in_policy=True, fate="drawer", at=now(), by=sale.agreed_by
        )
        # every number's columns, in SQL
        self.variant = f"{variants[0].pk} + n * 7 % {len(variants)}"
        self.stylist = f"{stylists[0].pk} + n % {STYLISTS}"
        self.reason = f"{reasons[0].pk} + n % 4"

    def grow_to(self, count):
        new, says, day = range(self.count + 1, count + 1), self.says, "(n * 37 % 730)"
        back, worn = f"(n % 9 = 0 AND {day} > 60)", f"(n % 9 <> 0 AND n % 4 = 1 AND {day} > 330)"
        key, sold_at, sold_on = f"{FROM} + n", says.ago(day), says.day(day)
        copy(
            Unit,
            new,
            f"id = {self.unit.pk}",
            id=key,
            number="'U-' || n",
            variant_id=self.variant,
            received_on=says.day(f"{day} + 20 + n % 200"),
            state=f"CASE WHEN {back} AND n % 90 = 0 THEN 'drawer' WHEN {back} THEN 'gone' ELSE 'with client' END",
        )
        copy(
            Sale,
            new,
            f"id = {self.line.sale_id}",
            id=key,
            reference="'S-' || n",
            stylist_id=self.stylist,
            agreed_at=sold_at,
        )
        copy(
            SaleLine,
            new,
            f"id = {self.line.pk}",
            id=key,
            sale_id=key,
            unit_id=key,
            variant_id=self.variant,
            handed_over_at=sold_at,
            is_live=f"NOT {back}",
            visit_reference="'F-' || n",
            margin_mm="(n * 13 % 300) / 10.0",
            cover="(80 + n * 11 % 21) / 100.0",
            clips_total="5",
            clips_holding="n % 6",
            colour_difference="(n * 17 % 80) / 10.0",
            length_step_mm="n * 3 % 120 - 40",
            is_first_piece="(n % 3 = 0)",
        )
        copy(
            Return,
            new,
            f"pieces_return.id = {self.taken_back.pk} AND {back}",
            id=key,
            line_id=key,
            reason_id=self.reason,
            days_since="n % 50",
            at=says.ago(f"{day} - n % 50"),
        )
        received = f"kind = 'before' AND unit_id = {self.unit.pk}"
        sold = f"kind = 'sold' AND unit_id = {self.unit.pk}"
        copy(StockMovement, new, received, id=f"2 * ({key})", unit_id=key, at=says.ago(f"{day} + 20 + n % 200"))
        copy(StockMovement, new, sold, id=f"2 * ({key}) + 1", unit_id=key, sale_line_id=key, at=sold_at)
        came_back = {"id": f"9 * ({key})", "kind": "'came back'", "seq": "3", "from_state": "'with client'"}
        copy(StockMovement, new, f"{sold} AND {back}", **came_back, to_state="'drawer'", unit_id=key, sale_line_id=key)
        visited = says.ago(f"{day} + 14")
        copy(
            Fitting,
            new,
            f"id = {self.visit.pk}",
            id=key,
            reference="'F-' || n",
            stylist_id=self.stylist,
            began_at=visited,
            finished_at=visited,
        )
        copy(
            Candidate,
            new,
            f"id = {self.candidate.pk}",
            id=key,
            fitting_id=key,
            variant_id=self.variant,
            chosen_at=visited,
        )
        for place, where in enumerate(("n > 0", "n % 2 = 0")):
            tried = {"id": f"2 * ({key}) + {place}", "fitting_id": key, "candidate_id": key, "logged_at": visited}
            copy(TryOn, new, f"fittings_tryon.id = {self.tried.pk} AND {where}", **tried)
        ended = f"CASE WHEN {back} THEN 'returned' WHEN {worn} THEN 'worn out' ELSE '' END"
        back_on, worn_on = says.day(f"{day} - n % 50"), says.day(f"{day} - 200 - n % 100")
        until = f"CASE WHEN {back} THEN {back_on} WHEN {worn} THEN {worn_on} END"
        somebody = f"CASE WHEN {back} OR {worn} THEN begun_by_id END"
        copy(
            OwnedPiece,
            new,
            f"id = {self.owned.pk}",
            id=key,
            reference="'O-' || n",
            unit_id=key,
            since=sold_on,
            until=until,
            ended=ended,
            ended_by_id=somebody,
            ended_at=f"CASE WHEN {back} OR {worn} THEN {sold_at} END",
        )
        due = f"fittings_caredate.id = {self.care.pk} AND NOT {back} AND NOT {worn}"
        copy(CareDate, new, due, id=key, owned_piece_id=key, due_on=says.day(f"{day} - 400"))
        copy(
            AskedFor,
            range(new.start // 50 + 1, new.stop // 50 + 1),
            f"id = {self.asked.pk}",
            variant_id=self.variant,
            visit_reference="'F-' || (50 * n)",
            asked_at=says.ago("n * 37 % 730"),
        )
        self.count = count
        analyse()


def seconds_for(client, address):
    """(median of the clock, median of this process)."""
    spans = []
    for _ in range(TIMES + 1):
        begin, worked = perf_counter(), process_time()
        assert client.get(address).status_code == 200
        spans.append((perf_counter() - begin, process_time() - worked))
    return tuple(map(median, zip(*spans[1:], strict=True)))  # the first one fills what a process keeps


def test_the_review_of_few_and_of_many_sales(client, queries_for):
    salon, found = Years(), {}
    client.force_login(OwnerFactory())
    pages = {by: f"{reverse('review')}?span=24-months&by={by}" for by in ("piece", "fibre", "stylist")}
    for size in (FEW, MANY):
        begin = perf_counter()
        salon.grow_to(size)
        print(f"\n{connection.vendor}: {size:,} sales, made in {perf_counter() - begin:.0f} s")
        for by, address in pages.items():
            found[by, size] = seconds_for(client, address), queries_for(address)
        empty = reverse("help")
        found["an empty page", size] = seconds_for(client, empty), queries_for(empty)
    for name in dict.fromkeys(name for name, _ in found):
        ((few_s, few_own), few), ((many_s, many_own), many) = found[name, FEW], found[name, MANY]
        print(
            f"{name}: {few_s:.2f} s and {many_s:.2f} s, {many_s / few_s:.1f} times for {MANY // FEW} times the sales;"
            f" {few_own:.2f} s and {many_own:.2f} s of the processor; {few} and {many} queries"
        )
        assert few == many
