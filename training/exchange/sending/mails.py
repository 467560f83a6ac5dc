"""Does mail go out of this site, and did the server take this one?"""

from __future__ import annotations

import contextlib
import smtplib

from django.conf import settings
from django.core.mail import EmailMessage, get_connection
from django.utils.translation import gettext

from procedures.records.refused import Refused
from procedures.writeup.letters import strip_hidden
from training.models.reminders import FAILED, SENT, UNCLEAR


def check_mail_settings() -> None:
    """Raises Refused where this machine does not say how mail goes out."""
    missing = [
        name
        for name, value in (
            ("BENCHRIGHT_MAIL_HOST", settings.EMAIL_HOST),
            ("BENCHRIGHT_MAIL_FROM", settings.DEFAULT_FROM_EMAIL),
            ("BENCHRIGHT_ADDRESS", settings.SITE_ADDRESS),
        )
        if not value
    ]
    if missing:
        raise Refused(
            gettext("Mail is not set up. Set {names}, as the README says.").format(
                names=", ".join(missing)
            )
        )


def send_mail(mail: EmailMessage) -> tuple[str, str]:
    """Sends one mail over a connection of its own, since some servers take only one."""
    connection = get_connection()
    try:
        connection.open()
    except (OSError, ValueError) as error:  # ValueError: the name of a server that can be none
        return FAILED, _reason(error)
    try:
        connection.send_messages([mail])
    except (smtplib.SMTPResponseException, smtplib.SMTPRecipientsRefused) as error:
        return FAILED, _reason(error)
    except (OSError, ValueError) as error:
        # ValueError: a header that no mail may have, so nothing was sent.
        return (FAILED if isinstance(error, ValueError) else UNCLEAR), _reason(error)
    finally:
        _close(connection)
    return SENT, ""


def _close(connection: object) -> None:
    # It was sent or not before; how the server says goodbye changes nothing.
    with contextlib.suppress(OSError):
        connection.close()  # type: ignore[attr-defined]


def _reason(error: Exception) -> str:
    return strip_hidden(str(error)) or type(error).__name__
