"""Random jobs through the use cases, each followed by a plain account of its own in whole coins.

Between the acts the shop changes its rate, its tax and its menu; owners answer anything. The account knows only what the
owner was told: a price a line at each asking, and which lines were done.
"""

import random
from dataclasses import dataclass, field, replace
from datetime import datetime, timedelta
from decimal import Decimal

from pinchbolt.errors import InputRefused, NotPossibleNow
from pinchbolt.records.models import Bill, Event, Job, Workshop
from pinchbolt.reference.tables_type import Tables
from pinchbolt.workshop.acts.lookups import job_by_id
from pinchbolt.workshop.acts.one_look import one_look
from pinchbolt.workshop.bikes.build_sheet import build_of
from pinchbolt.workshop.came_up.undo_act import UndoRequest, undo_act
from pinchbolt.workshop.common.trade_tables import tables
from pinchbolt.workshop.leaving.bill import BillView, standing_bill
from pinchbolt.workshop.leaving.hand_over import HandOverRequest, hand_over
from pinchbolt.workshop.stays.answer import AnswerRequest, answer
from pinchbolt.workshop.stays.check_in import CheckInRequest, check_in
from pinchbolt.workshop.stays.discount import DISCOUNT, GOODWILL
from pinchbolt.workshop.stays.give_discount import DiscountRequest, give_discount
from pinchbolt.workshop.stays.line_parts import LinePart
from pinchbolt.workshop.stays.off_the_bill import GiveBackRequest, LetOffRequest, give_back, let_off
from pinchbolt.workshop.stays.own_lines import MinutesRequest, OwnLineRequest, own_line, set_minutes
from pinchbolt.workshop.stays.price import EstimateView, PriceRequest, ask_owner, estimate
from pinchbolt.workshop.stays.propose import ProposeRequest, WithdrawRequest, ends_of, propose, withdraw
from pinchbolt.workshop.stays.start_work import LineDoneRequest, StandRequest, finish_line, start_work
from pinchbolt.workshop.stays.who_pays import PaidByRequest, say_who_pays

CURRENCIES = ("GBP", "EUR", "CHF", "SEK")
RATES = ("0", "5", "7.7", "8.1", "17.5", "19", "20", "25.5")


@dataclass
class Account:
    """What the owner was told of each line, in coins, and what became of it.

    `free` are let off or borne by somebody else, `borne` the latter; `off` is what is taken off the whole, in order: a share in
    thousandths, or coins.
    """

    told: dict[int, int] = field(default_factory=dict)
    place: dict[int, str] = field(default_factory=dict)
    agreed: set[int] = field(default_factory=set)
    done: set[int] = field(default_factory=set)
    free: set[int] = field(default_factory=set)
    borne: set[int] = field(default_factory=set)
    off: dict[str, tuple[int | None, int]] = field(default_factory=dict)

    def coins(self, lines: set[int]) -> int:
        """The sum of what was told of these lines, less what is taken off it; halves of a coin go up."""
        whole = sum(self.told[line] for line in lines)
        for share, amount in self.off.values():
            whole -= min(amount, whole) if share is None else (2 * whole * share + 1000) // 2000
        return whole

    @property
    def to_pay(self) -> int:
        """What was agreed, done, and not let off."""
        return self.coins((self.agreed & self.done) - self.free)


@dataclass
class Shop:
    """A shop in which random jobs are done: who acts, and chance."""

    by: int
    chance: random.Random
    now: datetime
    marks: int = 0

    def mark(self) -> dict[str, object]:
        """Who, when, and the next request mark."""
        self.marks += 1
        return {"by": self.by, "key": f"random-{self.marks:07d}", "now": self.now}


def coins(amount: Decimal) -> int:
    """An amount in coins of a hundredth; anything finer is a fault."""
    whole = amount * 100
    assert whole == int(whole), amount
    return int(whole)


def other_menu(own: Tables, chance: random.Random) -> Tables:
    """The menu with other minutes, and one operation gone from it."""
    rows = dict(own.operations)
    gone = chance.choice(sorted(rows))
    for name in chance.sample(sorted(rows), 12):
        low, usual, high = rows[name].minutes
        more = chance.randint(0, 40)
        rows[name] = replace(rows[name], minutes=(low, usual + more, high + 2 * more))
    return replace(own, operations={name: row for name, row in rows.items() if name != gone})


