"""A new base and a base that is changed: its rows come and go by the server, and its drawing follows what is typed."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.http import HttpResponse, QueryDict
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_http_methods

from pieces.keeping.base_form import BaseForm, drawable
from pieces.keeping.base_rows import ClipRow, TapeRow, begun_clip, rows_typed, usual_rows, with_rows
from pieces.keeping_catalogue import MOST_CLIPS, MOST_TAPE_AREAS
from pieces.models import Base, Maker
from salon.common.access import needs
from salon.common.form_fields import in_reader_units
from salon.common.htmx import wants_part
from salon.current import SalonRequest, reader_units

DRAWING = "base-typed"  # the element that is swapped while somebody types


@needs("pieces.add_base")
@require_http_methods(["GET", "POST"])
def base_new(request: SalonRequest) -> HttpResponse:
    return _base_page(request, None, {"maker": request.GET.get("maker", "")})


@needs("pieces.change_base")
@require_http_methods(["GET", "POST"])
def base_edit(request: SalonRequest, pk: int) -> HttpResponse:
    base = get_object_or_404(Base.objects.with_shape().select_related("maker"), pk=pk)
    return _base_page(request, base, {})


def _base_page(request: SalonRequest, base: Base | None, initial: dict[str, Any]) -> HttpResponse:
    units = reader_units(request.user, request.salon)
    asked = request.method == "POST"
    form = BaseForm(request.POST if asked else None, row=base, units=units, initial=initial)
    shown = drawable(form)
    if asked and wants_part(request) and request.headers.get("HX-Target") == DRAWING:
        return render(request, "pieces/keeping/_typed_base.html", {"drawable": shown})
    remark = ""
    if asked and (step := request.POST.get("rows", "")):
        data, remark = _stepped(step, request.POST, form)
        shown = drawable(BaseForm(data, row=base, units=units))
        form = _asked_again(data, base, form)
    elif asked and form.is_valid() and (kept := form.keep(by=request.user)):
        messages.success(request, f"{kept} is kept as it stands now.")
        return redirect("base", kept.pk)
    context = {
        "place": "pieces",
        "base": base,
        "form": form,
        "drawable": shown,
        "remark": remark,
        "stepped": request.POST.get("rows", ""),
        "has_makers": Maker.objects.exists(),
    }
    return render(request, "pieces/keeping/base_form.html", context)


def _stepped(step: str, data: QueryDict, form: BaseForm) -> tuple[QueryDict, str]:
    """The post with a row more or a row less, or with the usual clips; and why there are none."""
    clips = rows_typed(data, "clips", ClipRow.base_fields, MOST_CLIPS)
    tape = rows_typed(data, "tape", TapeRow.base_fields, MOST_TAPE_AREAS)
    remark = ""
    kind, _, which = step.partition(" ")
    if step == "another clip":
        clips.append(begun_clip(form.unit))
    elif step == "another strip":
        tape.append(dict.fromkeys(TapeRow.base_fields, ""))
    elif step == "usual clips":
        if (shown := drawable(form)) is None:
            remark = "Choose an outline and write length and width first: where clips usually sit depends on them."
        else:
            try:
                clips = usual_rows(shown.base.outline, shown.base.length_mm, shown.base.width_mm, form.unit)
            except ValueError as refusal:
                remark = in_reader_units(str(refusal), form.unit)
    elif kind in ("clip", "strip") and which.isascii() and which.isdigit() and len(which) < 4:
        rows = clips if kind == "clip" else tape
        del rows[int(which) : int(which) + 1]
    return with_rows(with_rows(data, "clips", clips[:MOST_CLIPS]), "tape", tape[:MOST_TAPE_AREAS]), remark


def _asked_again(data: QueryDict, base: Base | None, form: BaseForm) -> BaseForm:
    """A form with all that was typed in it and nothing said against it yet."""
    return BaseForm(
        row=base,
        units=form.units,
        initial={name: data.get(name, "") for name in form.fields},
        clips=rows_typed(data, "clips", ClipRow.base_fields, MOST_CLIPS),
        tape=rows_typed(data, "tape", TapeRow.base_fields, MOST_TAPE_AREAS),
    )
