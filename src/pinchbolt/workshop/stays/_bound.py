"""How much of a job a person may give away: a share of its work, set beside their name; more is for the owner of the workshop."""

from decimal import Decimal

from pinchbolt.errors import NotPossibleNow
from pinchbolt.records.models import Job, Person, Role
from pinchbolt.values.money import money_sum, to_the_penny
from pinchbolt.values.wording import worded
from pinchbolt.workshop.acts.lookups import money_of_shop
from pinchbolt.workshop.stays.discount import discounts_on
from pinchbolt.workshop.stays.line_parts import below_the_shelf, kept_parts
from pinchbolt.workshop.stays.price import EstimateView, LineView, estimate, work_by_the_menu
from pinchbolt.workshop.stays.standing import open_lines

_NOTHING = Decimal(0)
OTHERS_BEAR = ("maker's warranty", "our own work again", "insurer")
"""Who may bear a line in the owner's place without anything being given away."""


def work_of(seen: EstimateView) -> Decimal:
    """Return what the work of a job costs that is not declined, whoever pays for it."""
    return money_sum(line.money.total for line in _not_declined(seen))


def refuse_beyond_bound(
    person: Person,
    job: Job,
    off: Decimal,
    besides: str = "",
    percent: Decimal | None = None,
    comes: Decimal = _NOTHING,
) -> None:
    """Refuse what, with all that was given away of this job before, is more than this person may give.

    Args:
        person: Who gives it.
        job: Of which job.
        off: What would be given away now. [currency]
        besides: The kind of discount that this one takes the place of.
        percent: The share that it is said as: it is of lines that come later too. [%]
        comes: What comes onto the job with it. [currency]

    Raises:
        NotPossibleNow: It is more; says how much they may give, and who gives more.
    """
    if person.gives_percent is None or person.role == Role.OWNER or (off <= 0 and percent is None):
        return
    seen = estimate(job)
    lines = [line.money for line in _not_declined(seen)]
    before = -money_sum(one.total for one in discounts_on(job, lines, seen.priced.currency, besides))
    before += money_sum(
        line.money.total
        for line in _not_declined(seen)
        if line.let_off and not line.let_off.startswith(OTHERS_BEAR)
    )
    before += _by_hand(job, seen)
    most = (work_of(seen) + comes) * person.gives_percent / 100
    if before + off > most or (percent is not None and percent > person.gives_percent):
        owners = Person.objects.filter(role=Role.OWNER, is_active=True).order_by("name")
        raise NotPossibleNow(
            worded(
                "That makes {before} off, and {name} may give {gives_percent} % ({most}) of this "
                "job. More is for {owners}: let them take the tablet over; what was typed is kept.",
                before=money_of_shop(before + off),
                name=person.name,
                gives_percent=person.gives_percent,
                most=money_of_shop(to_the_penny(most, seen.priced.currency)),
                owners=" or ".join(one.name for one in owners),
            )
        )


def _by_hand(job: Job, seen: EstimateView) -> Decimal:
    """What was taken off prices before anybody was asked: work below the menu, parts below the shelf."""
    now = {line.id: line.money.labour for line in _not_declined(seen) if not line.let_off}
    rows = [row for row in open_lines(job) if row.pk in now]
    set_by_hand = [row.pk for row in rows if row.own_price is not None]
    menu = work_by_the_menu(rows) if set_by_hand else {}
    off = [max(menu[row] - now[row], _NOTHING) for row in set_by_hand]
    return money_sum([*off, *(below_the_shelf(kept_parts(row)) for row in rows)])


def _not_declined(seen: EstimateView) -> list[LineView]:
    return [line for line in seen.lines if line.answer not in ("declined", "given back")]


def price_of_line(job: Job, number: int) -> Decimal:
    """Return what a line adds to its job as it is priced."""
    return next(line.money.total for line in estimate(job).lines if line.id == number)
