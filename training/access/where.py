"""From which address does a request come, as far as the proxies in front of the site can be
trusted?
"""

from __future__ import annotations

from ipaddress import IPv4Address, IPv6Address, ip_address, ip_network

from django.conf import settings
from django.http import HttpRequest

UNKNOWN = "unknown"
PHONE, COMPUTER = "phone", "computer"


def address_of(request: HttpRequest) -> IPv4Address | IPv6Address | None:
    """The address of whoever asks; None where it cannot be read, as behind a socket.

    Each proxy writes the address that it saw at the right end of X-Forwarded-For. So with n proxies
    of the shop's own the n-th from the right was written by the outermost of them, and what stands
    left of it anybody may have made up.
    """
    found = request.META.get("REMOTE_ADDR", "")
    # Without a proxy of the shop's own the header is whatever the asker wrote.
    if settings.PROXIES:
        told = [
            part.strip()
            for part in request.META.get("HTTP_X_FORWARDED_FOR", "").split(",")
            if part.strip()
        ]
        # Fewer than set, when one proxy is passed by: then the outermost that did write.
        found = told[-min(settings.PROXIES, len(told))] if told else found
    return _read(found)


def address_counted(request: HttpRequest) -> str:
    """Under which name wrong tries from this address are counted. In IPv6 one customer has a /64 at
    least (RFC 6177).
    """
    address = address_of(request)
    if isinstance(address, IPv6Address):
        # One address each would give a guesser 2^64 buckets.
        return str(ip_network((address, 64), strict=False))
    # One bucket for all who cannot be told apart: behind a socket the login's own bucket still
    # counts.
    return str(address) if address else UNKNOWN


def network_of(request: HttpRequest) -> str:
    """The network from which a request comes, for people to recognise: enough to tell the shop from
    elsewhere, and no more.
    """
    address = address_of(request)
    if address is None:
        return ""
    # /24 and /48: what one site usually has (RFC 6177 for /48). It tells places and no people.
    return (
        str(
            ip_network(
                (address, 48 if isinstance(address, IPv6Address) else 24), strict=False
            ).network_address
        )
        + " …"
    )


def device_of(request: HttpRequest) -> str:
    """PHONE (or tablet), COMPUTER, or nothing for what names itself as no browser does.

    A browser of a small device says "Mobi", every browser "Mozilla/": common practice of browsers,
    from memory.
    """
    said = request.META.get("HTTP_USER_AGENT", "")
    if not said.startswith("Mozilla/"):
        return ""
    return PHONE if "Mobi" in said else COMPUTER


def _read(text: str) -> IPv4Address | IPv6Address | None:
    """The address, without a port or brackets around it; IPv4 written as IPv6 is IPv4."""
    if text.startswith("["):
        text = text[1:].partition("]")[0]
    # More than one colon is IPv6 itself, which carries a port only in brackets.
    elif text.count(":") == 1:
        text = text.partition(":")[0]
    try:
        address = ip_address(text)
    except ValueError:
        return None
    # A socket open for both hands IPv4 over as
    # ::ffff:a.b.c.d, which a /64 would make one bucket of.
    mapped = address.ipv4_mapped if isinstance(address, IPv6Address) else None
    return mapped or address
