"""The price list and the rates of tax: everybody at the till reads them, the owner keeps them."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_http_methods, require_safe

from fittings.setting_up.shown import last_change
from fittings.till.price_forms import PricedServiceForm, TaxRateForm
from pieces.models import PricedService, TaxRate
from pieces.reckoning import percent
from salon.common.access import needs
from salon.current import SalonRequest


@needs("pieces.view_pricedservice")
@require_safe
def price_list(request: SalonRequest) -> HttpResponse:
    every = PricedService.objects.select_related("tax_rate").order_by("-is_in_use", "name")
    return render(request, "fittings/till/price_list.html", {"place": "sales", "services": list(every)})


@needs("pieces.add_pricedservice")
@require_http_methods(["GET", "POST"])
def priced_service_new(request: SalonRequest) -> HttpResponse:
    form = PricedServiceForm(request.POST if request.method == "POST" else None, salon=request.salon)
    if form.is_valid() and (kept := form.keep(by=request.user)):
        messages.success(request, f"“{kept}” is on the price list.")
        return redirect("price-list")
    return render(request, "fittings/till/priced_service.html", {"place": "sales", "form": form})


@needs("pieces.change_pricedservice")
@require_http_methods(["GET", "POST"])
def priced_service(request: SalonRequest, pk: int) -> HttpResponse:
    service = get_object_or_404(PricedService, pk=pk)
    form = PricedServiceForm(request.POST if request.method == "POST" else None, service=service, salon=request.salon)
    if form.is_valid() and (kept := form.keep(by=request.user)):
        messages.success(request, f"“{kept}” is kept as it stands now. What was sold keeps its price.")
        return redirect("price-list")
    context = {"place": "sales", "form": form, "service": service, "changed": last_change(service.history)}
    return render(request, "fittings/till/priced_service.html", context)


@needs("pieces.view_taxrate")
@require_safe
def tax_rates(request: SalonRequest) -> HttpResponse:
    rates = [(rate, percent(rate.basis_points)) for rate in TaxRate.objects.order_by("-is_in_use", "-is_usual", "name")]
    return render(request, "fittings/till/tax_rates.html", {"place": "sales", "rates": rates})


@needs("pieces.add_taxrate")
@require_http_methods(["GET", "POST"])
def tax_rate_new(request: SalonRequest) -> HttpResponse:
    form = TaxRateForm(request.POST if request.method == "POST" else None)
    if form.is_valid() and (kept := form.keep(by=request.user)):
        messages.success(request, f"“{kept}” can stand on a line now.")
        return redirect("tax-rates")
    return render(request, "fittings/till/tax_rate.html", {"place": "sales", "form": form})


@needs("pieces.change_taxrate")
@require_http_methods(["GET", "POST"])
def tax_rate(request: SalonRequest, pk: int) -> HttpResponse:
    rate = get_object_or_404(TaxRate, pk=pk)
    form = TaxRateForm(request.POST if request.method == "POST" else None, rate=rate)
    if form.is_valid() and (kept := form.keep(by=request.user)):
        messages.success(request, f"“{kept}” is kept as it stands now. What was sold keeps its tax.")
        return redirect("tax-rates")
    context = {"place": "sales", "form": form, "rate": rate, "changed": last_change(rate.history)}
    return render(request, "fittings/till/tax_rate.html", context)
