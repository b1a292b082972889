"""Puts the workshop on a port: one process, eight threads, until it is told to stop."""

import errno
import os
import secrets
import signal
import socket
from collections.abc import Callable
from datetime import UTC, datetime
from pathlib import Path
from threading import Thread
from typing import TYPE_CHECKING

from pinchbolt.errors import NotPossibleNow
from pinchbolt.serving.home import into_the_demo
from pinchbolt.serving.keeper import Chore, Keeper
from pinchbolt.serving.one_server import alone
from pinchbolt.serving.sealing import Sealing
from pinchbolt.serving.seldom_swept import Sweeper
from pinchbolt.serving.this_machine import NO_NETWORK, own_address, own_names
from pinchbolt.values.wording import worded

if TYPE_CHECKING:
    from waitress.server import WSGIServer

Say = Callable[[str], object]
_THREADS = 8
# Ride files of years come at once; what is typed is held to 2 MB by the settings.
_MOST_BYTES = 260_000_000
# A browser keeps up to six connections: 50 tablets hold 300, and a stalled one must not stop the others.
_MOST_CONNECTIONS = 2000
_IDLE_S = 60


def serve(*, port: int, network: bool, say: Say, demo: bool = False) -> None:
    """Make the workshop ready and serve it until the process is told to stop.

    Args:
        port: Port to open. [-]
        network: Whether other machines may open it. [-]
        say: Prints a line to the person who started it. [-]
        demo: The invented workshop, in a home of its own. [-]

    Raises:
        NotPossibleNow: The port is taken, or may not be opened by this user; or the demo would leave this machine.
    """
    if demo and network:
        raise NotPossibleNow(_DEMO_STAYS)
    url = f"https://{own_address()}:{port}" if network else f"http://127.0.0.1:{port}"
    word = _settle(f"http://127.0.0.1:{port}", demo=demo, network=network)
    listening = _listen("0.0.0.0" if network else "127.0.0.1", port)
    try:
        _serve_alone(listening, url, word, say, demo=demo, network=network)
    finally:
        listening.close()


def _serve_alone(
    listening: socket.socket, url: str, word: str, say: Say, *, demo: bool, network: bool
) -> None:
    with alone(worded("start it again")):
        open_now = _make_ready(say, demo=demo, network=network)
        sealing = Sealing(datetime.now(UTC)) if network else None
        _greet(url, sealing, say, "" if open_now else word)
        _run(listening, say, sealing)


_DEMO_STAYS = worded("The demo stays on this machine: leave out --network, or serve your own workshop.")


def _settle(own: str, *, demo: bool, network: bool) -> str:
    """What settings read when they load: who is answered to, which home, and the word that opens; return the word."""
    # Not under the name that a shop tells its own names by: those of the machine change, what was told does not.
    os.environ["PINCHBOLT_ANSWERS_TO"] = ",".join(own_names(network=network))
    os.environ["PINCHBOLT_SEALED"] = "yes" if network else ""
    word = "".join(secrets.choice("abcdefghjkmnpqrstuvwxyz") for _ in range(6))
    os.environ["PINCHBOLT_OPENING_WORD"] = word
    os.environ["PINCHBOLT_OWN_ADDRESS"] = own
    if demo:
        into_the_demo()
    return word


def _listen(host: str, port: int) -> socket.socket:
    """Take the port before anything else is done, so that a taken one costs nobody a wait."""
    listening = socket.socket(socket.AF_INET, socket.SOCK_STREAM)
    if os.name != "nt":
        listening.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
    try:
        listening.bind((host, port))
        listening.listen(64)
    except OSError as error:
        listening.close()
        if error.errno in (errno.EADDRINUSE, errno.EACCES):
            why = (
                worded("taken by another program")
                if error.errno == errno.EADDRINUSE
                else worded("not open to this user")
            )
            other = port + 1 if 1024 <= port < 65535 else 8010
            raise NotPossibleNow(
                worded(
                    "Port {port} is {why}: choose another one. Try: pinchbolt serve --port {other}",
                    port=port,
                    why=why,
                    other=other,
                )
            ) from None
        raise
    return listening


def _make_ready(say: Say, *, demo: bool, network: bool) -> bool:
    """Database up to this release; the invented workshop where that is asked for. Returns whether somebody works here."""
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "pinchbolt.serving.settings")
    import django

    django.setup()
    from django.conf import settings

    from pinchbolt.serving.migrating import migrate
    from pinchbolt.workshop.acts.lookups import has_workshop, terms
    from pinchbolt.workshop.acts.open_workshop import is_open

    Path(settings.STATIC_ROOT).mkdir(parents=True, exist_ok=True)
    migrate()
    if demo and not has_workshop():
        say(worded("Loading the invented workshop, which takes about a minute."))
        from pinchbolt.serving.making_demo import make_the_demo

        make_the_demo()
    if network and has_workshop() and terms().is_demo:
        raise NotPossibleNow(_DEMO_STAYS)
    if demo:
        say(worded("The invented people and their words stand on the sign-in page."))
    return is_open()


