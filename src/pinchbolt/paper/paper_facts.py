"""What stands at the head of every sheet, and how days, money and verdicts are written on paper."""

from collections.abc import Sequence
from datetime import date, datetime
from decimal import Decimal

from django.utils import timezone

from pinchbolt.drawing import verdict_mark, wear_rule
from pinchbolt.values import Reason, Verdict
from pinchbolt.values.wording import worded
from pinchbolt.workshop.acts.lookups import bike_by_tag, job_by_id, money_of_shop, terms
from pinchbolt.workshop.acts.shop_words import shop_words
from pinchbolt.workshop.bikes.cautions import marking_wins
from pinchbolt.workshop.leaving.shop_day import JobView, job_view
from pinchbolt.workshop.stays.note_finding import FindingView
from pinchbolt.workshop.stays.what_next import what_next

INK = "#000000"
"""Black only: what a cheap printer and a grey copy keep."""
PAPERS = {"a4": "a4", "letter": "us-letter"}
# A word longer than this gets places at which it may break.
_LONG, _BREAK = 14, "\N{ZERO WIDTH SPACE}"
_RULE_WIDTH_PT = 420.0
_RULE_SIZE_PT = 8.2


def day_text(day: date | None) -> str:
    """Return a day as printed: Wed 25 Nov 2026."""
    return f"{day:%a} {day.day} {day:%b %Y}" if day else ""


def time_text(when: datetime | None) -> str:
    """Return a moment in the workshop's own time: Wed 25 Nov 2026, 10:00."""
    if when is None:
        return ""
    local = timezone.localtime(when)
    return f"{day_text(local.date())}, {local:%H:%M}"


def money(amount: Decimal | None) -> str:
    """Return an amount in the workshop's currency, or nothing."""
    return money_of_shop(amount)


def wrapped(words: str) -> str:
    """Return words that can be broken anywhere: a word without a gap would run over prices and off the paper.

    A count stays on the line of its sign.
    """
    words = words.replace(" × ", "\N{NO-BREAK SPACE}× ")
    return " ".join(_BREAK.join(_pieces(word)) if len(word) > _LONG else word for word in words.split(" "))


def _pieces(word: str) -> list[str]:
    return [word[start : start + _LONG] for start in range(0, len(word), _LONG)]


def shop_facts() -> dict[str, object]:
    """Return the workshop as it stands at the head of a sheet: name, where it is, and whether it is the demo."""
    shop = terms()
    where = ", ".join(filter(None, (shop.address, shop.town, shop.phone, shop_words("hours"))))
    return {"name": wrapped(shop.name), "where": wrapped(where), "demo": shop.is_demo}


def verdict_facts(verdict: str) -> dict[str, object]:
    """Return a verdict with its mark; the two worst are set bold."""
    strong = Verdict(verdict).rank >= Verdict.BEFORE_IT_LEAVES.rank
    return {
        "words": verdict,
        "mark": verdict_mark(verdict, INK),
        "strong": strong,
    }


def head(sheet: str, job: int, now: datetime, heads: Sequence[tuple[str, str]]) -> dict[str, object]:
    """Return what every sheet has at its head and foot; *heads* are further pairs beside the bike."""
    found, shop = job_by_id(job), terms()
    seen: JobView = job_view(found, now)
    return {
        "sheet": sheet,
        "title": f"{sheet} {seen.tag}-{job}, {shop.name}",
        "number": worded("job {tag}-{job}", tag=seen.tag, job=job),
        "paper": PAPERS[shop.paper],
        "shop": shop_facts(),
        "bike": {
            "tag": seen.tag,
            "words": wrapped(seen.bike_words),
            "frame_number": wrapped(found.bike.frame_number),
        },
        "owner": {"name": wrapped(seen.owner)},
        "heads": [
            [worded("owner"), wrapped(seen.owner)],
            [worded("printed"), time_text(now)],
            [
                "job",
                worded(
                    "{tag}-{job}, in since {opened_at}",
                    tag=seen.tag,
                    job=job,
                    opened_at=day_text(timezone.localtime(seen.opened_at).date()),
                ),
            ],
            *([label, words] for label, words in heads if words),
        ],
        "footer": marking_wins(),
    }


def bike_head(sheet: str, tag: str, now: datetime, heads: Sequence[tuple[str, str]]) -> dict[str, object]:
    """Return what a sheet of a bike without a job has at its head and foot."""
    bike, shop = bike_by_tag(tag), terms()
    return {
        "sheet": sheet,
        "title": f"{sheet} {bike.tag}, {shop.name}",
        "number": "",
        "paper": PAPERS[shop.paper],
        "shop": shop_facts(),
        "bike": {"tag": bike.tag, "words": wrapped(bike.words), "frame_number": wrapped(bike.frame_number)},
        "owner": {"name": wrapped(bike.owner.name)},
        "heads": [
            [worded("owner"), wrapped(bike.owner.name)],
            [worded("printed"), time_text(now)],
            *([label, words] for label, words in heads),
        ],
        "footer": marking_wins(),
    }


def finding_facts(seen: FindingView) -> dict[str, object]:
    """Return a finding with its verdict, words, what is wanted by which day, wear rule and reasons, as on the screen."""
    rule, wanted = "", what_next(seen)
    if seen.forecast:
        rule = wear_rule(
            seen.forecast, title=seen.title, width=_RULE_WIDTH_PT, size=_RULE_SIZE_PT, paper=True, words=False
        )
    return {
        "title": seen.title,
        "verdict": verdict_facts(seen.verdict),
        "words": wrapped(seen.words),
        "wanted": f"{wanted.words[:1].upper()}{wanted.words[1:]}." if wanted.day else "",
        "rule": rule,
        "rule_words": worded("Wear rule. {words}", words=seen.words),
        "reasons": [reason_text(reason) for reason in seen.reasons],
        "doubts": list(seen.doubts),
        "by": f"{seen.by}, {day_text(seen.day)}",
    }


def reason_text(reason: Reason) -> str:
    """Return a reason with its source and table row, where it has them."""
    return f"{reason.words} [{reason.origin}]" if reason.origin else reason.words
