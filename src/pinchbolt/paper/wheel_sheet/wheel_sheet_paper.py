"""What the wheel sheet says on paper: the wheel drawn, the next turns to tick, every spoke as last read, before and after."""

from datetime import datetime

from pinchbolt.drawing import SpokeMark, wheel_drawing
from pinchbolt.paper.paper_facts import day_text, head, time_text
from pinchbolt.values.wording import worded
from pinchbolt.workshop.wheels.wheel_sheet import (
    RoundOnSheet,
    SpokeOnSheet,
    TurnOnSheet,
    WheelSheetView,
    wheel_sheet,
)

_WIDTH_PT, _SIZE_PT = 300.0, 9.5


def wheel_sheet_values(job: int, wheel: int, now: datetime) -> dict[str, object]:
    """Return the values of a wheel's sheet."""
    seen = wheel_sheet(job, wheel)
    spread = seen.known.limits.spread_percent / 100 if seen.known else 0.2
    marks = [
        SpokeMark(one.side == "right", one.read.share if one.read else None, one.to_turn, one.turned)
        for one in seen.spokes
    ]
    title = f"{seen.name}, {seen.tag}"
    return {
        **head(worded("Wheel sheet"), job, now, _heads(seen)),
        "drawn": wheel_drawing(marks, title=title, spread=spread, width=_WIDTH_PT, size=_SIZE_PT, paper=True)
        if marks
        else "",
        "drawn_words": worded("{title}: each spoke as long as it is tight", title=title),
        "words": seen.read_first or (seen.plan.words if seen.plan else seen.held_back),
        "turns": [_turn(one) for one in seen.turns],
        "each": [_spoke(one) for one in seen.spokes],
        "rounds": [_round(one) for one in seen.rounds],
        "past": [f"{day_text(one.day)}, {one.tag}: {one.words}" for one in seen.past[:12]],
        "doubts": list(seen.doubts),
        "cautions": list(seen.cautions),
    }


def _heads(seen: WheelSheetView) -> list[tuple[str, str]]:
    if seen.known is None:
        return [("part", seen.name)]
    marked = seen.known.limits.greatest_n
    return [
        ("part", worded("{name}, {spokes} spokes", name=seen.name, spokes=seen.known.wheel.spokes)),
        (
            worded("at most"),
            f"{marked:.0f} N" if marked is not None else worded("not known: look for the rim's marking"),
        ),
    ]


def _turn(one: TurnOnSheet) -> dict[str, object]:
    return {
        "spoke": str(one.spoke),
        "words": f"{one.side}, {one.words}",
        "over": worded(
            "a tight spoke then passes what it should bear by {over_n:.0f} N: go on at once",
            over_n=one.over_n,
        )
        if one.over_n >= 0.5
        else "",
        "done": bool(one.turned),
        "done_words": one.turned_words if one.turned and one.turned != one.quarters else "",
    }


def _spoke(one: SpokeOnSheet) -> list[str]:
    read = one.read
    if read is None:
        return [str(one.number), one.side, "", "", ""]
    pull = (
        f"{read.tension_n:.0f} N"
        if read.tension_n is not None
        else ""
        if read.share is None
        else f"{100 * read.share:.0f} %"
    )
    if read.low_n is not None and read.high_n is not None:
        pull += worded(" ({low_n:.0f} to {high_n:.0f})", low_n=read.low_n, high_n=read.high_n)
    return [str(one.number), one.side, f"{read.side_mm:+.2f}", f"{read.up_mm:+.2f}", pull]


def _round(one: RoundOnSheet) -> list[str]:
    state = one.state
    spread = "not known" if state.spread_percent is None else f"{state.spread_percent:.0f} %"
    means = "" if state.mean_left_n is None else f"{state.mean_left_n:.0f} / {state.mean_right_n:.0f} N"
    return [
        f"{one.number}: {time_text(one.at)}, {one.by}, {one.how}",
        f"{state.side_mm:.1f} mm",
        f"{state.up_mm:.1f} mm",
        spread,
        means,
        str(one.quarters),
    ]
