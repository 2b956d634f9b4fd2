"""Sends the link of an intake to the client by e-mail: no word of her health, nothing but the address and how long."""

from __future__ import annotations

from smtplib import SMTPException

from django.core.exceptions import ValidationError
from django.core.mail import send_mail
from django.template.loader import render_to_string

from clients.models import IntakeLink
from salon.models import Salon


def send_invitation(*, link: IntakeLink, address: str, salon: Salon) -> None:
    """Send it to the e-mail address on file; raises ValidationError when that fails."""
    client = link.client
    words = {"called": client.preferred_name or client.given_name, "link": link, "address": address, "salon": salon}
    subject = f"Before your visit to {' '.join(salon.name.split())}"
    try:
        send_mail(subject, render_to_string("clients/intake/invitation.txt", words), None, [client.email])
    except (OSError, SMTPException) as failure:
        raise ValidationError(
            f"The e-mail to {client.email} could not be sent. The link works: copy its address and give it to her."
        ) from failure
