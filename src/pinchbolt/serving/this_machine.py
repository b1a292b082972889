"""What this machine is called in the workshop's network, and at which addresses it is reached."""

import os
import socket

# An address for documentation (RFC 5737): nothing is sent there, it only makes the machine choose a way out.
_NOWHERE = ("192.0.2.1", 9)
NO_NETWORK = "127.0.0.1"
_ITSELF = (NO_NETWORK, "localhost", "[::1]")


def own_address() -> str:
    """Return this machine's address in the workshop's network; 127.0.0.1 where it has none."""
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as probe:
        try:
            probe.connect(_NOWHERE)
            return str(probe.getsockname()[0])
        except OSError:
            return NO_NETWORK


def own_names(*, network: bool) -> list[str]:
    """Return the names and addresses that are answered to: those of this machine as they are now, or those that were told.

    Args:
        network: Whether other machines may ask. [-]
    """
    told = os.environ.get("PINCHBOLT_HOSTS", "")
    if told:
        return [name for one in told.split(",") if (name := _as_asked(one.strip()))]
    if not network:
        return list(_ITSELF)
    host = _as_asked(socket.gethostname())
    called = [host, f"{host}.local"] if host else []
    return list(dict.fromkeys([own_address(), *_addresses(host), *called, *_ITSELF]))


def _as_asked(host: str) -> str:
    """A machine's name as browsers ask for it and a certificate says it (RFC 5890); "" where it is none that can be asked for."""
    try:
        return host.lower().encode("idna").decode("ascii")
    except UnicodeError:
        return ""


def _addresses(host: str) -> list[str]:
    """Further addresses of a machine with two networks."""
    try:
        found = socket.getaddrinfo(host, None, socket.AF_INET, socket.SOCK_STREAM)
    except OSError:
        return []
    return [str(one[4][0]) for one in found]