def one_job(shop: Shop, set_menu: object, own: Tables) -> tuple[Job, Account, BillView | None]:
    """Play a job from the check-in to the handover; the account is compared after every act that moves money."""
    chance, account = shop.chance, Account()
    # All of these have coins of a hundredth, in which the account is kept.
    Workshop.objects.update(currency=chance.choice(CURRENCIES))
    asked = CheckInRequest(template=chance.choice(sorted(own.templates)), owner_name="Dov Ellenby")
    job = job_by_id(check_in(asked, **shop.mark()).job)  # type: ignore[arg-type]
    for _ in range(chance.randint(1, 3)):
        change_shop(shop, set_menu, own)
        lines = [some_line(shop, job, account) for _ in range(chance.randint(1, 5))]
        if chance.random() < 0.3 and lines[0]:
            withdraw(WithdrawRequest(job.pk, lines[0]), **shop.mark())  # type: ignore[arg-type]
        if any(not line.asking for line in estimate(job).lines):
            for line in ask_owner(PriceRequest(job.pk), **shop.mark()).lines:  # type: ignore[arg-type]
                account.told[line.id] = coins(line.money.total)
        change_shop(shop, set_menu, own)
        # What is only read between two acts is looked up once: the run of 2,000 is half as long for it.
        with one_look():
            compare(estimate(job), account)
            said = some_answers(shop, job, account)
        if said:
            compare(answer(AnswerRequest(job.pk, said), **shop.mark()), account)  # type: ignore[arg-type]
        some_work(shop, job, account)
        some_off(shop, job, account)
        with one_look():
            compare(estimate(job), account)
    change_shop(shop, set_menu, own)
    leave = HandOverRequest(job.pk, acknowledged=True, as_unsafe=True)
    hand_over(leave, **shop.mark())  # type: ignore[arg-type]
    compare(estimate(job), account)
    return job, account, standing_bill(job)


def change_shop(shop: Shop, set_menu: object, own: Tables) -> None:
    """Another rate, another tax, another menu, some days later."""
    chance = shop.chance
    shop.now += timedelta(hours=chance.randint(1, 60))
    if chance.random() < 0.5:
        rate = Decimal(chance.randint(2000, 9999)) / 100
        Workshop.objects.update(labour_an_hour=rate, tax_percent=Decimal(chance.choice(RATES)))
        set_menu(other_menu(own, chance))  # type: ignore[operator]


def some_line(shop: Shop, job: Job, account: Account) -> int:
    """A line of the menu with parts at any price; 0 where it is on the estimate already."""
    chance = shop.chance
    if chance.random() < 0.1:
        return line_by_hand(shop, job, account)
    operation = tables().operations[chance.choice(sorted(tables().operations))]
    place = chance.choice(ends_of(operation, build_of(job.bike))) if operation.at_place else ""
    parts = tuple(
        LinePart(f"part {n}", Decimal(chance.randint(0, 30000)) / 100, chance.randint(1, 4))
        for n in range(chance.randint(0, 3))
    )
    asked = ProposeRequest(
        job.pk, operation.id, parts=parts, place=place, count=chance.choice((1, 1, 1, 2, 3))
    )
    try:
        line = propose(asked, **shop.mark()).line  # type: ignore[arg-type]
    except NotPossibleNow:
        return 0
    if chance.random() < 0.1:
        minutes = MinutesRequest(job.pk, line, chance.randint(1, 200))
        line = set_minutes(minutes, **shop.mark()).line  # type: ignore[arg-type]
    account.place[line] = place
    return line


def line_by_hand(shop: Shop, job: Job, account: Account) -> int:
    """A line that no menu has, at a price or by its minutes."""
    price = Decimal(shop.chance.randint(0, 20000)) / 100
    minutes = shop.chance.choice((None, shop.chance.randint(1, 200)))
    asked = OwnLineRequest(job.pk, "bell mended", minutes, price)
    line = own_line(asked, **shop.mark()).line  # type: ignore[arg-type]
    account.place[line] = ""
    return line


def some_answers(shop: Shop, job: Job, account: Account) -> dict[int, bool]:
    """Yes, no, or not a word; minds are changed before the work is done."""
    chance, seen = shop.chance, estimate(job)
    said = {
        line.id: chance.random() < 0.6
        for line in seen.lines
        if line.asking
        and line.id not in account.done
        and line.answer != "given back"
        and chance.random() < 0.8
    }
    held = {
        line for line, yes in said.items() if not yes or line in account.agreed or holds(seen, line, shop)
    }
    said = {line: yes for line, yes in said.items() if line in held}
    if said:
        account.agreed = {line for line in account.agreed if said.get(line, True)} | {
            x for x in said if said[x]
        }
    return said


