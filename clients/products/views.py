"""The salon's products: a list for those who use them, a page each for the owner."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_http_methods, require_safe

from clients.models import Product
from clients.models.health import Substance
from clients.products.forms import ProductForm
from salon.common.access import needs
from salon.current import SalonRequest

CHANGES_SHOWN = 6


@needs("clients.view_product")
@require_safe
def products(request: SalonRequest) -> HttpResponse:
    rows = [(product, _named(product)) for product in Product.objects.order_by("-is_in_use", "sort", "name")]
    return render(request, "clients/products/products.html", {"rows": rows})


@needs("clients.add_product")
@require_http_methods(["GET", "POST"])
def product_new(request: SalonRequest) -> HttpResponse:
    form = ProductForm(request.POST if request.method == "POST" else None)
    if form.is_valid() and (kept := form.keep(by=request.user)):
        messages.success(request, f"{kept} is on the list.")
        return redirect("products")
    return render(request, "clients/products/product_new.html", {"form": form})


@needs("clients.change_product")
@require_http_methods(["GET", "POST"])
def product_page(request: SalonRequest, pk: int) -> HttpResponse:
    product = get_object_or_404(Product, pk=pk)
    form = ProductForm(request.POST if request.method == "POST" else None, product=product)
    if form.is_valid() and (kept := form.keep(by=request.user)):
        messages.success(request, f"{kept}: kept. Tests that were applied keep the hours and days they began with.")
        return redirect("product", pk)
    versions = list(product.history.select_related("history_user").order_by("-history_date", "-history_id"))
    context = {"product": product, "form": form, "versions": [(old, _named(old)) for old in versions[:CHANGES_SHOWN]]}
    return render(request, "clients/products/product.html", context)


def _named(product: Product) -> str:
    """What its label names, in words; that nobody has read it is not that it names nothing."""
    if not product.contains_read:
        return "label not read yet"
    named = [Substance(each).label for each in product.contains if each in Substance.values]
    return f"names {', '.join(named).lower()}" if named else "names none of what clients react to"
