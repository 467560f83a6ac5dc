"""Which mail server on this machine takes what the site sends in a test? (aiosmtpd, read by
Python's own mail parser.)
"""

import contextlib
import email
import email.policy
import socket

from aiosmtpd.controller import Controller


class Kept:
    """A mail server's hands: keeps each mail, or answers what it was told to answer."""

    def __init__(self):
        self.mails, self.answers = [], []

    async def handle_DATA(self, server, session, envelope):  # noqa: N802 - the library's own name
        if self.answers:
            return self.answers.pop(0)
        mail = email.message_from_bytes(envelope.content, policy=email.policy.default)
        self.mails.append((envelope.rcpt_tos, mail))
        return "250 taken"


@contextlib.contextmanager
def serve_mail(settings):
    """A mail server on this machine, and the settings that lead to it."""
    with socket.create_server(("127.0.0.1", 0)) as probe:
        port = probe.getsockname()[1]
    kept = Kept()
    controller = Controller(kept, hostname="127.0.0.1", port=port)
    controller.start()
    settings.EMAIL_BACKEND = "django.core.mail.backends.smtp.EmailBackend"
    settings.EMAIL_HOST, settings.EMAIL_PORT = "127.0.0.1", port
    settings.EMAIL_USE_TLS = False
    settings.DEFAULT_FROM_EMAIL = "bench@shop.example"
    settings.SITE_ADDRESS = "https://bench.example"
    yield kept
    controller.stop()
