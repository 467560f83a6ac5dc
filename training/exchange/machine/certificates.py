"""How does this machine prove to phones in the shop that it is the one they mean?

A certificate authority of this machine's own, made once, signs a certificate for its names and
addresses, which is renewed before it ends. Whoever trusts the authority trusts it for names and
addresses of a local network only (name constraints: RFC 5280, 4.2.1.10), so that its key, where
somebody stole it, opens no bank. X.509 is written by a library.
"""

from __future__ import annotations

import ipaddress
import os
import stat
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from pathlib import Path

from cryptography import x509
from cryptography.hazmat.primitives import hashes, serialization
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.x509.oid import ExtendedKeyUsageOID, NameOID
from django.utils.translation import gettext

from procedures.records.refused import Refused
from training.exchange.machine.authority import authority_file, fingerprint_of

AUTHORITY_LASTS = timedelta(days=3650)
# Phones refuse certificates that last longer: 825 days for one's own authority (from memory); a
# year and a month stays below what they ask of anybody.
LASTS = timedelta(days=397)
RENEWED_BEFORE = timedelta(days=60)
CLOCKS_DIFFER = timedelta(days=1)
LOCAL_NAMES = ("localhost", "local", "lan", "internal", "home.arpa")
# RFC 1918, 3927, 4193, 4291 and this machine itself.
LOCAL_NETWORKS = (
    "10.0.0.0/8",
    "127.0.0.0/8",
    "169.254.0.0/16",
    "172.16.0.0/12",
    "192.168.0.0/16",
    "::1/128",
    "fc00::/7",
    "fe80::/10",
)
CLOSED = stat.S_IRUSR | stat.S_IWUSR  # 0600

_USES = (
    "digital_signature",
    "content_commitment",
    "key_encipherment",
    "data_encipherment",
    "key_agreement",
    "key_cert_sign",
    "crl_sign",
    "encipher_only",
    "decipher_only",
)

Network = ipaddress.IPv4Network | ipaddress.IPv6Network


@dataclass(frozen=True, slots=True)
class Certificates:
    """Where the authority's certificate lies, and the file with the site's own and its key; whether
    the authority is new, so that phones have to be told to trust it.
    """

    authority: Path
    site: Path
    fingerprint: str
    is_new: bool


def certificates(
    home: Path, names: Sequence[str], addresses: Sequence[str], now: datetime
) -> Certificates:
    """The certificates of this machine for these names and addresses, made or renewed where that is
    due. Raises Refused for what the authority may not sign, and OSError.
    """
    folder = home / "lan"
    folder.mkdir(mode=0o700, exist_ok=True)
    kept = _kept_authority(folder)
    is_new = kept is None or kept[0].not_valid_after_utc < now + LASTS
    authority = _make_authority(folder, names, now) if kept is None or is_new else kept
    _check_local(authority[0], names, addresses)
    site = folder / "site.pem"
    if not _still_fits(site, authority[0], names, addresses, now):
        _make_site(site, authority, names, addresses, now)
    path = authority_file(home)
    return Certificates(path, site, fingerprint_of(path), is_new)


def renew(site: Path, now: datetime) -> None:
    """The site's certificate made anew for the same names, where it ends soon. Raises OSError."""
    kept = x509.load_pem_x509_certificate(site.read_bytes())
    says = kept.extensions.get_extension_for_class(x509.SubjectAlternativeName).value
    addresses = [str(one) for one in says.get_values_for_type(x509.IPAddress)]
    certificates(site.parent.parent, says.get_values_for_type(x509.DNSName), addresses, now)


Authority = tuple[x509.Certificate, ec.EllipticCurvePrivateKey]


def _kept_authority(folder: Path) -> Authority | None:
    try:
        found = x509.load_pem_x509_certificate((folder / "authority.pem").read_bytes())
        key = serialization.load_pem_private_key(
            (folder / "authority.key").read_bytes(), password=None
        )
    except FileNotFoundError:
        return None
    return (found, key) if isinstance(key, ec.EllipticCurvePrivateKey) else None


def _make_authority(folder: Path, names: Sequence[str], now: datetime) -> Authority:
    key = ec.generate_private_key(ec.SECP256R1())
    title = f"Benchright at {names[0]}, {now:%Y}"
    called = x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, title[:64])])
    permitted: list[x509.GeneralName] = [
        x509.DNSName(name) for name in dict.fromkeys((*LOCAL_NAMES, *names))
    ]
    permitted += [x509.IPAddress(ipaddress.ip_network(network)) for network in LOCAL_NETWORKS]
    usage = x509.KeyUsage(**dict.fromkeys(_USES, False) | {"key_cert_sign": True, "crl_sign": True})
    made = (
        _builder(called, called, key, now, AUTHORITY_LASTS)
        .add_extension(x509.BasicConstraints(ca=True, path_length=0), critical=True)
        .add_extension(usage, critical=True)
        .add_extension(x509.NameConstraints(permitted, None), critical=True)
        .add_extension(x509.SubjectKeyIdentifier.from_public_key(key.public_key()), critical=False)
        .sign(key, hashes.SHA256())
    )
    # The key first: an authority without its key would be taken for one that is kept.
    _write(folder / "authority.key", _as_text(key))
    _write(folder / "authority.pem", made.public_bytes(serialization.Encoding.PEM))
    return made, key


