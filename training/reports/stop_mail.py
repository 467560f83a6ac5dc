"""By which link does a daily mail stop without signing in, and whose mail is it?"""

from __future__ import annotations

from django.core.signing import BadSignature, Signer
from django.urls import reverse

from training.models import MailWish

# A salt of its own: this seal opens nothing else.
_SIGNER = Signer(salt="stop-mail")


def stop_path(wish: MailWish) -> str:
    """The path that stops this mail. It holds for this address only, so that whoever had an earlier
    one can stop nothing.
    """
    seal = _SIGNER.signature(_sealed(wish.pk, wish.address))
    return reverse("training:stop-mail", args=[str(wish.pk), seal])


def wish_at(number: int, seal: str) -> MailWish | None:
    """Whose mail such a path stops; None where the site did not seal it."""
    wish = MailWish.objects.select_related("person").filter(pk=number).first()
    if wish is None:
        return None
    try:
        _SIGNER.unsign(f"{_sealed(wish.pk, wish.address)}{_SIGNER.sep}{seal}")
    except BadSignature:
        return None
    return wish


def _sealed(number: int, address: str) -> str:
    return f"{number} {address}"
