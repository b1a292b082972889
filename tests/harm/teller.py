"""Two tellers at once: bikes in, one line done, handed over with a bill, again and again, and killed in the middle of the next bike.

Run as `python -m tests.harm.teller ROUNDS`; says as JSON each bill's number that a teller said once it was saved. The tellers are split
off from a process that has everything loaded, so that a round takes seconds.
"""

import json
import os
import signal
import sys
from collections.abc import Callable
from typing import IO, Any
from uuid import uuid4

import django


def main(rounds: int) -> None:
    """Open the shop, and play so many rounds."""
    django.setup()
    from django.db import connections

    from pinchbolt.records.models import Workshop
    from pinchbolt.serving.migrating import migrate
    from tests import story

    migrate()
    by, _ = story.open_shop()
    # A killed teller leaves its bike on its stand: each has one of its own.
    Workshop.objects.update(stands=2 * rounds)
    said: list[str] = []
    for number in range(rounds):
        connections.close_all()
        tellers = [_begun(by.pk, 2 * number + one) for one in (1, 2)]
        for _, told in tellers:
            said += [told.readline() for _ in range(2)]
            assert said[-1], "a teller stopped by itself"
        for teller, told in tellers:
            os.kill(teller, signal.SIGKILL)
            os.waitpid(teller, 0)
            said += told.readlines()
            told.close()
    # The last word of one who was killed may be half a word.
    json.dump([line.strip() for line in said if line.endswith("\n")], sys.stdout)


def _begun(by: int, stand: int) -> tuple[int, IO[str]]:
    """A teller in a process of its own at this stand, and what is said there."""
    told, into = os.pipe()
    teller = os.fork()
    if teller == 0:
        try:
            os.close(told)
            _hand_over(by, stand, os.fdopen(into, "w"))
        finally:
            os._exit(1)
    os.close(into)
    return teller, os.fdopen(told)


def _hand_over(by: int, stand: int, into: IO[str]) -> None:
    """Hand bikes over until somebody kills this process."""
    from django.db.utils import OperationalError
    from django.utils import timezone

    from pinchbolt.workshop.leaving.hand_over import HandOverRequest, hand_over
    from pinchbolt.workshop.stays.answer import AnswerRequest, answer
    from pinchbolt.workshop.stays.check_in import CheckInRequest, check_in
    from pinchbolt.workshop.stays.price import PriceRequest, ask_owner
    from pinchbolt.workshop.stays.propose import ProposeRequest, propose
    from pinchbolt.workshop.stays.start_work import LineDoneRequest, StandRequest, finish_line, start_work

    def do(use_case: Callable[..., Any], request: object) -> Any:
        """Act; where the records are too busy the same request goes again with the same mark, as a tablet sends it."""
        key = uuid4().hex
        while True:
            try:
                return use_case(request, by=by, key=key, now=timezone.now())
            except OperationalError:
                continue

    while True:
        job = do(check_in, CheckInRequest(template="child", owner_name="Pip")).job
        line = do(propose, ProposeRequest(job, "wash")).line
        do(ask_owner, PriceRequest(job))
        do(answer, AnswerRequest(job, {line: True}))
        do(start_work, StandRequest(job, stand))
        do(finish_line, LineDoneRequest(job, line))
        leave = HandOverRequest(job, acknowledged=True, as_unsafe=True, paid="cash")
        into.write(f"{do(hand_over, leave).bill}\n")
        into.flush()


if __name__ == "__main__":
    main(int(sys.argv[1]))
