"""Addresses of the pieces clients own, and of units that are lent."""

from django.urls import path

import salon.common.addresses  # noqa: F401  # registers <reference:…>
from fittings.owned import entry_views, loan_views, new_views, piece_views, repair_views

urlpatterns = [
    path("clients/<reference:reference>/pieces/new/", new_views.owned_new, name="owned-new"),
    path("owned/<reference:reference>/", piece_views.owned_piece, name="owned-piece"),
    path("owned/<reference:reference>/wear/", entry_views.owned_wear, name="owned-wear"),
    path("owned/<reference:reference>/check/", entry_views.owned_check, name="owned-check"),
    path("owned/<reference:reference>/end/", piece_views.owned_end, name="owned-end"),
    path("owned/<reference:reference>/turns/", piece_views.owned_turns, name="owned-turns"),
    path("owned/<reference:reference>/repair/", repair_views.owned_repair, name="owned-repair"),
    path("owned/<reference:reference>/repair/back/", repair_views.repair_back, name="repair-back"),
    path("loans/", loan_views.loans, name="loans"),
    path("clients/<reference:reference>/loans/new/", loan_views.loan_new, name="loan-new"),
    path("loans/<int:pk>/back/", loan_views.loan_back, name="loan-back"),
]
