"""What the estimate sheet says: findings with their wear rules, lines by verdict, money, and how it was worked out."""

from datetime import datetime
from itertools import groupby

from pinchbolt.paper.paper_facts import finding_facts, head, money, time_text, verdict_facts
from pinchbolt.values import Verdict

from pinchbolt.workshop.acts.lookups import job_by_id, terms
from pinchbolt.workshop.bikes.cautions import cautions
from pinchbolt.workshop.leaving.handover_sheet import handover_sheet
from pinchbolt.workshop.stays.note_finding import findings_of
from pinchbolt.workshop.stays.price import EstimateView, LineView, estimate

_NOT_KNOWN = (
    "What no eye and no gauge can reach: inside a frame, a fork or a motor, and cracks under paint or tape.",
    "Forecasts speak of parts like these and of riding as told; another road, winter or rider moves them.",
)


def estimate_values(job: int, now: datetime) -> dict[str, object]:
    """Return the values of the estimate sheet."""
    found = job_by_id(job)
    priced, findings = estimate(found), findings_of(found)
    limit = (
        money(priced.spend_limit) if priced.spend_limit is not None else "none agreed: every line is asked"
    )
    promise = time_text(found.promise) if found.promise else "not given"
    return {
        **head("Estimate", job, now, [("promised", promise), ("without a call up to", limit)]),
        "told": found.owner_words,
        "seen": found.seen_words,
        "left_with": found.left_with,
        "findings": [finding_facts(seen) for seen in findings if seen.rank > Verdict.SOUND.rank],
        "sound_mark": verdict_facts(Verdict.SOUND)["mark"],
        "sound": [
            f"{seen.part_words}: {seen.quantity}, {seen.shown}"
            for seen in findings
            if seen.rank == Verdict.SOUND.rank
        ],
        "groups": [
            {"verdict": verdict_facts(verdict), "lines": [_line(line) for line in lines]}
            for verdict, lines in groupby(priced.lines, key=lambda line: line.verdict)
        ],
        "money": _money(priced),
        "reasons": [
            {
                "words": line.words,
                "reasons": [*(reason.words for reason in line.money.reasons), *line.waiting_reasons],
            }
            for line in priced.lines
        ],
        "whole_reasons": [reason.words for reason in priced.priced.reasons],
        "not_read": list(handover_sheet(found, now).not_read),
        "not_known": list(_NOT_KNOWN),
        "cautions": list(cautions(found.bike)[1:]),
    }


def _line(line: LineView) -> dict[str, object]:
    return {
        "words": line.words,
        "safety": line.safety,
        "parts": ", ".join(f"{part.count} × {part.name}" for part in line.money.parts),
        "why": line.finding_words,
        "labour": money(line.money.labour),
        "parts_total": money(line.money.parts_total),
        "total": money(line.money.total),
        "left": if_left_text(line.money.cost_of_waiting, terms().currency),
        "answer": line.answer,
        "how": line.answered_how,
    }


def _money(priced: EstimateView) -> dict[str, object]:
    whole, agreed = priced.priced, priced.agreed
    return {
        "total": money(whole.total),
        "high": money(whole.high_total),
        "tax": money(whole.tax),
        "net": money(whole.net),
        "if_left": money(whole.total_if_left),
        "answered": priced.open_answers == 0 and bool(priced.lines),
        "agreed": money(agreed.total),
        "agreed_high": money(agreed.high_total),
        "over_limit": priced.over_limit,
    }
