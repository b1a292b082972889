"""The workshop's own authority: made once, it vouches for this machine's names and addresses, so that tablets speak https.

Its key never leaves the home folder, and it may vouch for names and addresses of a local network alone (RFC 5280, 4.2.1.10):
a tablet that trusts it trusts nothing else by it.
"""

import ipaddress
import os
import ssl
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from hashlib import sha256
from pathlib import Path

from cryptography import x509
from cryptography.hazmat.primitives import hashes, serialization
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.x509.oid import ExtendedKeyUsageOID, NameOID

from pinchbolt.serving.home import home_folder

_AUTHORITY_DAYS = 3650
# Browsers take up to 398 days; a short one is renewed often enough that renewing is never a surprise.
_VOUCHED_DAYS = 90
_RENEW_DAYS = 30
# A clock that goes a little wrong, here or on a tablet.
_EARLIER = timedelta(days=1)
# Whom it may vouch for: networks that no provider routes (RFC 1918, 3927, 4193, 4291, 6598), and names that no registry sells
# (RFC 6761, 6762, 8375).
_NETWORKS = (
    "127.0.0.0/8", "10.0.0.0/8", "172.16.0.0/12", "192.168.0.0/16", "169.254.0.0/16", "100.64.0.0/10", "::1/128", "fc00::/7", "fe80::/10",
)  # fmt: skip
_NAMES = ("localhost", "local", "lan", "home.arpa", "internal")


@dataclass(frozen=True, slots=True)
class Vouched:
    """What is served with: the certificate for this machine and its number, until when it is good, and what the authority may
    not vouch for.
    """

    chain: Path
    key: Path
    number: int
    until: datetime
    left_out: tuple[str, ...]


def authority_folder() -> Path:
    """Return where the authority lies; for this user alone."""
    return home_folder() / "authority"


def authority_file() -> Path:
    """Return the authority's certificate as tablets take it in (DER)."""
    return authority_folder() / "authority.crt"


def fingerprint(certificate: bytes) -> str:
    """Return the SHA-256 of a certificate as tablets show it: pairs of figures with colons."""
    return _paired(sha256(certificate).hexdigest())


def _paired(figures: str) -> str:
    return ":".join(figures[at : at + 2] for at in range(0, len(figures), 2)).upper()


def vouch(names: Sequence[str], now: datetime) -> Vouched:
    """Return a certificate for these names and addresses: the one that is there while it is good, else a new one.

    Args:
        names: Names and addresses at which this machine is reached. [-]
        now: When. [-]
    """
    own_key, own = _authority(names, now)
    allowed, left_out = _allowed(names, own)
    # Where it may vouch for none of them, this machine itself is served all the same, and what was left out is said.
    allowed = allowed or ("localhost",)
    chain, key = authority_folder() / "machine.pem", authority_folder() / "machine.key"
    found = _good(chain, key, own, allowed, now)
    if found is None:
        # A certificate knows no parts of a second.
        until = min(now.replace(microsecond=0) + timedelta(days=_VOUCHED_DAYS), own.not_valid_after_utc)
        found = _vouch_anew(own_key, own, allowed, now, until)
    return Vouched(chain, key, found.serial_number, found.not_valid_after_utc, left_out)


def authority_until() -> datetime | None:
    """Return until when the authority is good; None where there is none."""
    file = authority_file()
    return x509.load_der_x509_certificate(file.read_bytes()).not_valid_after_utc if file.exists() else None


def machine_until() -> datetime | None:
    """Return until when this machine is vouched for; None where it never was."""
    file = authority_folder() / "machine.pem"
    return x509.load_pem_x509_certificate(file.read_bytes()).not_valid_after_utc if file.exists() else None


def context_of(vouched: Vouched) -> ssl.SSLContext:
    """Return what connections are wrapped with: TLS 1.2 or 1.3, HTTP/1.1."""
    context = ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER)
    context.minimum_version = ssl.TLSVersion.TLSv1_2
    context.set_alpn_protocols(["http/1.1"])
    context.load_cert_chain(vouched.chain, vouched.key)
    return context


