"""A sale is put together and agreed. Every press sends the whole page back, so that nothing typed is lost."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpResponse, QueryDict
from django.shortcuts import redirect, render
from django.utils.timezone import now
from django.views.decorators.http import require_http_methods

from clients.models import Client
from fittings.models import Fitting
from fittings.owned.finding import client_of
from fittings.till.basket import Basket
from fittings.till.finding import Thing, at_hand, of_visit, things
from fittings.till.sale_form import SaleForm
from pieces.models import PricedService
from pieces.selling import MOST_LINES
from salon.common.access import needs
from salon.current import SalonRequest


@needs("pieces.add_sale")
@require_http_methods(["GET", "POST"])
def sale_new(request: SalonRequest, reference: str) -> HttpResponse:
    """With `unit` or `visit` in the address it begins with that unit, or with what the visit proposes."""
    client = client_of(reference)
    if request.method == "POST":
        return _answered(request, client)
    visit = client.fittings.filter(reference=request.GET.get("visit", "")).select_related("stylist").first()
    shown, unlisted = of_visit(visit, currency=request.salon.currency) if visit else ([], [])
    asked = [f"unit-{number}" for number in request.GET.getlist("unit")]
    shown += things(asked, client=client, currency=request.salon.currency)
    form = SaleForm(client=client, salon=request.salon, initial={"stylist": _stylist(request, visit)})
    basket = Basket(_once_each(shown), salon=request.salon)
    return _page(request, client, form, basket, visit=visit, unlisted=unlisted)


def _answered(request: SalonRequest, client: Client) -> HttpResponse:
    """One more line, one less, the sums, or the sale agreed."""
    kept = [key for key in request.POST.getlist("line") if key != request.POST.get("remove")][:MOST_LINES]
    form = SaleForm(request.POST, client=client, salon=request.salon)
    wanted = [*kept, *request.POST.getlist("add")]
    is_typed = any(request.POST.get(name, "").strip() for name in ("number", "service"))
    agrees = "agree" in request.POST
    adds = "more" in request.POST or ("reckon" in request.POST and request.POST.get("number"))  # Enter, or a scanner's
    if (adds or (agrees and is_typed)) and (added := form.added()):
        wanted += added
        form = SaleForm(_without_what_was_added(request), client=client, salon=request.salon)
        if agrees:  # she has not heard yet what it comes to with that
            messages.info(request, "What stood under “Add something” is in the sale now. See what it comes to.")
    shown = things(wanted, client=client, currency=request.salon.currency)
    basket = Basket(shown, salon=request.salon, sent=request.POST, kept=kept)
    if agrees and not is_typed and (sale := form.agree(basket, by=request.user, at=now())):
        messages.success(request, "The sale is written down and its pieces are set aside for her.")
        return redirect(sale)
    if len({thing.key for thing in shown}) < len(set(wanted)):
        messages.error(request, "Something is no longer there to be sold; it was left out.")
    return _page(request, client, form, basket)


def _page(
    request: SalonRequest,
    client: Client,
    form: SaleForm,
    basket: Basket,
    *,
    visit: Fitting | None = None,
    unlisted: object = (),
) -> HttpResponse:
    there = {line.thing.key for line in basket.lines}
    context = {
        "place": "sales",
        "client": client,
        "form": form,
        "basket": basket,
        "lines": basket.lines,
        "visit": visit,
        "unlisted": unlisted,
        "at_hand": [one for one in at_hand(client, currency=request.salon.currency) if one.key not in there],
        "has_price_list": PricedService.objects.in_use().exists(),
    }
    return render(request, "fittings/till/sale_new.html", context)


def _stylist(request: SalonRequest, visit: Fitting | None) -> int | None:
    if visit:
        return visit.stylist_id
    return request.user.pk if request.user.has_perm("fittings.add_fitting") else None


def _once_each(shown: list[Thing]) -> list[Thing]:
    return list({thing.key: thing for thing in shown}.values())


def _without_what_was_added(request: SalonRequest) -> QueryDict:
    """The rest of what was typed: the box for one more is empty again."""
    rest = request.POST.copy()
    rest["number"] = rest["service"] = ""
    return rest
