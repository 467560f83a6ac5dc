"""manage.py serve: serve the shop, on this machine or on the shop's network."""

from __future__ import annotations

import io
import re
from argparse import ArgumentParser
from datetime import UTC, datetime
from ipaddress import IPv4Address
from typing import Any

import segno
from django.conf import settings
from django.core.management import call_command
from django.core.management.base import CommandError
from django.utils.translation import gettext

from procedures.records.refused import Refused
from training.exchange.machine.certificates import Certificates, certificates, is_local
from training.management.lan import EVERYWHERE, own_addresses, own_names
from training.management.prepared import ShopCommand
from training.management.serving import THIS_MACHINE, must_be_free, serve
from training.models import Workshop

PORT, SECURE_PORT = 8000, 8443
# RFC 1123, 2.1: letters, digits and hyphens between points; a label has 63 at most.
HOST_NAME = re.compile(r"(?:[A-Za-z0-9-]{1,63}\.)*+[A-Za-z0-9-]{1,63}")


class Command(ShopCommand):
    help = (
        "Serve the shop on this machine; with --lan on the shop's network, for phones and tablets, "
        "with a certificate of this machine's own."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--lan", action="store_true", help="on the shop's network, by HTTPS")
        parser.add_argument("--port", type=int, help=f"{PORT}, with --lan {SECURE_PORT}")
        parser.add_argument(
            "--name",
            action="append",
            default=[],
            help="a further name of this machine in the shop, such as bench.lan",
        )
        parser.add_argument(
            "--bind", default="", metavar="ADDRESS", help="with --lan: listen on this address only"
        )

    def handle(self, *args: Any, **options: Any) -> None:
        bind = options["bind"] or EVERYWHERE
        _check_words(bind, options["name"])
        call_command("collectstatic", interactive=False, verbosity=0)
        if not options["lan"]:
            port = options["port"] or PORT
            must_be_free(port)
            self.stdout.write(
                gettext("Address: {address} (for this machine only)").format(
                    address=f"http://{THIS_MACHINE}:{port}/"
                )
            )
            self.stdout.flush()
            serve(port)
            return
        self._serve_lan(options["port"] or SECURE_PORT, bind, options["name"])

    def _serve_lan(self, port: int, bind: str, more_names: list[str]) -> None:
        _check_fit()
        must_be_free(port, bind)
        names = [*dict.fromkeys([*own_names(), "localhost", *map(str.lower, more_names)])]
        reached, outside = _sort_out(own_addresses() if bind == EVERYWHERE else [bind])
        addresses = [*dict.fromkeys([*reached, THIS_MACHINE])]
        try:
            made = certificates(settings.HOME, names, addresses, datetime.now(UTC))
        except (Refused, OSError) as error:
            raise CommandError(getattr(error, "message", str(error))) from error
        # The first address for phones: many phones cannot look up a computer's name.
        urls = [f"https://{host}:{port}/" for host in (*(reached or addresses), *more_names)]
        self._tell(urls, made)
        if outside:
            text = gettext("Not reached at {addresses}, outside the local network.")
            self.stdout.write(text.format(addresses=", ".join(outside)))
            self.stdout.flush()
        hosts = [*dict.fromkeys([*names, *addresses, *_given_hosts()])]
        serve(
            port,
            bind,
            made.site,
            {
                "BENCHRIGHT_PRODUCTION": "yes",
                "BENCHRIGHT_SECRET": settings.SECRET_KEY,
                "BENCHRIGHT_HOSTS": " ".join(hosts),
                "BENCHRIGHT_BEHIND_PROXY": "no",
                "BENCHRIGHT_OWN_CERTIFICATE": "yes",
            },
        )

    def _tell(self, urls: list[str], made: Certificates) -> None:
        for url in urls:
            self.stdout.write(gettext("Address: {address}").format(address=url))
        picture = io.StringIO()
        segno.make(urls[0], error="m", micro=False).terminal(out=picture, compact=True)
        try:
            self.stdout.write(picture.getvalue())
        except UnicodeEncodeError:
            self.stdout.write(gettext("(This terminal cannot show the code for phones.)"))
        self.stdout.write(
            gettext("Trust it once on each phone: {address}").format(address=f"{urls[0]}trust/")
        )
        self.stdout.write(
            gettext("Fingerprint (SHA-256): {fingerprint}").format(fingerprint=made.fingerprint)
        )
        if made.is_new:
            self.stdout.write(gettext("The certificate is new: each phone has to trust it once."))
        self.stdout.write(gettext("Stop with Ctrl-C."))
        self.stdout.flush()


def _sort_out(addresses: list[str]) -> tuple[list[str], list[str]]:
    """The addresses of local networks, and the others, such as that of a private network over the
    internet: no phone would believe the certificate there. Raises CommandError where all are.
    """
    local = [one for one in addresses if is_local(one)]
    outside = [one for one in addresses if one not in local]
    if outside and not local:
        raise CommandError(
            gettext(
                "{addresses} is outside every local network. Join the shop's network, or name an "
                "address such as 192.168.1.20 with --bind."
            ).format(addresses=", ".join(outside))
        )
    return local, outside


def _given_hosts() -> list[str]:
    return [host for host in settings.ALLOWED_HOSTS if host not in {"*", "[::1]"}]


def _check_words(bind: str, names: list[str]) -> None:
    try:
        IPv4Address(bind)
    except ValueError as error:
        raise CommandError(
            gettext("{address} is not an address. Write it such as 192.168.1.20.").format(
                address=bind
            )
        ) from error
    for name in names:
        if not HOST_NAME.fullmatch(name):
            raise CommandError(
                gettext("{name} is not a name of a machine. Write it such as bench.lan.").format(
                    name=name
                )
            )


def _check_fit() -> None:
    if Workshop.objects.filter(is_demo=True).exists():
        raise CommandError(
            gettext(
                "This is the demo shop, which stays on this machine. Set BENCHRIGHT_HOME to the "
                "folder of your own shop."
            )
        )
    if not Workshop.objects.exists():
        raise CommandError(gettext("There is no shop yet. First run: python manage.py open_shop"))
