"""Start-up checks: what would only come to light later, and worse, is said by `manage.py check` and before each server.

Ids beginning salon.E stop the start; those beginning salon.W are said and let it go on. Each hint says what to write.
"""

from pathlib import Path
from typing import Any

from django.conf import settings
from django.core.checks import CheckMessage, Error, Warning, register
from django.core.exceptions import ValidationError
from django.core.files.storage import FileSystemStorage, storages
from django.core.validators import validate_email

from fittings.messages.channels import CHANNELS
from fittings.rules.engine import RuleFileError, load_rules
from salon.system_packages import PDF_NEEDS, line_to_run


@register
def photos_stay_private(app_configs: object, **kwargs: Any) -> list[CheckMessage]:
    """Static files are handed to anybody; clients' photos must not lie among them, nor the other way round."""
    storage = storages["photos"]
    if not isinstance(storage, FileSystemStorage):
        return []
    photos = Path(storage.location).resolve()
    public = [Path(folder).resolve() for folder in (settings.STATIC_ROOT, *settings.STATICFILES_DIRS) if folder]
    if not any(photos.is_relative_to(folder) or folder.is_relative_to(photos) for folder in public):
        return []
    return [
        Error(
            f"Clients' photos would lie in {photos}, among the static files that are served to anybody.",
            hint="Give MEDIA_ROOT a folder of its own, apart from STATIC_ROOT and STATICFILES_DIRS.",
            id="salon.E001",
        )
    ]


@register
def production_has_its_own_key(app_configs: object, **kwargs: Any) -> list[CheckMessage]:
    if not settings.PRODUCTION or settings.SECRET_KEY != settings.DEVELOPMENT_KEY:
        return []
    return [
        Error(
            "Production would sign its sessions with the key that stands in the source.",
            hint="Set SALON_SECRET_KEY (or SALON_SECRET_KEY_FILE) to 50 or more random characters of your own.",
            id="salon.E002",
        )
    ]


@register
def production_is_no_demo(app_configs: object, **kwargs: Any) -> list[CheckMessage]:
    if not settings.PRODUCTION or not settings.DEMO:
        return []
    return [
        Error(
            "Production would show the demo people's passwords on its sign-in page.",
            hint="Leave SALON_DEMO out, or SALON_ENV for a demo.",
            id="salon.E006",
        )
    ]


@register
def production_names_its_hosts(app_configs: object, **kwargs: Any) -> list[CheckMessage]:
    if not settings.PRODUCTION or (settings.ALLOWED_HOSTS and "*" not in settings.ALLOWED_HOSTS):
        return []
    return [
        Error(
            "Production would answer under any name that somebody points at it.",
            hint="Set SALON_HOSTS to the names it is reached by, with commas between them: salon.example, 10.0.0.5.",
            id="salon.E003",
        )
    ]


@register
def sqlite_lets_writers_wait(app_configs: object, **kwargs: Any) -> list[CheckMessage]:
    """By default two bookings at once end in "database is locked" instead of one booking and one refusal."""
    database = settings.DATABASES["default"]
    options = database.get("OPTIONS", {})
    if database["ENGINE"] != "django.db.backends.sqlite3" or (
        options.get("transaction_mode") == "IMMEDIATE"
        and options.get("timeout", 5) >= 5
        and "journal_mode=wal" in options.get("init_command", "").lower().replace(" ", "")
    ):
        return []
    return [
        Error(
            "SQLite would refuse one of two people who save at the same moment.",
            hint='Keep transaction_mode "IMMEDIATE", a timeout of 5 s or more and journal_mode=WAL in its OPTIONS.',
            id="salon.E004",
        )
    ]


@register
def rules_can_be_read(app_configs: object, **kwargs: Any) -> list[CheckMessage]:
    """A misspelt rule must stop the start: read past, it would leave a plan unwarned."""
    try:
        load_rules()
    except RuleFileError as refusal:
        return [Error(str(refusal), hint="Mend that entry of fittings/rules and start again.", id="salon.E005")]
    return []


@register
def messages_go_by_known_ways(app_configs: object, **kwargs: Any) -> list[CheckMessage]:
    unknown = [name for name in settings.MESSAGE_CHANNELS if name not in CHANNELS]
    if not unknown:
        return []
    return [
        Error(
            f"Messages to clients can't go by “{unknown[0]}”.",
            hint=f"Write in SALON_MESSAGE_CHANNELS, with commas between them, one or more of: {', '.join(CHANNELS)}.",
            id="salon.E007",
        )
    ]


@register
def mail_has_a_sender(app_configs: object, **kwargs: Any) -> list[CheckMessage]:
    try:
        validate_email(settings.DEFAULT_FROM_EMAIL)
    except ValidationError:
        return [
            Error(
                f"E-mail to clients can't come from “{settings.DEFAULT_FROM_EMAIL}”.",
                hint="Write in SALON_EMAIL_FROM an address alone: desk@salon.example; the name is added to it.",
                id="salon.E008",
            )
        ]
    return []


@register
def production_sends_messages(app_configs: object, **kwargs: Any) -> list[CheckMessage]:
    if not settings.PRODUCTION:
        return []
    found: list[CheckMessage] = []
    if not settings.SALON_ADDRESS:
        found.append(
            Warning(
                "Messages to clients carry no link by which they can be stopped, for the salon's address is not known.",
                hint="Set SALON_ADDRESS to what stands before every path: https://salon.example.",
                id="salon.W002",
            )
        )
    if "email" in settings.MESSAGE_CHANNELS and not settings.EMAIL_HOST:
        found.append(
            Warning(
                f"E-mail to clients is written into {settings.EMAIL_FILE_PATH} and reaches nobody.",
                hint="Set SALON_EMAIL_HOST and SALON_EMAIL_FROM; SALON_EMAIL_USER and SALON_EMAIL_PASSWORD if it asks.",
                id="salon.W003",
            )
        )
    return found


@register
def papers_can_be_printed(app_configs: object, **kwargs: Any) -> list[CheckMessage]:
    missing = [need for need in PDF_NEEDS if not need.is_here()]
    if not missing:
        return []
    return [
        Warning(
            "Consult summaries can't be printed: libraries of the system are missing.",
            hint=f"To install them, run: {line_to_run(missing)}",
            id="salon.W001",
        )
    ]
