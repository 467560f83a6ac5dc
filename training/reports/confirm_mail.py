"""By which link is a mail address confirmed, and whose is it?"""

from __future__ import annotations

from datetime import timedelta

from django.core import signing
from django.urls import reverse

from training.models import MailWish

LINK_LIVES = timedelta(days=3)
_SALT = "confirm-mail"  # of its own: this link opens nothing else


def confirm_path(wish: MailWish) -> str:
    """The path that confirms this address, from now on for `LINK_LIVES`; it works once."""
    token = signing.dumps([wish.pk, wish.mark], salt=_SALT)
    return reverse("training:confirm-mail", args=[token])


def wish_of_link(token: str) -> MailWish | None:
    """Whose address such a link confirms; None where it has ended, was used, or the address has
    changed. Raises BadSignature for a link that the site did not make.
    """
    try:
        number, mark = signing.loads(token, salt=_SALT, max_age=LINK_LIVES)
    except signing.SignatureExpired:
        return None
    rows = MailWish.objects.select_related("person__workshop").exclude(mark="")
    return rows.filter(pk=number, mark=mark, confirmed_at__isnull=True).first()
