"""A connection that is told by its first byte: a TLS hand-shake is answered with TLS, anything else as plain HTTP on the same port.

So an address has one port, whichever way it was typed or printed. What comes in the clear from elsewhere is only sent on to
https (sealed_guard.py). Nothing here waits: a hand-shake that stalls holds its own connection and nobody else's.
"""

import copy
import socket as sockets
import ssl
import threading
import time
from collections.abc import Callable

from waitress.adjustments import Adjustments
from waitress.channel import HTTPChannel
from waitress.server import TcpWSGIServer

_HAND_SHAKE = b"\x16"
"""First byte of a TLS record that begins a hand-shake (RFC 8446, 5.1)."""
_LATER = (ssl.SSLWantReadError, ssl.SSLWantWriteError)


class SealedServer(TcpWSGIServer):  # type: ignore[misc]
    """The usual server, whose connections may begin with TLS; `sealing` gives what new ones are wrapped with."""

    sealing: Callable[[], ssl.SSLContext]


class SealedChannel(HTTPChannel):  # type: ignore[misc]
    """One connection. Reading is the loop's, writing also a worker's: TLS is touched by one of them at a time."""

    socket: sockets.socket
    adj: Adjustments

    def __init__(
        self,
        server: SealedServer,
        sock: sockets.socket,
        addr: tuple[str, int],
        adj: Adjustments,
        map: dict[int, object] | None = None,
    ) -> None:
        self._begun = False
        self._tls: ssl.SSLSocket | None = None
        self._is_shaken = False
        self._waits_to_write = False
        self._one = threading.RLock()
        super().__init__(server, sock, addr, adj, map=map)

    def writable(self) -> bool:
        """Whether there is something to send, hand-shake included."""
        return bool(self._waits_to_write or super().writable())

    def handle_read(self) -> None:
        """Read what came: the first byte, the hand-shake, then requests."""
        if not self._begun and not self._begin():
            return
        if self._tls is None:
            super().handle_read()
            return
        if not self._is_shaken and not self._shake():
            return
        try:
            data = self._read(self._tls)
        except _LATER:
            return
        except OSError:
            self.handle_close()
            return
        if data:
            self.last_activity = time.time()
            self.received(data)
        else:
            self.handle_close()

    def handle_write(self) -> None:
        """Go on with the hand-shake, or send what waits."""
        if self._waits_to_write and not self.will_close:
            self._shake()
            return
        super().handle_write()

    def send(self, data: bytes, do_close: bool = True) -> int:
        """Send as much as goes now; 0 where nothing does."""
        with self._one:
            try:
                return int(super().send(data, do_close))
            except _LATER:
                return 0

    def close(self) -> None:
        """Close, when nobody is in the middle of a word."""
        with self._one:
            super().close()

    def _begin(self) -> bool:
        """Look at the first byte without taking it."""
        try:
            first = self.socket.recv(1, sockets.MSG_PEEK)
        except BlockingIOError:
            return False
        except OSError:
            first = b""
        if not first:
            self.handle_close()
            return False
        self._begun = True
        if first == _HAND_SHAKE:
            with self._one:
                self._tls = self.server.sealing().wrap_socket(
                    self.socket, server_side=True, do_handshake_on_connect=False
                )
                self.socket = self._tls
                self.adj = _sealed(self.adj)
        return True

    def _shake(self) -> bool:
        """Go on with the hand-shake; return whether it is done."""
        try:
            with self._one:
                self._tls.do_handshake()  # type: ignore[union-attr]
        except ssl.SSLWantReadError:
            self._waits_to_write = False
            return False
        except ssl.SSLWantWriteError:
            self._waits_to_write = True
            return False
        except (OSError, ValueError):
            # A tablet that does not know the authority yet, or no TLS at all.
            self.handle_close()
            return False
        self._is_shaken, self._waits_to_write = True, False
        return True

    def _read(self, tls: ssl.SSLSocket) -> bytes:
        """All that is deciphered: what stayed inside would never wake the loop."""
        with self._one:
            data = tls.recv(self.adj.recv_bytes)
            while data and (more := tls.pending()):
                data += tls.recv(more)
            return data


def _sealed(adj: Adjustments) -> Adjustments:
    """The same server's ways, for requests that come by TLS."""
    sealed = copy.copy(adj)
    sealed.url_scheme = "https"
    return sealed