def _make_site(
    path: Path, authority: Authority, names: Sequence[str], addresses: Sequence[str], now: datetime
) -> None:
    signer, signs = authority
    key = ec.generate_private_key(ec.SECP256R1())
    called = x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, names[0][:64])])
    usage = x509.KeyUsage(**dict.fromkeys(_USES, False) | {"digital_signature": True})
    made = (
        _builder(called, signer.subject, key, now, LASTS)
        .add_extension(x509.BasicConstraints(ca=False, path_length=None), critical=True)
        .add_extension(usage, critical=True)
        .add_extension(x509.ExtendedKeyUsage([ExtendedKeyUsageOID.SERVER_AUTH]), critical=False)
        .add_extension(x509.SubjectAlternativeName(_meant(names, addresses)), critical=False)
        .add_extension(
            x509.AuthorityKeyIdentifier.from_issuer_public_key(signs.public_key()), critical=False
        )
        .sign(signs, hashes.SHA256())
    )
    # Both in one file, so that a server never reads a certificate with the key of another one.
    _write(path, made.public_bytes(serialization.Encoding.PEM) + _as_text(key))


def _builder(
    subject: x509.Name,
    issuer: x509.Name,
    key: ec.EllipticCurvePrivateKey,
    now: datetime,
    lasts: timedelta,
) -> x509.CertificateBuilder:
    return (
        x509.CertificateBuilder()
        .subject_name(subject)
        .issuer_name(issuer)
        .public_key(key.public_key())
        .serial_number(x509.random_serial_number())
        .not_valid_before(now - CLOCKS_DIFFER)
        .not_valid_after(now + lasts)
    )


def _meant(names: Iterable[str], addresses: Iterable[str]) -> list[x509.GeneralName]:
    return [
        *(x509.DNSName(name) for name in names),
        *(x509.IPAddress(ipaddress.ip_address(address)) for address in addresses),
    ]


def _still_fits(
    path: Path,
    authority: x509.Certificate,
    names: Sequence[str],
    addresses: Sequence[str],
    now: datetime,
) -> bool:
    try:
        kept = x509.load_pem_x509_certificate(path.read_bytes())
        kept.verify_directly_issued_by(authority)
    except Exception:
        return False
    says = kept.extensions.get_extension_for_class(x509.SubjectAlternativeName).value
    is_for_all = set(_meant(names, addresses)) <= set(says)
    return is_for_all and now + RENEWED_BEFORE < kept.not_valid_after_utc


def _check_local(
    authority: x509.Certificate, names: Iterable[str], addresses: Iterable[str]
) -> None:
    """Raises Refused for what the authority may not sign; phones would refuse it without a word."""
    given = authority.extensions.get_extension_for_class(x509.NameConstraints).value
    within = [one.value for one in given.permitted_subtrees or ()]
    outside = [
        name
        for name in names
        if not any(name == zone or name.endswith(f".{zone}") for zone in within)
    ]
    outside += [
        address for address in addresses if not any(_is_in(address, network) for network in within)
    ]
    if outside:
        raise Refused(
            gettext(
                "The certificate of this machine was made for other names than {names}. Name them "
                "with --name before the first start; or delete the folder lan, and let every phone "
                "trust the new certificate."
            ).format(names=", ".join(outside))
        )


def is_local(address: str) -> bool:
    """Whether an address lies in a network for which the authority may vouch."""
    return any(_is_in(address, ipaddress.ip_network(network)) for network in LOCAL_NETWORKS)


def _is_in(address: str, network: object) -> bool:
    where = ipaddress.ip_address(address)
    return isinstance(network, Network) and where in network


def _as_text(key: ec.EllipticCurvePrivateKey) -> bytes:
    return key.private_bytes(
        serialization.Encoding.PEM, serialization.PrivateFormat.PKCS8, serialization.NoEncryption()
    )


def _write(path: Path, data: bytes) -> None:
    """A file that only its owner reads from its first moment on, put in place in one go."""
    beside = path.with_suffix(f".{os.getpid()}")
    beside.unlink(missing_ok=True)
    descriptor = os.open(beside, os.O_WRONLY | os.O_CREAT | os.O_EXCL, CLOSED)
    with os.fdopen(descriptor, "wb") as file:
        file.write(data)
    beside.replace(path)
