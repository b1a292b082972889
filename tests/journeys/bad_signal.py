"""A bad signal between a browser and the server: a door that is shut, or that loses answers after the server has written."""

import random
import socket
import threading
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from typing import TypeVar

from tests.servers import free_port

_PIECE, PATIENCE_S = 65536, 60.0


class BadSignal:
    """The door at `port`. Shut, it ends every connection; `lost` is the share of answers to acts that never arrive."""

    def __init__(self, onward: int, lost: float = 0.0, seed: int = 11) -> None:
        self.onward, self.lost, self.port = onward, lost, free_port()
        self.is_shut = False
        self.answers_lost = 0
        self._chance = random.Random(seed)
        self._way = threading.Event()
        self._way.set()
        self._stands = threading.Event()
        self._door = socket.create_server(("127.0.0.1", self.port), backlog=64)
        self._open: set[socket.socket] = set()

    @property
    def address(self) -> str:
        """Where the browser goes."""
        return f"http://127.0.0.1:{self.port}"

    def shut(self) -> None:
        """The signal is gone, also for what is under way."""
        self.is_shut = True
        for one in list(self._open):
            with suppress(OSError):
                one.shutdown(socket.SHUT_RDWR)

    def open(self) -> None:
        """The signal is back."""
        self.is_shut = False

    def hold(self) -> None:
        """What is sent from a tablet's box stands at the door until it is let on."""
        self._stands.clear()
        self._way.clear()

    def until_one_stands(self) -> None:
        """Wait until something from a tablet's box stands at the door, whoever of the tablet sent it and when."""
        assert self._stands.wait(PATIENCE_S), "nothing was sent"

    def let_on(self) -> None:
        """What stands at the door goes on."""
        self._way.set()

    def lost_where(self, asked: bytes) -> str:
        """Whether this request is lost on its way there, or its answer on its way back; nothing where neither is."""
        return "on its way back" if _is_act(asked) and self._chance.random() < self.lost else ""

    def serve(self) -> None:
        """Let connections in until the door is closed."""
        while True:
            try:
                near, _ = self._door.accept()
            except OSError:
                return
            threading.Thread(target=self._pass_on, args=(near,), daemon=True).start()

    def close(self) -> None:
        """No more connections."""
        self.shut()
        self._door.close()

    def _pass_on(self, near: socket.socket) -> None:
        """One request and its answer a connection, so that an answer can be lost whole."""
        with near, suppress(OSError):
            if self.is_shut:
                return
            self._open.add(near)
            asked = _request(near)
            if not asked or self.is_shut:
                return
            if _is_act(asked):
                self._stands.set()
                self._way.wait(PATIENCE_S)
            where = self.lost_where(asked)
            if where == "on its way there":
                return
            with socket.create_connection(("127.0.0.1", self.onward)) as far:
                self._open.add(far)
                far.sendall(_closing(asked))
                answer = b"".join(iter(lambda: far.recv(_PIECE), b""))
                self._open.discard(far)
            if where == "on its way back":
                self.answers_lost += 1
                return
            if not self.is_shut:
                near.sendall(answer)
            self._open.discard(near)


Door = TypeVar("Door", bound=BadSignal)


def _is_act(asked: bytes) -> bool:
    """Whether it comes from a tablet's box."""
    return asked.startswith(b"POST") and b"x-act-by:" in asked[:4000].lower()


def _request(near: socket.socket) -> bytes:
    """A whole request: its head, and as much after it as its head says."""
    asked = b""
    while b"\r\n\r\n" not in asked:
        piece = near.recv(_PIECE)
        if not piece:
            return b""
        asked += piece
    head, _, rest = asked.partition(b"\r\n\r\n")
    length = next(
        (int(line[15:]) for line in head.split(b"\r\n") if line.lower().startswith(b"content-length:")), 0
    )
    while len(rest) < length:
        piece = near.recv(_PIECE)
        if not piece:
            return b""
        asked, rest = asked + piece, rest + piece
    return asked


def _closing(asked: bytes) -> bytes:
    """The same request on a connection that ends with its answer."""
    head, _, rest = asked.partition(b"\r\n\r\n")
    lines = [line for line in head.split(b"\r\n") if not line.lower().startswith(b"connection:")]
    return b"\r\n".join([*lines, b"Connection: close"]) + b"\r\n\r\n" + rest


@contextmanager
def bad_signal(onward: int, lost: float = 0.0) -> Iterator[BadSignal]:
    """A door before the server at port *onward*, which loses that share of answers."""
    with standing(BadSignal(onward, lost)) as door:
        yield door


@contextmanager
def standing(door: Door) -> Iterator[Door]:
    """This door, as long as the block lasts."""
    thread = threading.Thread(target=door.serve, daemon=True)
    thread.start()
    try:
        yield door
    finally:
        door.close()
        thread.join(5)