def _authority(names: Sequence[str], now: datetime) -> tuple[ec.EllipticCurvePrivateKey, x509.Certificate]:
    """The authority, made the first time it is asked for.

    Where it has ended, or has not begun, it is signed anew with its own key and name: the clock may have been wrong then or now,
    and a tablet that took the one of before goes on by that one while the tablet's own clock lets it.
    """
    folder = authority_folder()
    key_file, file = folder / "authority.key", authority_file()
    if key_file.exists() and file.exists():
        key = serialization.load_pem_private_key(key_file.read_bytes(), None)
        if not isinstance(key, ec.EllipticCurvePrivateKey):
            raise TypeError("the authority's key is of another kind than pinchbolt makes")
        own = x509.load_der_x509_certificate(file.read_bytes())
        if own.not_valid_before_utc <= now < own.not_valid_after_utc:
            return key, own
        own = _signed_by_itself(key, own.subject, names, now)
        _keep(file, own.public_bytes(serialization.Encoding.DER))
        return key, own
    folder.mkdir(parents=True, exist_ok=True, mode=0o700)
    key = ec.generate_private_key(ec.SECP256R1())
    # Two workshops' authorities on one tablet are told apart by it.
    named = x509.Name(
        [
            x509.NameAttribute(NameOID.ORGANIZATION_NAME, "pinchbolt"),
            x509.NameAttribute(NameOID.COMMON_NAME, f"bench book {os.urandom(3).hex().upper()}"),
        ]
    )
    made = _signed_by_itself(key, named, names, now)
    _keep(key_file, _pem(key))
    _keep(file, made.public_bytes(serialization.Encoding.DER))
    return key, made


def _signed_by_itself(
    key: ec.EllipticCurvePrivateKey, named: x509.Name, names: Sequence[str], now: datetime
) -> x509.Certificate:
    return (
        _begun(named, named, key.public_key(), now, now + timedelta(days=_AUTHORITY_DAYS))
        .add_extension(x509.BasicConstraints(ca=True, path_length=0), critical=True)
        .add_extension(_usage(signs_certificates=True), critical=True)
        .add_extension(x509.SubjectKeyIdentifier.from_public_key(key.public_key()), critical=False)
        .add_extension(x509.NameConstraints(_may_vouch_for(names), None), critical=True)
        .sign(key, hashes.SHA256())
    )


def _vouch_anew(
    own_key: ec.EllipticCurvePrivateKey,
    own: x509.Certificate,
    names: Sequence[str],
    now: datetime,
    until: datetime,
) -> x509.Certificate:
    key = ec.generate_private_key(ec.SECP256R1())
    called = x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, names[0][:64])])
    made = (
        _begun(called, own.subject, key.public_key(), now, until)
        .add_extension(x509.BasicConstraints(ca=False, path_length=None), critical=True)
        .add_extension(_usage(signs_certificates=False), critical=True)
        .add_extension(x509.ExtendedKeyUsage([ExtendedKeyUsageOID.SERVER_AUTH]), critical=False)
        .add_extension(x509.SubjectAlternativeName([_general(one) for one in names]), critical=False)
        .add_extension(
            x509.AuthorityKeyIdentifier.from_issuer_public_key(own_key.public_key()), critical=False
        )
        .sign(own_key, hashes.SHA256())
    )
    both = made.public_bytes(serialization.Encoding.PEM) + own.public_bytes(serialization.Encoding.PEM)
    _keep(authority_folder() / "machine.key", _pem(key))
    _keep(authority_folder() / "machine.pem", both)
    return made