def holds(seen: EstimateView, line: int, shop: Shop) -> bool:
    """Whether the price of a line stands today."""
    number = next(one.asking for one in seen.lines if one.id == line)
    until = next(one.holds_until for one in seen.askings if one.number == number)
    return until is None or shop.now.date() <= until


def some_work(shop: Shop, job: Job, account: Account) -> None:
    """Some agreed lines are done, some can't be."""
    chance, left = shop.chance, sorted(account.agreed - account.done)
    if not left:
        return
    start_work(StandRequest(job.pk, 1), **shop.mark())  # type: ignore[arg-type]
    for line in left:
        if chance.random() < 0.7:
            finish_line(LineDoneRequest(job.pk, line, ()), **shop.mark())  # type: ignore[arg-type]
            account.done.add(line)
            if chance.random() < 0.1:
                wrong = Event.objects.filter(job=job, kind="line done").latest("pk")
                undo_act(UndoRequest(job.pk, wrong.pk), **shop.mark())  # type: ignore[arg-type]
                account.done.discard(line)
        elif chance.random() < 0.3:
            give_back(GiveBackRequest(job.pk, line, "no part"), **shop.mark())  # type: ignore[arg-type]
            account.agreed.discard(line)


def some_off(shop: Shop, job: Job, account: Account) -> None:
    """Some lines are let off or borne by somebody else; now and then something is taken off the whole, or said anew."""
    chance = shop.chance
    for line in sorted(account.told):
        if line not in account.free and chance.random() < 0.05:
            say_who_pays(PaidByRequest(job.pk, line, "maker's warranty"), **shop.mark())  # type: ignore[arg-type]
            account.free.add(line)
            account.borne.add(line)
        elif line in (account.agreed & account.done) - account.free and chance.random() < 0.1:
            let_off(LetOffRequest(job.pk, line, "ours"), **shop.mark())  # type: ignore[arg-type]
            account.free.add(line)
    if chance.random() < 0.3:
        kind, share, amount = chance.choice((DISCOUNT, GOODWILL)), None, chance.randint(1, 20000)
        if chance.random() < 0.6:
            share = chance.choice((50, 100, 125, 333, 1000))
        off = (None, Decimal(amount) / 100) if share is None else (Decimal(share) / 10, None)
        try:
            give_discount(DiscountRequest(job.pk, kind, "regular", *off), **shop.mark())  # type: ignore[arg-type]
        except InputRefused:
            # Nobody gives away more than the work costs.
            assert share is None and amount > account.coins(account.agreed)
            return
        account.off.pop(kind, None)
        account.off[kind] = (share, amount)


def compare(seen: EstimateView, account: Account) -> None:
    """Printed lines == printed total == agreed == to pay for what is done, and all of it as the owner was told."""
    for line in seen.lines:
        # Two ends are two lines, each with its own place.
        assert line.place == account.place[line.id], line.words
        if line.asking:
            assert coins(line.money.total) == account.told[line.id], line.words
    agreed = account.coins(account.agreed - account.borne)
    for sums, told in ((seen.agreed, agreed), (seen.to_pay, account.to_pay)):
        printed = sum(coins(line.price) for line in sums.lines) - coins(sums.saved)
        assert printed == coins(sums.total) == told
        assert sums.total <= sums.high_total and coins(sums.net) + coins(sums.tax) == coins(sums.total)
    assert {line.id for line in seen.lines if line.is_done} == account.done


def compare_bill(bill: BillView | None, account: Account) -> None:
    """The bill is what was done of what was agreed; nothing done, no bill."""
    done = account.agreed & account.done
    assert (bill is not None) == bool(done)
    if bill is not None:
        printed = sum(coins(line.price) for line in bill.lines) - sum(
            coins(one.amount) for one in bill.taken_off
        )
        assert printed == coins(bill.total) == account.to_pay == sum(coins(row.gross) for row in bill.taxes)


def gapless() -> bool:
    """Whether every year's bills are numbered from one without a gap."""
    years = {row.year for row in Bill.objects.all()}
    return all(
        [row.number for row in Bill.objects.filter(year=year).order_by("number")]
        == list(range(1, Bill.objects.filter(year=year).count() + 1))
        for year in years
    )
