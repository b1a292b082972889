"""The eye's process: begun when a photo is to be read, given a time, and killed when it is over.

A text reader is a big piece of foreign code that works on bytes from anywhere: whatever happens to it happens to its own process.
"""

import json
import subprocess
import sys
import threading
from collections.abc import Sequence
from contextlib import suppress
from dataclasses import dataclass
from importlib.metadata import PackageNotFoundError, version
from types import TracebackType
from typing import IO, Self

# What a photo may take from the first byte to the last, loading the reader included. [s] Own choice: longer, and typing is quicker.
MOST_SECONDS = 20.0
# What the eye may say of one photo. [bytes]
MOST_SAID = 2_000_000
NEEDED = ("rapidocr-onnxruntime", "opencv-python")
# Photos that are read at once on one machine: each takes a core and some 300 MB. Others wait, as long as theirs may take.
AT_ONCE = 2
_PLACES = threading.BoundedSemaphore(AT_ONCE)
_COMMAND = (sys.executable, "-m", "pinchbolt.eye.eye_child")


class EyeAway(Exception):
    """The eye can't read just now; `sentence` says why, for people."""

    def __init__(self, sentence: str) -> None:
        super().__init__(sentence)
        self.sentence = sentence


@dataclass(frozen=True, slots=True)
class EyeText:
    """One text that was seen: the text, how sure, where as shares of the photo, on which copy of which cut."""

    text: str
    score: float
    box: tuple[float, float, float, float]
    copy: str
    cut: str


class Eye:
    """A text reader in a process of its own; `with Eye() as eye: eye.texts(photo)` for one photo or many."""

    def __init__(self, seconds: float = MOST_SECONDS, command: Sequence[str] | None = None) -> None:
        self.seconds = seconds
        self.command = tuple(command or _COMMAND)
        self.own = command is None
        self.process: subprocess.Popen[bytes] | None = None

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, value: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.close()

    def close(self) -> None:
        """End the process, whatever it is doing."""
        process, self.process = self.process, None
        if process is None:
            return
        process.kill()
        process.wait()
        for pipe in (process.stdin, process.stdout):
            if pipe is not None:
                # What was still to be written goes nowhere: the reader is gone.
                with suppress(BrokenPipeError):
                    pipe.close()

    def texts(self, photo: bytes) -> tuple[EyeText, ...]:
        """Return every text on every copy of a photo.

        Raises:
            EyeAway: The reader is not installed, does not start, crashed, took too long (its process is gone), or is busy.
        """
        if not _PLACES.acquire(timeout=self.seconds):
            raise EyeAway("The text reader is busy with other photos.")
        try:
            return self._texts(photo)
        finally:
            _PLACES.release()

    def _texts(self, photo: bytes) -> tuple[EyeText, ...]:
        process = self._begun()
        # The alarm is one for writing and reading: a process that takes no bytes hangs as well as one that gives none.
        late = threading.Event()

        def stop() -> None:
            late.set()
            process.kill()

        alarm = threading.Timer(self.seconds, stop)
        alarm.daemon = True
        alarm.start()
        try:
            said = _asked(process, photo)
        finally:
            alarm.cancel()
        found = _understood(said)
        if found is None:
            self.close()
            if late.is_set():
                raise EyeAway(f"The text reader took more than {self.seconds:g} s and was stopped.")
            raise EyeAway("The text reader stopped in the middle of its work.")
        return found

    def _begun(self) -> "subprocess.Popen[bytes]":
        if self.process is not None and self.process.poll() is None:
            return self.process
        self.close()
        if self.own and not installed():
            raise EyeAway("The text reader is not installed here.")
        try:
            self.process = subprocess.Popen(
                self.command, stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL
            )
        except OSError as fault:
            raise EyeAway("The text reader does not start on this machine.") from fault
        return self.process


def installed() -> bool:
    """Whether the text reader lies on this machine; it is not loaded for that."""
    try:
        return all(version(name) for name in NEEDED)
    except PackageNotFoundError:
        return False


def _asked(process: "subprocess.Popen[bytes]", photo: bytes) -> bytes:
    """What the process says to a photo: one line; nothing where it died."""
    to, back = process.stdin, process.stdout
    if to is None or back is None:
        return b""
    try:
        _give(to, photo)
    except OSError:
        return b""
    return back.readline(MOST_SAID)


def _give(to: IO[bytes], photo: bytes) -> None:
    to.write(len(photo).to_bytes(4, "big") + photo)
    to.flush()


def _understood(said: bytes) -> tuple[EyeText, ...] | None:
    """The line as texts; None where it is broken off or no answer of ours."""
    if not said.endswith(b"\n"):
        return None
    try:
        rows = json.loads(said)["seen"]
        return tuple(
            EyeText(
                str(row["text"]), float(row["score"]), _box(row["box"]), str(row["copy"]), str(row["cut"])
            )
            for row in rows
        )
    except (ValueError, KeyError, TypeError):
        return None


def _box(told: Sequence[float]) -> tuple[float, float, float, float]:
    left, top, right, bottom = (float(one) for one in told)
    return left, top, right, bottom