def _good(
    chain: Path, key: Path, own: x509.Certificate, names: Sequence[str], now: datetime
) -> x509.Certificate | None:
    """The certificate that is there; None where it ends soon, says other names, or is no pair with its key."""
    if not chain.exists() or not key.exists():
        return None
    try:
        found = x509.load_pem_x509_certificate(chain.read_bytes())
        found.verify_directly_issued_by(own)
        half = serialization.load_pem_private_key(key.read_bytes(), None)
    except Exception:
        # Half-written, or of an authority that is no more: it is made anew.
        return None
    said = found.extensions.get_extension_for_class(x509.SubjectAlternativeName).value
    soon = found.not_valid_after_utc < min(now + timedelta(days=_RENEW_DAYS), own.not_valid_after_utc)
    begun = found.not_valid_before_utc <= now
    is_pair = half.public_key() == found.public_key()
    same = {str(one.value) for one in said} == {str(_general(one).value) for one in names}
    return found if same and is_pair and begun and not soon else None


def _begun(
    called: x509.Name, by: x509.Name, key: ec.EllipticCurvePublicKey, now: datetime, until: datetime
) -> x509.CertificateBuilder:
    return (
        x509.CertificateBuilder()
        .subject_name(called)
        .issuer_name(by)
        .public_key(key)
        .serial_number(x509.random_serial_number())
        .not_valid_before(now - _EARLIER)
        .not_valid_after(until)
    )


def _usage(*, signs_certificates: bool) -> x509.KeyUsage:
    return x509.KeyUsage(
        digital_signature=not signs_certificates,
        content_commitment=False,
        key_encipherment=False,
        data_encipherment=False,
        key_agreement=False,
        key_cert_sign=signs_certificates,
        crl_sign=signs_certificates,
        encipher_only=False,
        decipher_only=False,
    )


def _may_vouch_for(names: Sequence[str]) -> list[x509.GeneralName]:
    """The local networks and names, and what this machine is called on the day the authority is made."""
    nets: list[x509.GeneralName] = [x509.IPAddress(ipaddress.ip_network(one)) for one in _NETWORKS]
    own = [one for one in names if not _is_local(one)]
    own_nets: list[x509.GeneralName] = [
        x509.IPAddress(ipaddress.ip_network(one)) for one in own if _address(one)
    ]
    own_names = [one for one in own if not _address(one)]
    return [*nets, *own_nets, *(x509.DNSName(one) for one in (*_NAMES, *own_names))]


def _allowed(names: Sequence[str], own: x509.Certificate) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """Names that the authority may vouch for, and those that it may not."""
    may = own.extensions.get_extension_for_class(x509.NameConstraints).value.permitted_subtrees or []
    good = [one for one in dict.fromkeys(names) if any(_covers(subtree, one) for subtree in may)]
    return tuple(good), tuple(one for one in dict.fromkeys(names) if one not in good)


def _covers(subtree: x509.GeneralName, name: str) -> bool:
    address = _address(name)
    if isinstance(subtree, x509.IPAddress):
        net = subtree.value
        return (
            address is not None
            and isinstance(net, ipaddress.IPv4Network | ipaddress.IPv6Network)
            and net.version == address.version
            and address in net
        )
    return address is None and (name == subtree.value or name.endswith(f".{subtree.value}"))


def _is_local(name: str) -> bool:
    address = _address(name)
    if address is None:
        return any(name == one or name.endswith(f".{one}") for one in _NAMES)
    nets = [ipaddress.ip_network(one) for one in _NETWORKS]
    return any(net.version == address.version and address in net for net in nets)


def _address(name: str) -> ipaddress.IPv4Address | ipaddress.IPv6Address | None:
    try:
        return ipaddress.ip_address(name.strip("[]"))
    except ValueError:
        return None


def _general(name: str) -> x509.GeneralName:
    address = _address(name)
    return x509.IPAddress(address) if address is not None else x509.DNSName(name)


def _pem(key: ec.EllipticCurvePrivateKey) -> bytes:
    return key.private_bytes(
        serialization.Encoding.PEM, serialization.PrivateFormat.PKCS8, serialization.NoEncryption()
    )


def _keep(file: Path, content: bytes) -> None:
    """Whole or not at all, and for this user alone."""
    fresh = file.with_name(f".{file.name}.{os.getpid()}")
    fresh.unlink(missing_ok=True)
    with os.fdopen(os.open(fresh, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600), "wb") as out:
        out.write(content)
        out.flush()
        os.fsync(out.fileno())
    fresh.replace(file)
