"""What goes between tablets and the workshop's machine is sealed: real hand-shakes with the server, and what it does in the clear."""

import http.client
import os
import socket
import ssl
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from django.utils import timezone

from pinchbolt.serving import authority as of_authority
from pinchbolt.serving import sealing as of_sealing
from pinchbolt.serving import server as of_server
from pinchbolt.serving import this_machine
from pinchbolt.serving.authority import authority_file, authority_until, context_of, vouch
from pinchbolt.serving.sealing import Sealing
from pinchbolt.serving.server import _move, _settle, make_server
from tests.servers import free_port

NAMES = ["127.0.0.1", "localhost", "bench.local"]
LONG = b"A torque sheet of forty pages. " * 40_000


@pytest.fixture(autouse=True)
def home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A home folder of its own, in which there is no authority yet."""
    monkeypatch.setenv("PINCHBOLT_HOME", str(tmp_path))
    monkeypatch.setattr(of_sealing, "own_names", lambda network: NAMES)
    return tmp_path


def told(environ: dict[str, object], start: Callable[..., object]) -> list[bytes]:
    """Says by which way it was asked and by whom; a long answer where that is asked, and how much it was sent."""
    sent = environ["wsgi.input"].read()  # type: ignore[attr-defined]
    said = f"{environ['wsgi.url_scheme']} {environ['REMOTE_ADDR']} {len(sent)}".encode()
    body = LONG if environ["PATH_INFO"] == "/long" else said
    start("200 OK", [("Content-Type", "text/plain"), ("Content-Length", str(len(body)))])
    return [body]


@contextmanager
def served(sealing: Sealing) -> Iterator[int]:
    """The port of a running server."""
    port = free_port()
    with socket.socket() as listening:
        listening.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        listening.bind(("127.0.0.1", port))
        listening.listen(64)
        server = make_server(told, listening, sealing)
        hand = threading.Thread(target=_until_closed, args=[server])
        hand.start()
        try:
            yield port
        finally:
            server.ended = True
            server.pull_trigger()
            hand.join(30)
            server.task_dispatcher.shutdown()
            server.close()


def _until_closed(server: object) -> None:
    """The server's own loop, one round at a time, so that a test can end it."""
    while not getattr(server, "ended", False):
        server.asyncore.loop(timeout=0.2, map=server._map, use_poll=True, count=1)  # type: ignore[attr-defined]


def trusting() -> ssl.SSLContext:
    """A tablet that took the authority in, and nothing else."""
    context = ssl.SSLContext(ssl.PROTOCOL_TLS_CLIENT)
    context.load_verify_locations(cadata=authority_file().read_bytes())
    return context


def asked(port: int, path: str = "/", context: ssl.SSLContext | None = None, body: bytes = b"") -> bytes:
    """What the server answers by https."""
    over = http.client.HTTPSConnection("127.0.0.1", port, context=context or trusting(), timeout=30)
    try:
        over.request("POST" if body else "GET", path, body or None)
        return over.getresponse().read()
    finally:
        over.close()


def test_one_port_speaks_https_and_tells_what_came_in_the_clear() -> None:
    """A hand-shake is answered with TLS, a plain request as such; the application is told which, and the true address."""
    with served(Sealing(timezone.now())) as port:
        assert asked(port) == b"https 127.0.0.1 0"
        plain = http.client.HTTPConnection("127.0.0.1", port, timeout=30)
        plain.request("GET", "/")
        assert plain.getresponse().read() == b"http 127.0.0.1 0"
        plain.close()


def test_much_goes_both_ways_and_a_connection_is_used_again() -> None:
    """Answers larger than any buffer, sent bodies of many records, five requests on one connection, eight tablets at once."""
    with served(Sealing(timezone.now())) as port:
        assert asked(port, "/long") == LONG
        assert asked(port, body=LONG) == f"https 127.0.0.1 {len(LONG)}".encode()
        kept = http.client.HTTPSConnection("127.0.0.1", port, context=trusting(), timeout=30)
        for _ in range(5):
            kept.request("GET", "/long")
            assert kept.getresponse().read() == LONG
        kept.close()
        got: list[bytes] = []
        hands = [threading.Thread(target=lambda: got.append(asked(port, "/long"))) for _ in range(8)]
        for hand in hands:
            hand.start()
        for hand in hands:
            hand.join()
        assert got == [LONG] * 8


def test_a_hand_shake_that_stalls_stops_nobody() -> None:
    """Thirty connections that send one byte, or a half hand-shake, or nonsense: the next tablet is answered."""
    with served(Sealing(timezone.now())) as port:
        stalled = [socket.create_connection(("127.0.0.1", port), timeout=30) for _ in range(30)]
        for number, one in enumerate(stalled):
            one.sendall(
                (b"\x16", b"\x16\x03\x01\x02\x00\x01", b"\x16" + b"no hand-shake at all" * 40)[number % 3]
            )
        assert asked(port) == b"https 127.0.0.1 0"
        for one in stalled:
            one.close()


