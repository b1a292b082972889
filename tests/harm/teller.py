"""One teller: bikes in, one line done, handed over with a bill, again and again; prints each bill's number once it is saved.

Run as `python -m tests.harm.teller HOW_MANY STAND`, killed from outside when the test has seen enough.
"""

import sys
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

    def mark() -> dict[str, object]:
        return {"by": by, "key": uuid4().hex, "now": timezone.now()}

    for _ in range(how_many):
        try:
            job = check_in(CheckInRequest(template="child", owner_name="Pip"), **mark()).job  # type: ignore[arg-type]
            line = propose(ProposeRequest(job, "wash"), **mark()).line  # type: ignore[arg-type]
            ask_owner(PriceRequest(job), **mark())  # type: ignore[arg-type]
            answer(AnswerRequest(job, {line: True}), **mark())  # type: ignore[arg-type]
            start_work(StandRequest(job, stand), **mark())  # type: ignore[arg-type]
            finish_line(LineDoneRequest(job, line), **mark())  # type: ignore[arg-type]
            leave = HandOverRequest(job, acknowledged=True, as_unsafe=True, paid="cash")
            sys.stdout.write(f"{hand_over(leave, **mark()).bill}\n")  # type: ignore[arg-type]
            sys.stdout.flush()
        except OperationalError:
            # Too busy: what was begun is not written; the next bike.
            continue


if __name__ == "__main__":
    main(int(sys.argv[1]), int(sys.argv[2]))
