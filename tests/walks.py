"""What does the site show to each kind of person, page by page?

A dozen tests look at all pages of the busy shop: the first of them in a run asks for them, and the
others look at the same answers, in its process or in another one.
"""

import pickle
from contextlib import contextmanager
from dataclasses import dataclass
from unittest.mock import patch

from django.contrib.auth.hashers import MD5PasswordHasher
from django.test import Client
from django.urls import reverse

from tests.pages import ROUTES, Route
from tests.put_in import file_of_this_run, leave

_SHOWN: dict[str, tuple["Shown", ...]] = {}


@dataclass(frozen=True)
class Shown:
    """What came of one route that shows something."""

    route: Route
    path: str
    status: int
    headers: dict[str, str]
    text: str
    passwords: int  # worked out for it, with all that this takes


def address(shop, route: Route) -> str:
    return reverse(route.name, args=[shop.args[arg] for arg in route.args])


def enter(shop, trade: str) -> Client:
    """A browser in which somebody of this kind is signed in."""
    client = Client()
    client.force_login(getattr(shop, trade), backend="training.access.sign_in.ShopBackend")
    return client


def shown_to(shop, trade: str) -> tuple[Shown, ...]:
    """Every route of the busy shop that is asked for by GET, on its day."""
    if trade not in _SHOWN:
        _SHOWN[trade] = _left_by_another(shop, trade) or _walk(shop, trade)
    return _SHOWN[trade]


def _walk(shop, trade):
    client = enter(shop, trade)
    shown = tuple(
        _look(client, route, address(shop, route)) for route in ROUTES if route.method == "get"
    )
    leave((shop.args, shown), file_of_this_run(f"shown-to-{trade}"))
    return shown


def _left_by_another(shop, trade):
    """What another process was shown; nothing where its shop, built at the same moment, has other
    keys than this one.
    """
    left = file_of_this_run(f"shown-to-{trade}")
    args, shown = pickle.loads(left.read_bytes()) if left.exists() else ({}, ())  # noqa: S301
    return shown if args == shop.args else ()


def pages_of(shop, trade: str) -> list[Shown]:
    """Those that this kind of person is shown."""
    return [shown for shown in shown_to(shop, trade) if shown.route.status(trade) == 200]


def _look(client, route, path):
    with count_passwords() as worked_out:
        answer = client.get(path)
    return Shown(
        route,
        path,
        answer.status_code,
        dict(answer.headers),
        answer.getvalue().decode("utf-8", "replace"),
        worked_out.call_count,
    )


@contextmanager
def count_passwords():
    """Counts how often a password is worked out, to be kept or to be compared."""
    encode = MD5PasswordHasher.encode
    with patch.object(MD5PasswordHasher, "encode", autospec=True, side_effect=encode) as counted:
        yield counted
