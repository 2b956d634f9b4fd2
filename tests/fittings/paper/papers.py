"""Visits that have come to a decision, made by the deeds the pages call; a test spells out what its paper is about."""

from django.utils.timezone import localdate, now

from clients.models.assessment import ReferralSign
from clients.skin_testing import apply_skin_test
from fittings.models import Candidate, Fitting, Service
from fittings.planning import plan_service
from fittings.summary import consult_summary
from fittings.trying import AT_MOST, choose_to_try, decide, log_try_on
from fittings.visiting import finish_visit
from salon.models import Salon
from tests.factories import OwnerFactory
from tests.fittings.visits import signed_off_visit
from tests.pieces.factories import (
    BaseClipFactory,
    BaseFactory,
    BaseTapeAreaFactory,
    MakerFactory,
    PieceFactory,
    ShadeFactory,
    UnitFactory,
    VariantFactory,
)

WELL = {"covers": "well", "sits": "well", "matches": "nearly"}


def a_salon(**changed):
    """The salon that prints, with a telephone to call; by the tests' own clock, so that midnight changes nothing."""
    salon = Salon.objects.default()
    told = {
        "name": "Thornquay Hair Room",
        "address": "3 Tide Lane\nThornquay",
        "phone": "01632 960 123",
        "time_zone": "UTC",
    }
    for name, value in (told | changed).items():
        setattr(salon, name, value)
    salon.full_clean()
    salon.save()
    return salon


def clipped_base(*, tape=False, **made):
    """A base with five clips a little inside its edge: front, both sides, both corners of the back."""
    base = BaseFactory(**({"length_mm": 152, "width_mm": 140} | made))
    length, width = base.length_mm, base.width_mm
    for along, across in ((0.07, 0), (0.5, 0.41), (0.5, -0.41), (0.92, 0.17), (0.92, -0.17)):
        BaseClipFactory(base=base, u_mm=round(along * length), v_mm=round(across * width))
    if tape:
        BaseTapeAreaFactory(base=base)
    return base


def a_variant(*, base=None, price_minor=124900, shade=None, length_mm=350, **piece):
    more = {"shade": shade} if shade else {}
    return VariantFactory(
        piece=PieceFactory(base=base or clipped_base(), **piece), price_minor=price_minor, length_mm=length_mm, **more
    )


def put_on_trial(fitting, variant=None, **look):
    """Choose a piece to try and log how it did; the look."""
    variant = variant or a_variant()
    candidate = choose_to_try(
        fitting=fitting, variant=variant, salon=Salon.objects.default(), by=fitting.stylist, at=now(), on=localdate()
    )
    return log_try_on(fitting=fitting, candidate=candidate, by=fitting.stylist, **(WELL | look))


def a_service(fitting, kind, candidate=None, *, facts=None, **more):
    return plan_service(
        fitting=fitting,
        kind=kind,
        candidate=candidate,
        facts=facts or {},
        salon=Salon.objects.default(),
        by=fitting.stylist,
        at=now(),
        on=localdate(),
        **more,
    )


def decided_visit(*, variant=None, look=None, decision=None, **visit) -> Fitting:
    """A visit in which one piece was tried and taken."""
    a_salon()
    fitting = signed_off_visit(**visit)
    variant = variant or a_variant()
    tried = put_on_trial(fitting, variant, **({"unit": UnitFactory(variant=variant)} | (look or {})))
    decide(fitting=fitting, chosen=tried, by=fitting.stylist, **(decision or {}))
    fitting.refresh_from_db()
    return fitting


def finished(fitting, **more):
    fitting = finish_visit(
        fitting=fitting,
        by=fitting.stylist,
        at=now(),
        next_visit_on=None,
        why_chosen=fitting.why_chosen,
        none_chosen_because=fitting.none_chosen_because,
        **more,
    )
    return Fitting.objects.get(pk=fitting.pk)


def visit_with_everything() -> Fitting:
    """The most that a visit can hold: every field at its longest, five tries, a pair, and lists without end."""
    a_salon(
        name="A salon with a rather long name, so that it is hard to fit on one line",
        address="\n".join(["Something House, Long Lane, Thornquay"] * 12),
        email="reception-and-bookings@a-salon-with-a-long-name.example",
        after_hours_advice="x" * 240,
    )
    fitting = signed_off_visit(
        story={"referral_signs": ReferralSign.values, "chemotherapy": "expected"}, preferred_name="W" * 80
    )
    base = clipped_base(name="B" * 80, front_edge="lace", tape=True, maker=MakerFactory(name="M" * 80))
    looks = []
    for number in range(AT_MOST):
        shade = ShadeFactory(code=f"{number}{'c' * 23}", name="Shade of many words " * 4, maker=base.maker)
        piece = {"fibre": "blend", "synthetic_part": "heat_friendly", "rated_c": 160, "curl_set_c": 120}
        variant = a_variant(name=f"{number} {'Long piece name ' * 4}", base=base, shade=shade, **piece)
        unit = UnitFactory(variant=variant)
        looks.append(put_on_trial(fitting, variant, set_back_mm=40, unit=unit, her_words="She said many things. " * 90))
    findings = [a_finding(number) for number in range(40)]
    Candidate.objects.filter(fitting=fitting).update(findings=findings)
    reasons = {one["rule_id"]: "The owner wrote a long reason. " * 32 for one in findings}
    decide(
        fitting=fitting,
        chosen=looks[0],
        second=looks[1],
        by=fitting.stylist,
        why_chosen="Because of many reasons. " * 200,
        owner=OwnerFactory(),
        reasons=reasons,
    )
    for number in range(40):
        kind = ("heat", "fixing", "colour")[number % 3]
        facts = {
            "planned_fixing": ["clips", "tape", "liquid adhesive"],
            "planned_heat": "hot rollers",
            "tool_c": 150,
            "planned_colour": "oxidative",
        }
        Service.objects.create(
            fitting=fitting,
            candidate=looks[number % 2].candidate,
            kind=kind,
            facts=facts,
            note="n" * 240,
            price_minor=150000,
            findings=findings,
            planned_by=fitting.stylist,
        )
    for number in range(9):
        product = f"{number} {'p' * 118}"
        apply_skin_test(client=fitting.client, kind="adhesive", product=product, by=fitting.stylist, at=now())
    fitting.refresh_from_db()
    return finished(fitting)


def a_finding(number: int) -> dict[str, object]:
    return {
        "rule_id": f"rule-{number}",
        "about": "piece",
        "severity": ("stop", "caution", "note")[number % 3],
        "says": f"Finding {number} says a thing that takes more than a line and goes on for some time in the second.",
        "because": "There is a reason as well, which is long and fills a line of the paper and a good deal more. " * 2,
        "instead": "Do another thing, which is told in a sentence of the usual length.",
        "source": "common practice",
        "since": "2024-01-01",
        "printed": True,
        "asks": [],
        "questions": [],
    }


def summed_up(fitting, on=None):
    """The paper as it is printed today or `on` a day, from the rows as they are now."""
    return consult_summary(Fitting.objects.get(pk=fitting.pk), on=on or localdate())