def test_a_tablet_that_does_not_trust_the_authority_gets_nothing() -> None:
    """Neither with the machine's own list of authorities, nor with another workshop's."""
    with served(Sealing(timezone.now())) as port, pytest.raises(ssl.SSLCertVerificationError):
        asked(port, context=ssl.create_default_context())


@pytest.mark.filterwarnings("ignore:ssl.TLSVersion")
def test_old_ways_of_sealing_are_refused() -> None:
    """TLS 1.1 and before ended with RFC 8996."""
    with served(Sealing(timezone.now())) as port:
        old = trusting()
        old.minimum_version = ssl.TLSVersion.TLSv1
        old.set_ciphers("ALL:@SECLEVEL=0")
        old.maximum_version = ssl.TLSVersion.TLSv1_1
        with pytest.raises((ssl.SSLError, ConnectionError)):
            asked(port, context=old)


def test_the_authority_is_made_once_and_its_key_is_for_this_user_alone(home: Path) -> None:
    """A second start takes the first one's: no tablet takes anything in twice."""
    vouch(NAMES, timezone.now())
    first, machine = authority_file().read_bytes(), (home / "authority" / "machine.pem").read_bytes()
    vouch(NAMES, timezone.now())
    assert authority_file().read_bytes() == first
    assert (home / "authority" / "machine.pem").read_bytes() == machine
    assert (home / "authority").stat().st_mode & 0o77 == 0
    assert all(file.stat().st_mode & 0o77 == 0 for file in (home / "authority").iterdir())


def test_a_certificate_is_renewed_before_it_ends_while_the_server_runs() -> None:
    """Sixty-one days on it is another, on the same port and from the same authority; the one of before has not ended."""
    then = timezone.now() - timedelta(days=61)
    sealing = Sealing(then)
    with served(sealing) as port:
        before = _certificate(port)
        assert not sealing.look_again(then + timedelta(days=59))
        assert sealing.look_again(timezone.now())
        assert not sealing.look_again(timezone.now())
        assert asked(port) == b"https 127.0.0.1 0"
        assert _certificate(port) != before


def test_a_certificate_that_has_ended_is_refused_by_the_tablet_and_mended_by_the_next_round() -> None:
    """The machine was off for half a year: its first look at the clock makes it good again."""
    ended = timezone.now() - timedelta(days=180)
    sealing = Sealing(ended)
    with served(sealing) as port:
        with pytest.raises(ssl.SSLCertVerificationError, match="expired"):
            asked(port)
        sealing.look_again(timezone.now())
        assert asked(port) == b"https 127.0.0.1 0"


