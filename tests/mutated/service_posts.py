"""A valid post of every form about services: planned, logged, done as planned, corrected, and a strand test."""

from tests.mutated.sending import asked, post, sent_with

KEY = "1c0e5a2e-9d1f-4b7e-8a44-5f0a6f0d2b33"
SWAPPED = {"HX-Request": "true"}
NO_HEAT = {"hair_is_wet": "no", "near_base": "no", "flammable_remover_wet": "no", "unit_coloured": "no"}
FORMULA = {
    "product_1": "Walnut stain", "parts_1": "1", "lot_1": "L-204", "product_2": "Clear", "parts_2": "0,5", "lot_2": "",
    "developer": "", "developer_other": "7 vol", "developer_parts": "1.5", "developer_lot": "D-7", "minutes": "20",
    "zones": "front", "along": "ends",
}  # fmt: skip  # in pairs it is read at a glance
DYED = {
    "planned_colour": "deposit",
    "colour_on": "piece detached",
    "colour_touches_base": "no",
    "colour_touches_skin": "no",
    "unit_coloured": "no",
    "unit_lightened_before": "no",
}


def of_services(scene, owner):
    visit, ours, owned = scene.visit.fitting.reference, scene.visit, scene.owned
    return {
        **{f"planning {kind}": page for kind, page in _planned(visit, ours, owner).items()},
        **{f"logging {kind}": page for kind, page in _logged(visit, owned, owner).items()},
        "a service taken away": post("service-remove", "Stylist", visit, ours.service.pk),
        "a planned service done": post(
            "service-done",
            "Stylist",
            visit,
            ours.service.pk,
            done_to=owned.reference,
            deep_care="on",
            product="Mild wash",
            conditioner="",
            note="",
            price_minor="12.50",
            log="log",
        ),
        "a service corrected": post(
            "service-correct",
            "Stylist",
            visit,
            scene.done.pk,
            done_to=owned.reference,
            cut="layers",
            taken_off_mm="3 cm",
            note="",
            price_minor="",
            because="Layers, not length",
            once=KEY,
            log="log",
        ),
        "a strand test": post(
            "strand-test",
            "Stylist",
            owned.reference,
            product="Walnut stain",
            lot="L-204",
            minutes="20",
            held="yes",
            seen="As wished, not brittle",
            once=KEY,
        ),
    }


def _planned(visit, ours, owner):
    """Each kind once; what must be read and ticked first is ticked."""
    on = {"done_to": f"try-{ours.untried.pk}", "note": "With the window open", "price_minor": "12.50"}
    hers = {"done_to": f"try-{ours.candidate.pk}"}
    facts = {
        "cut-in": {},
        "wash": {},
        "repair": {},
        "steam": {"acknowledged": "steam-standard"},
        "heat": {
            "planned_heat": "iron",
            "tool_c": "392 °F",
            **NO_HEAT,
            "reason_heat-standard": "Tried on a strand",
            **owner,
        },
        "colour": {**hers, **DYED, "unit_strand_test": "yes"},
        "tone": {**hers, **DYED, "unit_strand_test": "yes"},
        "fixing": {"planned_fixing": "clips", "label_read": "on"},
    }
    pages = {
        kind: post("service-plan", "Stylist", visit, kind, **on | answers, plan="plan")
        for kind, answers in facts.items()
    }
    return pages | {"steam": sent_with(pages["steam"], SWAPPED)}


def _logged(visit, owned, owner):
    """Each kind once, to a piece she owns; past the stops goes the owner."""
    on = {"done_to": owned.reference, "note": "With the window open", "price_minor": "12.50", "once": KEY}
    skin = {"reason_adhesive-test": "Tested at her doctor's", **owner}
    strand = {"reason_colour-strand": "Tried last year", "reason_colour-not-stated": "The maker was rung", **owner}
    clips = {f"{name}_1": value for name, value in {"u": "12 mm", "v": "", "side": "", "length": "3 cm"}.items()}
    answers = {
        "cut-in": {"cut": "layers", "taken_off_mm": "2 1/2 in", "zones": "crown"},
        "wash": {"deep_care": "on", "product": "Mild wash", "conditioner": "Rich mask"},
        "steam": {"minutes": "5", "zones": "back", "acknowledged": "steam-standard"},
        "heat": {"planned_heat": "tong", "tool_c": "248 °F", **NO_HEAT, "passes": "2", "zones": "front"},
        "colour": {**DYED, **FORMULA, **strand},
        "tone": {**DYED, **FORMULA, "developer": "3", "developer_other": "", **strand},
        "repair": {"repaired": "clip", "words": "Sewn on anew", "done_by": "Imke"},
        "tape set": {
            "product": "Clear strip",
            "where": "front",
            "lot": "T-11",
            "renew_after_days": "14",
            "adhesive_contains": "acrylate adhesive",
            **skin,
        },
        "clips": {"on_1": "on", **clips},
    }
    pages = {
        kind: post("service-log", "Stylist", visit, kind, **on | said, log="log") for kind, said in answers.items()
    }
    return pages | {"clips": asked(pages["clips"], piece=owned.reference)}
