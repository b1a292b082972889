"""The eye's process: whatever happens to it, whoever asked goes on."""

import sys
import time
from concurrent.futures import ThreadPoolExecutor

import pytest

from pinchbolt.eye import Eye, EyeAway

SAYS = (
    "import sys, json\n"
    "while len(head := sys.stdin.buffer.read(4)) == 4:\n"
    "    sys.stdin.buffer.read(int.from_bytes(head, 'big'))\n"
    "    print(json.dumps({'seen': [{'text': '5 Nm', 'score': 0.9, 'box': [0, 0, 1, 1], 'copy': 'a', 'cut': 'a'}]}), flush=True)\n"
)


def eye(program: str, seconds: float = 20.0) -> Eye:
    """An eye whose process runs *program*."""
    return Eye(seconds, (sys.executable, "-c", program))


def test_photo_after_photo_is_answered_by_one_process():
    """The reader is loaded once for many photos, and gone at the end."""
    with eye(SAYS) as one:
        assert [text.text for text in one.texts(b"photo")] == ["5 Nm"]
        first = one.process
        assert one.texts(b"another")[0].box == (0.0, 0.0, 1.0, 1.0)
        assert one.process is first
    assert first is not None and first.poll() is not None


@pytest.mark.parametrize(
    "program",
    [
        "import sys; sys.exit(3)",
        "import os; os.abort()",
        "print('no answer of ours')",
        "print('{\"seen\": [{}]}')",
        "import sys; sys.stdout.write('{\"seen\": ['); sys.stdout.flush()",
    ],
)
def test_a_reader_that_crashes_or_babbles_says_so(program):
    """One sentence, and no process is left."""
    one = eye(program)
    with pytest.raises(EyeAway, match="stopped in the middle"):
        one.texts(b"photo")
    assert one.process is None


@pytest.mark.parametrize("photo", [b"photo", b"x" * 5_000_000])
def test_a_reader_that_hangs_is_killed(photo):
    """Whether it takes no photo or gives no answer: after its time it is gone, and the next photo finds a new one."""
    one = eye("import time; time.sleep(60)", seconds=0.5)
    before = time.monotonic()
    with pytest.raises(EyeAway, match=r"more than 0\.5 s and was stopped"):
        one.texts(photo)
    assert time.monotonic() - before < 15
    assert one.process is None


def test_more_photos_than_there_is_room_for_wait_their_turn():
    """Four people at once: all are answered, and never more than two processes work."""
    slow = SAYS.replace("    print(", "    import time; time.sleep(0.3)\n    print(")
    begun = time.monotonic()

    def ask(_number: int) -> str:
        with eye(slow) as one:
            return one.texts(b"photo")[0].text

    with ThreadPoolExecutor(4) as people:
        assert list(people.map(ask, range(4))) == ["5 Nm"] * 4
    assert time.monotonic() - begun > 0.6


def test_who_waits_too_long_is_told_that_it_is_busy():
    """And types."""
    with ThreadPoolExecutor(2) as people:
        hanging = [
            people.submit(eye("import time; time.sleep(60)", seconds=3.0).texts, b"photo") for _ in range(2)
        ]
        time.sleep(0.7)
        with pytest.raises(EyeAway, match="busy"):
            eye(SAYS, seconds=0.2).texts(b"photo")
        assert all(isinstance(one.exception(), EyeAway) for one in hanging)


def test_a_reader_that_is_not_there_says_so():
    """No such program on this machine."""
    with pytest.raises(EyeAway, match="does not start"):
        Eye(command=("no-such-program-here",)).texts(b"photo")
