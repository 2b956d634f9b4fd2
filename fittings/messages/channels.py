"""By which ways a message can reach a client. A new way is one class here and one word in `CHANNELS`."""

from __future__ import annotations

from abc import ABC, abstractmethod
from typing import ClassVar, Final

from django.conf import settings

from clients.models import Client


class Channel(ABC):
    """One way to a client."""

    name: ClassVar[str]

    @abstractmethod
    def reaches(self, client: Client) -> bool:
        """Whether what is on file of her is enough to send to."""


class EmailChannel(Channel):
    name = "email"

    def reaches(self, client: Client) -> bool:
        return bool(client.email)


class TextMessageToFile(Channel):
    name = "text-file"

    def reaches(self, client: Client) -> bool:
        return bool(client.phone)


CHANNELS: Final[dict[str, type[Channel]]] = {channel.name: channel for channel in (EmailChannel, TextMessageToFile)}


def channels_in_use() -> list[Channel]:
    """As SALON_MESSAGE_CHANNELS names them; a client gets each message by the first that reaches her."""
    return [CHANNELS[name]() for name in settings.MESSAGE_CHANNELS]
