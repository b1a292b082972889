"""Random jobs through the use cases say what a plain account in coins says; `make fuzz-money` plays 2,000."""

import os
import random

import pytest

from pinchbolt import reference
from pinchbolt.records.models import Bill, Workshop, now_amiss
from pinchbolt.reference.tables_type import Tables
from pinchbolt.workshop.common.trade_tables import read_tables_again, tables
from pinchbolt.workshop.leaving.bill import BillView, bills_between
from pinchbolt.workshop.leaving.bills_csv import bill_rows
from tests import story
from tests.second_way.random_jobs import CURRENCIES, Shop, compare_bill, gapless, one_job

pytestmark = pytest.mark.django_db
JOBS, SEED = int(os.environ.get("PINCHBOLT_JOBS", "8")), int(os.environ.get("PINCHBOLT_SEED", "8131"))


def play(jobs: int, seed: int, patch: pytest.MonkeyPatch) -> tuple[Shop, list[BillView]]:
    """Play so many jobs in one shop, each bill beside a plain account of it; the shop, and the bills as they were made."""
    ines, _ = story.open_shop()
    Workshop.objects.update(stands=1)
    shop, own = Shop(ines.pk, random.Random(seed), story.NOW), tables()

    def set_menu(menu: Tables) -> None:
        patch.setattr(reference, "load", lambda *_: menu)
        read_tables_again()

    made = []
    for _ in range(jobs):
        _, account, bill = one_job(shop, set_menu, own)
        compare_bill(bill, account)
        made += [bill] if bill is not None else []
    return shop, made


def test_random_jobs_cost_what_was_told() -> None:
    """Lines == sum == agreed == to pay for what is done == bill, and the bills gapless and equal to the books."""
    own = tables()
    try:
        with pytest.MonkeyPatch.context() as patch:
            shop, made = play(JOBS, SEED, patch)
    finally:
        # After the patch is gone: what is read now is what every test after this one goes by.
        read_tables_again()
    assert tables() == own
    assert now_amiss() == ()
    assert gapless() and Bill.objects.exists()
    bills = bills_between(story.TODAY, shop.now.date())
    # Whatever rate, tax, currency and menu came after it, each says what it said when it was made.
    assert bills == tuple(made)
    for currency in CURRENCIES:
        own = [bill for bill in bills if bill.currency == currency]
        assert sum(row.gross for row in bill_rows(own)) == sum(bill.total for bill in own)
