"""A valid post of every form about a piece she owns: given, worn, looked over, repaired, ended; and about loans."""

from datetime import timedelta

from django.utils.timezone import localdate

from tests.mutated.sending import asked, post


def of_owned_pieces(scene):
    owned, other, away = scene.owned.reference, scene.her_other.reference, scene.away.reference
    new, today, earlier = scene.new.reference, f"{localdate()}", f"{localdate() - timedelta(days=9)}"
    worn = {
        "days_per_week": "6",
        "hours_per_day": "10",
        "worn_to_bed": "no",
        "swum_in": "yes",
        "water": "hard",
        "told_on": today,
        "note": "Only for work",
    }
    sent = {"what": "A tear", "done_by": "The lace mender", "sent_on": earlier, "expected_on": today}
    lent = {"unit": scene.unit.number, "lent_on": earlier, "due_back_on": today, "note": "By the door"}
    found = {"fibre": "1", "shedding": "0", "colour": "2", "base": "3", "elastic": "", "note": "Matted at the nape"}
    return {
        "a unit she takes home": post("owned-new", "Stylist", new, unit="", number=scene.unit.number, since=today),
        "a piece she brought": post(
            "owned-new", "Stylist", new, way="brought", q="heron", variant=scene.variant.pk, since=earlier
        ),
        "how she wears it": post("owned-wear", "Stylist", owned, **worn),
        "how she wears it, corrected": asked(
            post("owned-wear", "Stylist", owned, **worn, because="Misheard"), corrects=scene.wear.pk
        ),
        "a piece looked over": post("owned-check", "Stylist", owned, **found),
        "a piece looked over, with photos": post("owned-check", "Stylist", away, **found, photos="photos"),
        "a check corrected": asked(
            post("owned-check", "Stylist", owned, **found, because="The other piece"), corrects=scene.check.pk
        ),
        "two pieces in turns": post("owned-turns", "Stylist", owned, other=other),
        "a piece ended": post("owned-end", "Stylist", owned, ended="returned", until=today, note="Too heavy"),
        "a piece sent away": post("owned-repair", "Front desk", owned, **sent),
        "a piece back": post("repair-back", "Front desk", away, back_on=today, found="Mended", cost_minor="£35.00"),
        "a unit lent": post("loan-new", "Front desk", new, **lent),
        "a loan back": post("loan-back", "Front desk", scene.loan.pk, back_on=today, how="back"),
    }