def test_a_machine_that_moved_to_another_address_is_vouched_for_there(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """The router gave it another address: refused under the old certificate, good after the next round."""
    monkeypatch.setattr(of_sealing, "own_names", lambda network: ["10.9.8.7", "localhost"])
    sealing = Sealing(timezone.now())
    with served(sealing) as port:
        with pytest.raises(ssl.SSLCertVerificationError, match="IP address mismatch"):
            asked(port)
        monkeypatch.setattr(of_sealing, "own_names", lambda network: NAMES)
        assert sealing.look_again(timezone.now())
        assert sealing.names == NAMES
        assert asked(port) == b"https 127.0.0.1 0"


def test_the_names_of_the_machine_are_asked_anew_each_time(monkeypatch: pytest.MonkeyPatch) -> None:
    """What the server told the settings when it began is not taken for what the shop told; what the shop told stays."""
    monkeypatch.delenv("PINCHBOLT_HOSTS", raising=False)
    for name in (
        "PINCHBOLT_ANSWERS_TO",
        "PINCHBOLT_SEALED",
        "PINCHBOLT_OPENING_WORD",
        "PINCHBOLT_OWN_ADDRESS",
    ):
        monkeypatch.setenv(name, "")
    monkeypatch.setattr(this_machine, "own_address", lambda: "10.0.0.7")
    _settle("http://127.0.0.1:8010", demo=False, network=True)
    assert "10.0.0.7" in os.environ["PINCHBOLT_ANSWERS_TO"].split(",")
    monkeypatch.setattr(this_machine, "own_address", lambda: "10.0.0.8")
    assert this_machine.own_names(network=True)[0] == "10.0.0.8"
    assert this_machine.own_names(network=False) == ["127.0.0.1", "localhost", "[::1]"]
    monkeypatch.setenv("PINCHBOLT_HOSTS", "bench.local, 10.0.0.9")
    assert this_machine.own_names(network=True) == ["bench.local", "10.0.0.9"]


def test_the_authority_vouches_for_the_workshops_own_network_alone() -> None:
    """A stolen key opens no bank: what lies outside is left out, and a tablet refuses it even if it were signed (RFC 5280, 4.2.1.10)."""
    vouched = vouch(NAMES, timezone.now())
    assert vouch([*NAMES, "192.168.7.7", "fd00::7"], timezone.now()).left_out == ()
    assert vouch([*NAMES, "bank.example", "8.8.8.8"], timezone.now()).left_out == (
        "bank.example",
        "8.8.8.8",
    )
    assert vouched.left_out == ()


def test_a_tablet_refuses_what_the_authority_may_not_vouch_for(monkeypatch: pytest.MonkeyPatch) -> None:
    """Signed with the authority's own key for a name outside: whoever stole it is no bank to this tablet."""
    vouch(NAMES, timezone.now())
    monkeypatch.setattr(of_authority, "_allowed", lambda names, own: (("bank.example",), ()))
    with (
        served(Sealing(timezone.now())) as port,
        pytest.raises(ssl.SSLCertVerificationError, match="permitted subtree"),
    ):
        over = socket.create_connection(("127.0.0.1", port), timeout=30)
        trusting().wrap_socket(over, server_hostname="bank.example")


def test_the_authority_holds_for_ten_years_and_no_certificate_outlives_it() -> None:
    """In its last weeks the machine is vouched for as long as it is good, and no longer."""
    begun = datetime(2026, 11, 28, tzinfo=UTC)
    vouch(NAMES, begun)
    until = authority_until()
    assert until is not None and until - begun == timedelta(days=3650)
    late = vouch(NAMES, until - timedelta(days=20))
    assert late.until <= until
    assert vouch(NAMES, until - timedelta(days=19)) == late


def test_an_authority_of_a_wrong_clock_is_signed_anew_with_its_own_key(home: Path) -> None:
    """A small machine began in 1970, or ran years ahead, before it heard the time: the server starts, and who trusted it still does."""
    vouch(NAMES, datetime(1970, 1, 2, tzinfo=UTC))
    key, early = (home / "authority" / "authority.key").read_bytes(), authority_until()
    with served(Sealing(timezone.now())) as port:
        assert asked(port) == b"https 127.0.0.1 0"
        taken = trusting()
        # The clock goes mad and comes back: the authority that the tablet took still vouches for what is served.
        vouch(NAMES, datetime(2090, 1, 1, tzinfo=UTC))
        vouch(NAMES, datetime(1971, 1, 1, tzinfo=UTC))
    with served(Sealing(timezone.now())) as port:
        assert asked(port) == asked(port, context=taken) == b"https 127.0.0.1 0"
    until = authority_until()
    assert early is not None and until is not None and early < timezone.now() < until
    assert (home / "authority" / "authority.key").read_bytes() == key


def test_names_that_are_all_outside_stop_no_server() -> None:
    """The shop tells another name than the one that the authority was made for: this machine is served, and what was left out is said."""
    vouch(NAMES, timezone.now())
    assert vouch(["bank.example"], timezone.now()).left_out == ("bank.example",)


def test_a_machine_with_a_name_from_anywhere_is_served(monkeypatch: pytest.MonkeyPatch) -> None:
    """Its name is written as browsers ask for it (RFC 5890; its figures from memory); one that can't be asked for is left out."""
    monkeypatch.delenv("PINCHBOLT_HOSTS", raising=False)
    monkeypatch.setattr(this_machine, "_addresses", lambda host: [])
    monkeypatch.setattr(this_machine.socket, "gethostname", lambda: "Bücher")
    names = this_machine.own_names(network=True)
    assert "xn--bcher-kva" in names
    assert vouch([one.strip("[]") for one in names], timezone.now()).left_out == ()
    monkeypatch.setattr(this_machine.socket, "gethostname", lambda: "a" * 80)
    assert this_machine.own_names(network=True)[-3:] == ["127.0.0.1", "localhost", "[::1]"]


def test_a_moment_without_a_network_leaves_the_machine_its_names(monkeypatch: pytest.MonkeyPatch) -> None:
    """The router is switched off and on again: the tablets come back to the same address and the same certificate."""
    monkeypatch.setattr(of_sealing, "own_names", lambda network: ["10.0.0.7", "127.0.0.1"])
    sealing = Sealing(timezone.now())
    vouched = sealing.vouched
    monkeypatch.setattr(of_sealing, "own_names", lambda network: ["127.0.0.1"])
    monkeypatch.setattr(of_server, "own_address", lambda: "127.0.0.1")
    _move(sealing, timezone.now())
    assert sealing.vouched == vouched and sealing.names == ["10.0.0.7", "127.0.0.1"]


def test_a_half_written_certificate_is_made_anew(home: Path) -> None:
    """Power went in the middle: the key and the certificate of two different days are no pair."""
    vouch(NAMES, timezone.now())
    key = (home / "authority" / "machine.key").read_bytes()
    vouch([*NAMES, "10.0.0.1"], timezone.now())
    (home / "authority" / "machine.key").write_bytes(key)
    context_of(vouch([*NAMES, "10.0.0.1"], timezone.now()))
    (home / "authority" / "machine.pem").write_bytes(b"-----BEGIN")
    context_of(vouch([*NAMES, "10.0.0.1"], timezone.now()))
    assert (home / "authority" / "machine.pem").read_bytes().count(b"-----BEGIN CERTIFICATE") == 2


def _certificate(port: int) -> bytes:
    """The certificate that a tablet is shown."""
    with (
        socket.create_connection(("127.0.0.1", port), timeout=30) as plain,
        trusting().wrap_socket(plain, server_hostname="127.0.0.1") as over,
    ):
        shown = over.getpeercert(binary_form=True)
        assert shown is not None
        return shown
