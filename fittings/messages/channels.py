"""By which ways a message can reach a client.

A new way is one class here and its name in `CHANNELS`. What a channel must be honest about is whether something went
out: `NotSentError` means surely not, and it is tried again; anything else that goes wrong may mean that it did, and
then a person looks at it. No refusal repeats an address, for the log shows refusals.
"""

from __future__ import annotations

import os
import smtplib
import uuid
from abc import ABC, abstractmethod
from contextlib import suppress
from dataclasses import dataclass
from email.utils import formataddr
from pathlib import Path
from typing import ClassVar, Final

from django.conf import settings
from django.core.mail import BadHeaderError, EmailMessage, get_connection
from django.core.mail.backends.base import BaseEmailBackend

from clients.models import Client

PRIVATE_FOLDER, PRIVATE_FILE = 0o700, 0o600


class NotSentError(Exception):
    """Surely not sent; its text says why, for the log."""


class PerhapsSentError(Exception):
    """Broken off so late that it may be on its way; its text says why, for the log."""


@dataclass(frozen=True)
class Message:
    """One message, ready to go. `key` is the same however often it is sent, and no two messages share one."""

    key: str
    client: Client
    subject: str
    body: str
    short: str
    salon_name: str
    answer_to: str
    stop_address: str
    invitations: tuple[bytes, ...] = ()


class Channel(ABC):
    """One way to a client."""

    name: ClassVar[str]

    @abstractmethod
    def reaches(self, client: Client) -> bool:
        """Whether what is on file of her is enough to send to."""

    @abstractmethod
    def send(self, message: Message) -> None:
        """Send it, or raise NotSentError; PerhapsSentError when that can't be told."""

    def was_sent(self, key: str) -> bool | None:
        """Whether the message of that key went out; None from a channel that can't tell."""
        return None


class EmailChannel(Channel):
    """Django's mail, as the settings send it: by a mail server, or into a folder where nothing is to be sent."""

    name = "email"

    def reaches(self, client: Client) -> bool:
        return bool(client.email)

    def send(self, message: Message) -> None:
        connection = get_connection()
        try:
            mail = self.mail_of(message, connection)
            mail.message()  # what can't be written is found before the server is rung
            connection.open()
        except BadHeaderError as refusal:
            raise NotSentError("The address or the salon's name has a line break in it.") from refusal
        except (OSError, smtplib.SMTPException) as refusal:
            raise NotSentError(f"The mail server can't be reached{_code_of(refusal)}.") from refusal
        try:
            went = mail.send()
        except (smtplib.SMTPResponseException, smtplib.SMTPRecipientsRefused) as refusal:
            raise NotSentError(f"The mail server refused it{_code_of(refusal)}.") from refusal
        except (OSError, smtplib.SMTPException) as broken:
            raise PerhapsSentError("The mail server broke off while it was taking the message.") from broken
        finally:
            with suppress(OSError, smtplib.SMTPException):  # what is to be said about the message has been said
                connection.close()
        if not went:
            raise NotSentError("There is no address to send it to.")

    def mail_of(self, message: Message, connection: BaseEmailBackend | None = None) -> EmailMessage:
        headers = {
            "Message-ID": f"<{message.key}@{settings.DEFAULT_FROM_EMAIL.rpartition('@')[2]}>",
            "Auto-Submitted": "auto-generated",  # RFC 3834, 5: no answering machine answers it (MEMORY)
        }
        if message.stop_address:  # RFC 8058, 3.1: a button of the mail program posts there (MEMORY)
            headers["List-Unsubscribe"] = f"<{message.stop_address}>"
            headers["List-Unsubscribe-Post"] = "List-Unsubscribe=One-Click"
        mail = EmailMessage(
            subject=message.subject,
            body=message.body,
            from_email=formataddr((message.salon_name, settings.DEFAULT_FROM_EMAIL)),
            to=[message.client.email],
            reply_to=[message.answer_to] if message.answer_to else None,
            headers=headers,
            connection=connection,
        )
        for invitation in message.invitations:
            mail.attach("appointment.ics", invitation.decode(), "text/calendar")
        return mail


class TextMessageToFile(Channel):
    """The example of a second channel: writes each text message into a file. For a real one, post it in `send`."""

    name = "text-file"

    def reaches(self, client: Client) -> bool:
        return bool(client.phone)

    def send(self, message: Message) -> None:
        """Written beside its place and then put there in one step, so that a file of that name is a whole one.

        A file that is there already was sent by somebody quicker, and is left as it is.
        """
        there = self._file_of(message.key)
        begun = there.with_suffix(f".{uuid.uuid4().hex}.part")
        try:
            there.parent.mkdir(mode=PRIVATE_FOLDER, parents=True, exist_ok=True)
            with open(begun, "w", encoding="utf-8", opener=_private) as file:
                file.write(f"To: {message.client.phone}\n\n{message.short}\n")
            try:
                os.link(begun, there)
            except FileExistsError:
                pass
            finally:
                begun.unlink()
        except OSError as refusal:
            raise NotSentError(f"The file can't be written ({refusal.strerror}).") from refusal

    def was_sent(self, key: str) -> bool | None:
        return self._file_of(key).exists()

    def _file_of(self, key: str) -> Path:
        return Path(settings.TEXT_MESSAGE_FOLDER) / f"{key}.txt"


CHANNELS: Final[dict[str, type[Channel]]] = {channel.name: channel for channel in (EmailChannel, TextMessageToFile)}


def channels_in_use() -> list[Channel]:
    """As SALON_MESSAGE_CHANNELS names them; a client gets each message by the first that reaches her."""
    return [CHANNELS[name]() for name in settings.MESSAGE_CHANNELS]


def _private(path: str, flags: int) -> int:
    return os.open(path, flags, PRIVATE_FILE)


def _code_of(refusal: Exception) -> str:
    """The server's number alone: its text may repeat the address."""
    if isinstance(refusal, smtplib.SMTPRecipientsRefused):
        codes = sorted({code for code, _ in refusal.recipients.values()})
        return f" ({', '.join(map(str, codes))})"
    return f" ({refusal.smtp_code})" if isinstance(refusal, smtplib.SMTPResponseException) else ""
