"""One teller: bikes in, one line done, handed over with a bill, again and again; prints each bill's number once it is saved.

Run as `python -m tests.harm.teller HOW_MANY STAND`, killed from outside when the test has seen enough.
"""

import sys
from collections.abc import Callable
from typing import Any
from uuid import uuid4

import django


def main(how_many: int, stand: int) -> None:
    """Hand so many bikes over."""
    django.setup()
    from django.conf import settings
    from django.db.utils import OperationalError
    from django.utils import timezone

    from pinchbolt.records.models import Person
    from pinchbolt.workshop.leaving.hand_over import HandOverRequest, hand_over
    from pinchbolt.workshop.stays.answer import AnswerRequest, answer
    from pinchbolt.workshop.stays.check_in import CheckInRequest, check_in
    from pinchbolt.workshop.stays.price import PriceRequest, ask_owner
    from pinchbolt.workshop.stays.propose import ProposeRequest, propose
    from pinchbolt.workshop.stays.start_work import LineDoneRequest, StandRequest, finish_line, start_work

    assert settings.DATABASES
    by = Person.objects.order_by("pk")[0].pk

    def do(use_case: Callable[..., Any], request: object) -> Any:
        """Act; where the records are too busy the same request goes again with the same mark, as a tablet sends it."""
        key = uuid4().hex
        while True:
            try:
                return use_case(request, by=by, key=key, now=timezone.now())
            except OperationalError:
                continue

    for _ in range(how_many):
        job = do(check_in, CheckInRequest(template="child", owner_name="Pip")).job
        line = do(propose, ProposeRequest(job, "wash")).line
        do(ask_owner, PriceRequest(job))
        do(answer, AnswerRequest(job, {line: True}))
        do(start_work, StandRequest(job, stand))
        do(finish_line, LineDoneRequest(job, line))
        leave = HandOverRequest(job, acknowledged=True, as_unsafe=True, paid="cash")
        sys.stdout.write(f"{do(hand_over, leave).bill}\n")
        sys.stdout.flush()


if __name__ == "__main__":
    main(int(sys.argv[1]), int(sys.argv[2]))
