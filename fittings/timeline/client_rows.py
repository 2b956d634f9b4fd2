"""How what happened with a client is fetched and worded: appointments, visits, examinations, skin tests, consents."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date
from typing import Any

from django.db.models import Exists, F, OuterRef, Prefetch, QuerySet, Window
from django.db.models.functions import Lag
from django.urls import reverse
from django.utils.timezone import localtime

from clients.models import Assessment, Client, Consent, Photo, SkinTest
from clients.models.consent import ConsentKind
from clients.models.photo import Angle
from clients.scalp.scales import named
from fittings.models import Appointment, Fitting, TryOn
from fittings.timeline.rows import Row, Source, day, length, moment, said


def _appointment(appointment: Appointment, imperial: bool) -> Row:
    begins, ends = localtime(appointment.starts_at), localtime(appointment.ends_at)
    return Row(
        at=appointment.starts_at,
        word="Appointment",
        title=f"{appointment.kind} with {appointment.stylist}: {appointment.get_state_display().lower()}",
        facts=said(
            ("Time", f"{begins:%H:%M} – {ends:%H:%M}"),
            ("Place", str(appointment.place)),
            ("Note", appointment.note),
            ("Cancelled because", appointment.closed_because),
        ),
        link="Open the appointment",
        address=reverse("appointment", args=[appointment.reference]),
    )


def _visit(fitting: Fitting, imperial: bool) -> Row:
    finished = fitting.finished_at
    return Row(
        at=fitting.began_at,
        word="Visit",
        title=f"With {fitting.stylist}" + ("" if finished else ": still open"),
        facts=said(
            ("Finished", finished and moment(finished)),
            ("Why this piece", fitting.why_chosen),
            ("Nothing chosen, because", fitting.none_chosen_because),
            ("Next visit", fitting.next_visit_on and day(fitting.next_visit_on)),
            ("Reference", fitting.reference),
        ),
        link="Open the visit" if finished else "Go on with the visit",
        address=fitting.get_absolute_url(),
    )


def _chosen(try_on: TryOn, imperial: bool) -> Row:
    kept = try_on.candidate.kept
    return Row(
        at=try_on.logged_at,
        word="Chosen" if try_on.outcome == TryOn.Outcome.CHOSEN else "Chosen as the second of a pair",
        title=f"{kept.piece} in {kept.shade}",
        facts=said(
            ("Length", length(kept.variant.length_mm, imperial)),
            ("Unit", try_on.unit and str(try_on.unit)),
            ("Covers", try_on.get_covers_display().lower()),
            ("Sits", try_on.get_sits_display().lower()),
            ("Matches", try_on.get_matches_display().lower()),
            ("Set-back as worn", length(try_on.set_back_mm, imperial)),
            ("What she said", try_on.her_words),
        ),
    )


def _assessment(assessment: Assessment, imperial: bool) -> Row:
    tapes = ", ".join(
        f"{word} {length(mm, imperial)}"
        for word, mm in (
            ("round the hairline", assessment.circumference_mm),
            ("front to nape", assessment.front_to_nape_mm),
            ("ear to ear", assessment.ear_to_ear_mm),
        )
        if mm is not None
    )
    return Row(
        at=assessment.started_at,
        word="Assessment",
        title=f"By {assessment.stylist}: {assessment.get_state_display().lower()}",
        facts=said(
            ("Signed off", assessment.signed_at and f"{moment(assessment.signed_at)}, by {assessment.signed_by}"),
            ("Losing hair since", assessment.losing_since),
            ("Pattern seen", assessment.scale and named(assessment.scale, assessment.stage)),
            ("Tapes", tapes),
            ("Scalp", assessment.get_scalp_condition_display()),
            ("Wishes", assessment.wishes),
            ("Reference", assessment.reference),
        ),
        link="" if assessment.is_draft else "Read the assessment",
        address="" if assessment.is_draft else reverse("assessment", args=[assessment.reference]),
    )


def _consent_given(consent: Consent, imperial: bool) -> Row:
    return Row(
        at=consent.given_at,
        word="Consent signed",
        title=consent.get_kind_display(),
        facts=said(
            ("Signed by", consent.signed_name + (", guardian" if consent.guardian_name else "")),
            ("Taken down by", str(consent.recorded_by)),
            ("In these words", consent.text),
            ("Version", consent.text_version),
        ),
    )


def _consent_withdrawn(consent: Consent, imperial: bool) -> Row:
    given, ended = consent.given_at, consent.withdrawn_at
    assert ended is not None  # noqa: S101  # this source fetches withdrawn ones only
    return Row(
        at=ended,
        word="Consent withdrawn",
        title=consent.get_kind_display(),
        facts=said(("Had been signed", moment(given)), ("Taken down by", str(consent.withdrawn_by))),
    )


def _test_applied(test: SkinTest, imperial: bool) -> Row:
    return Row(
        at=test.applied_at,
        word="Skin test applied",
        title=test.product,
        facts=said(("Test", test.get_kind_display()), ("Lot", test.lot), ("Applied by", str(test.applied_by))),
        mended=_struck_out(test),
        no_longer_counts=test.is_struck_out,
        link="Skin tests",
        address=reverse("client-skin-tests", args=[test.client.reference]),
    )


def _test_read(test: SkinTest, imperial: bool) -> Row:
    read = test.read_at
    assert read is not None  # noqa: S101  # this source fetches tests that were read only
    return Row(
        at=read,
        word="Skin test read",
        title=f"{test.product}: {'a reaction was seen' if test.reacted else 'no reaction'}",
        facts=said(
            ("Test", test.get_kind_display()),
            ("Applied", moment(test.applied_at)),
            ("First read, clear", test.earlier_read_at and moment(test.earlier_read_at)),
            ("Read by", str(test.read_by)),
        ),
        mended=_struck_out(test),
        no_longer_counts=test.is_struck_out and not test.reacted,  # a reaction goes on being warned of
        link="Skin tests",
        address=reverse("client-skin-tests", args=[test.client.reference]),
    )


def _struck_out(test: SkinTest) -> str:
    if test.struck_out_at is None:
        return ""
    return f"Struck out on {moment(test.struck_out_at)} by {test.struck_out_by}: {test.struck_out_because}"


CHANGES = {
    "given_name": "Given name",
    "family_name": "Family name",
    "preferred_name": "Likes to be called",
    "phone": "Phone",
    "email": "E-mail",
    "born_on": "Date of birth",
    "guardian_name": "Guardian",
    "private_note": "Private note",
}


def _changes(client: Client) -> QuerySet[Any]:
    """Each version of her details with the values of the one before it beside its own, as `was_…`."""
    before = {
        f"was_{field}": Window(Lag(field), order_by=[F("history_date").asc(), F("history_id").asc()])
        for field in CHANGES
    }
    versions: QuerySet[Any] = client.history.annotate(**before).select_related("history_user")
    return versions


def _change(version: Any, imperial: bool) -> Row:
    who = str(version.history_user) if version.history_user else "unknown"
    if version.history_type == "+":
        began_as = [(label, getattr(version, field)) for field, label in CHANGES.items() if field != "private_note"]
        return Row(
            at=version.history_date,
            word="Registered",
            title=f"by {who}",
            facts=tuple((label, _shown(value)) for label, value in began_as if value),
        )
    changed = {
        field: (getattr(version, f"was_{field}"), getattr(version, field))
        for field in CHANGES
        if getattr(version, f"was_{field}") != getattr(version, field)
    }
    return Row(
        at=version.history_date,
        word="Details changed",
        title=", ".join(CHANGES[field].lower() for field in changed) + f", by {who}",
        facts=tuple(_change_told(changed)),
        salon_only="private_note" in changed,
    )


def _change_told(changed: dict[str, tuple[Any, Any]]) -> Iterator[tuple[str, str]]:
    for field, (was, now_is) in changed.items():
        yield CHANGES[field], f"{_shown(was)} → {_shown(now_is)}"


def _shown(value: Any) -> str:
    return day(value) if isinstance(value, date) else value or "nothing"


def _photo_sets(client: Client) -> QuerySet[Any]:
    """Those in which something was taken, with what is kept of it and whether she lets it be opened now."""
    taken = Photo.objects.filter(photo_set=OuterRef("pk"))
    consents = Consent.objects.live().filter(client=OuterRef("client"), kind=ConsentKind.PHOTOS)
    kept = Photo.objects.kept().select_related("publicity_consent").in_order()
    return (
        client.photo_sets.filter(Exists(taken))
        .annotate(may_be_opened=Exists(consents))
        .select_related("begun_by")
        .prefetch_related(Prefetch("photos", kept, to_attr="kept_photos"))
    )


def _photo_set(photo_set: Any, imperial: bool) -> Row:
    moment_of_hers = photo_set.get_moment_display()
    if not photo_set.may_be_opened:
        return Row(
            at=photo_set.begun_at, word="Photos", title=f"{moment_of_hers}: locked, as she does not agree to photos"
        )
    found = {angle: [photo for photo in photo_set.kept_photos if photo.angle == angle] for angle in Angle}
    told = ", ".join(angle + (f" ({len(of_it)})" if len(of_it) > 1 else "") for angle, of_it in found.items() if of_it)
    return Row(
        at=photo_set.begun_at,
        word="Photos",
        title=f"{moment_of_hers}: {told or 'all removed'}",
        facts=said(("Begun by", str(photo_set.begun_by))),
        photos=tuple(of_it[0] for angle, of_it in found.items() if of_it and angle != Angle.TURN),
        link="Open the photos",
        address=photo_set.get_absolute_url(),
    )


CLIENT_SOURCES: tuple[Source[Client], ...] = (
    Source(
        "appointments",
        "fittings.view_appointment",
        "starts_at",
        lambda client: client.appointments.select_related("kind", "stylist", "place"),
        _appointment,
    ),
    Source(
        "visits", "fittings.view_fitting", "began_at", lambda client: client.fittings.select_related("stylist"), _visit
    ),
    Source(
        "pieces",
        "clients.view_health",
        "logged_at",
        lambda client: (
            TryOn.objects.filter(fitting__client=client)
            .exclude(outcome=TryOn.Outcome.TRIED)
            .select_related("candidate", "unit")
        ),
        _chosen,
    ),
    Source(
        "assessments",
        "clients.view_health",
        "started_at",
        lambda client: client.assessments.without_maps().select_related("stylist", "signed_by"),
        _assessment,
    ),
    Source(
        "consents",
        "clients.view_consent",
        "given_at",
        lambda client: client.consents.select_related("recorded_by"),
        _consent_given,
    ),
    Source(
        "consents",
        "clients.view_consent",
        "withdrawn_at",
        lambda client: client.consents.filter(withdrawn_at__isnull=False).select_related("withdrawn_by"),
        _consent_withdrawn,
    ),
    Source(
        "skin tests",
        "clients.view_health",
        "applied_at",
        lambda client: client.skin_tests.select_related("applied_by", "struck_out_by"),
        _test_applied,
    ),
    Source(
        "skin tests",
        "clients.view_health",
        "read_at",
        lambda client: client.skin_tests.filter(read_at__isnull=False).select_related("read_by", "struck_out_by"),
        _test_read,
    ),
    Source("details", "clients.view_client", "history_date", _changes, _change, key="history_id"),
    Source("photos", "clients.view_photo", "begun_at", _photo_sets, _photo_set),
)