def _greet(url: str, sealing: Sealing | None, say: Say, word: str) -> None:
    port = url.rpartition(":")[2]
    if word:
        # Only this machine may open the workshop, whoever else it is served to.
        say(worded("No one is set up here yet. On this machine, open the workshop or look around:"))
        from django.urls import reverse

        doors = f"{reverse('two_doors')}?word={word}"
        say(worded("Open http://127.0.0.1:{port}{doors}   (stop with Ctrl+C)", port=port, doors=doors))
        say(
            worded("Other machines are told to wait until it is open.")
            if sealing
            else worded("Or: pinchbolt open")
        )
        return
    say(worded("Open {url}   (stop with Ctrl+C)", url=url))
    if sealing is None:
        say(worded("For tablets in the workshop: pinchbolt serve --network"))
        return
    _greet_tablets(url, sealing, say)


def _greet_tablets(url: str, sealing: Sealing, say: Say) -> None:
    """How a tablet comes in: its first look is at the page that tells how to trust this machine."""
    import segno
    from django.urls import reverse

    from pinchbolt.serving.authority import authority_file, fingerprint

    first = f"{url.replace('https', 'http', 1)}{reverse('sealed')}"
    say(worded("On a tablet in the same network, point its camera here, or type {first}", first=first))
    segno.make(first.upper(), micro=False).terminal(compact=True)
    say(
        worded(
            "It shows how the tablet comes to trust this machine, once. What goes between them "
            "is sealed after that."
        )
    )
    say(
        worded("Compare on the tablet: {fingerprint}", fingerprint=fingerprint(authority_file().read_bytes()))
    )
    if sealing.vouched.left_out:
        say(
            worded(
                "{left_out}: outside a workshop's own network, so https does not hold for it. Use "
                "another name, or a machine in the workshop's own network.",
                left_out=worded(" and ").join(sealing.vouched.left_out),
            )
        )


def _run(listening: socket.socket, say: Say, sealing: Sealing | None) -> None:
    from pinchbolt.engines.day import make_quick
    from pinchbolt.serving.wsgi import application

    server = make_server(application, listening, sealing)
    keeper = Keeper(_chores(sealing), lambda: datetime.now(UTC))
    signal.signal(signal.SIGTERM, _stop)
    keeper.start()
    # Who asks before that is answered over arrays; the very first time it is compiled, which takes some seconds.
    Thread(target=make_quick, name="compiled", daemon=True).start()
    try:
        # Ends by itself on Ctrl+C and on SystemExit, after the requests in hand are answered.
        server.run()
    finally:
        keeper.stop()
        server.close()
    say(worded("Stopped. What was written down is kept."))


def make_server(application: object, listening: socket.socket, sealing: Sealing | None) -> "WSGIServer":
    """Return the server on a listening socket, ready to run; with *sealing* it speaks https to whoever asks for it."""
    from waitress.server import create_server

    server = create_server(
        application,
        sockets=[listening],
        threads=_THREADS,
        ident=None,
        max_request_body_size=_MOST_BYTES,
        connection_limit=_room_for(_MOST_CONNECTIONS),
        # select() ends at 1024.
        asyncore_use_poll=True,
        channel_timeout=_IDLE_S,
        clear_untrusted_proxy_headers=True,
    )
    if sealing is not None:
        from pinchbolt.serving.sealed_channel import SealedChannel

        server.channel_class, server.sealing = SealedChannel, sealing.context
    return server


def _chores(sealing: Sealing | None) -> list[Chore]:
    """What is seen to every minute."""
    # After the settings, which choose the library of the database.
    from pinchbolt.serving.keeping_copies import CopyKeeper

    copies = CopyKeeper()
    chores: list[Chore] = [Sweeper().minute, copies.daily, copies.minute]
    if sealing is not None:
        chores.append(lambda now: _move(sealing, now))
    return chores


def _move(sealing: Sealing, now: datetime) -> None:
    """After a move to another address: answer to it, vouched for."""
    from django.conf import settings

    if sealing.look_again(now, away=own_address() == NO_NETWORK):
        settings.ALLOWED_HOSTS[:] = sealing.names


def _room_for(connections: int) -> int:
    """How many connections this machine lets a program hold, up to so many, with some files to spare for the records."""
    try:
        import resource
    except ImportError:
        # Windows has no such bound.
        return connections
    soft, hard = resource.getrlimit(resource.RLIMIT_NOFILE)
    wanted = connections + 200
    if soft != resource.RLIM_INFINITY and soft < wanted:
        soft = wanted if hard == resource.RLIM_INFINITY else min(wanted, hard)
        resource.setrlimit(resource.RLIMIT_NOFILE, (soft, hard))
    return connections if soft == resource.RLIM_INFINITY else max(100, min(connections, soft - 200))


def _stop(*_: object) -> None:
    raise SystemExit(0)
