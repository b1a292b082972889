"""pinchbolt wear: chains in bulk, and learning from them."""

from collections.abc import Callable
from decimal import Decimal
from pathlib import Path
from typing import Annotated

import typer

from pinchbolt.cli.answering import As, AsJson, Key, answer, mark, who
from pinchbolt.errors import InputRefused
from pinchbolt.values.about import about, unit_words, worn
from pinchbolt.values.ahead import chance_words, is_past, likely_words, use_words
from pinchbolt.values.money import figure_text
from pinchbolt.values.wording import worded

wear = typer.Typer(
    help=worded("Wear: one part by hand, when to change chains, many chains from a file, learning."),
    no_args_is_help=True,
    rich_markup_mode=None,
)
_WIDTH = 40


def bar(what: str) -> Callable[[float], None]:
    """Return a progress bar on stderr, told of the share done."""

    def progress(share: float) -> None:
        full = round(_WIDTH * share)
        end = "\n" if share >= 1.0 else ""
        typer.echo(f"\r{what} [{'#' * full}{' ' * (_WIDTH - full)}] {share:4.0%}{end}", err=True, nl=False)

    return progress


@wear.command("batch")
def batch(
    source: Annotated[Path, typer.Argument(metavar="IN", help=worded("One chain a line, JSON."))],
    target: Annotated[
        Path, typer.Argument(metavar="OUT", help=worded("Where the forecasts go, one a line."))
    ],
    learned: Annotated[
        Path | None,
        typer.Option(help=worded("What was learned, by: pinchbolt wear learn; else the trade's figures.")),
    ] = None,
    leave_out: Annotated[
        bool,
        typer.Option(
            "--leave-out-bad",
            help=worded("Leave out lines that can't be read, and say which; else all is refused."),
        ),
    ] = False,
    at: Annotated[
        str, typer.Option(help=worded("Chances at which distances are told, such as 0.1,0.5,0.9."))
    ] = "",
    as_json: AsJson = False,
) -> None:
    """Forecast many chains: distance still to go, chance of being past the limit, odds that it is the chain on record."""
    from pinchbolt.cli.starting import tables_only

    tables_only()
    from pinchbolt.workshop.questions.wear_bulk import wear_batch

    left: dict[int, str] = {}
    count = wear_batch(source, target, learned, bar("forecasting"), left if leave_out else None, at=at)
    by = worded("the trade's figures") if learned is None else str(learned)
    answer(
        {"chains": count, "written": str(target), "learned": None if learned is None else str(learned)}
        | ({"left_out": left} if leave_out else {}),
        [
            worded(
                "{count} chains forecast by {by}: {target}", count=figure_text(count), by=by, target=target
            ),
            *_left_lines(left),
        ],
        as_json=as_json,
    )


@wear.command("learn")
def learn(
    source: Annotated[
        Path, typer.Argument(metavar="IN", help=worded("One chain a line, JSON; closed ones teach most."))
    ],
    save: Annotated[Path, typer.Option(help=worded("Where what was learned is kept."))],
    leave_out: Annotated[
        bool,
        typer.Option(
            "--leave-out-bad",
            help=worded("Leave out lines that can't be read, and say which; else all is refused."),
        ),
    ] = False,
    as_json: AsJson = False,
) -> None:
    """Learn lives, spread, unevenness, workshops and their gauges from many chains."""
    from pinchbolt.cli.starting import tables_only

    tables_only()
    from pinchbolt.workshop.common import plain_json as plain
    from pinchbolt.workshop.questions.wear_bulk import ALLOWED, wear_learn

    left: dict[int, str] = {}
    found = wear_learn(source, save, bar("learning"), left if leave_out else None)
    lives, doubted = dict(zip(ALLOWED.uses, found.belief.lives, strict=True)), found.doubted
    lines = [
        worded(
            "Learned from {chains} chains ({closed} closed) of {workshops} workshop{s}: {save}",
            chains=figure_text(found.chains),
            closed=figure_text(found.closed),
            workshops=figure_text(found.workshops),
            s="s" if found.workshops != 1 else "",
            save=save,
        ),
        *(
            worded("  {use}: half of them reach 0.75 % by {km} km", use=use, km=about(km))
            for use, km in lives.items()
        ),
        *(
            worded(
                "Workshop {workshop}, {instrument}: {words}",
                workshop=one.workshop,
                instrument=one.instrument,
                words=one.words,
            )
            for one in doubted
        ),
        *_left_lines(left),
    ]
    answer(
        {"chains": found.chains, "closed": found.closed, "workshops": found.workshops, "saved": str(save)}
        | {"life_to_0.75_percent_km": lives, "check_the_gauge": plain.as_json(doubted)}
        | ({"left_out": left} if leave_out else {}),
        lines,
        as_json=as_json,
    )


def _left_lines(left: dict[int, str]) -> list[str]:
    """The lines that were left out, each with what is wrong with it."""
    return [worded("left out, line {number}: {why}", number=number, why=why) for number, why in left.items()]


@wear.command("part")
def part(
    kind: Annotated[
        str, typer.Option(help=worded("chain, cassette, rotor, rim, tyre ...; or name the row by --limit."))
    ] = "chain",
    limit: Annotated[str, typer.Option(help=worded("Row of the limits, where the kind has several."))] = "",
    speeds: Annotated[
        int | None, typer.Option(help=worded("Speeds behind; the limit of a chain goes by them."))
    ] = None,
    use: Annotated[str, typer.Option(help=worded("road-dry, mixed, mud, e-bike, indoor."))] = "mixed",
    km: Annotated[float | None, typer.Option(help=worded("Distance since it was fitted, km."))] = None,
    value: Annotated[
        str | None,
        typer.Option(help=worded('What the gauge shows; with its unit if it is another: "60 months".')),
    ] = None,
    low: Annotated[
        float | None, typer.Option(help=worded("Low end of a go/no-go result; left out where open."))
    ] = None,
    high: Annotated[
        float | None, typer.Option(help=worded("High end of a go/no-go result; left out where open."))
    ] = None,
    instrument: Annotated[
        str, typer.Option(help=worded("two-point, three-point, rule, vernier, or a row of the table."))
    ] = "",
    marked: Annotated[float | None, typer.Option(help=worded("Limit marked on the part; it wins."))] = None,
    fitted: Annotated[
        str,
        typer.Option(
            help=worded("Was it new then: here (by us), told, used, nobody-knows; left out: told with --km.")
        ),
    ] = "",
    as_json: AsJson = False,
) -> None:
    """Judge one part by hand: how worn, when at its limit, and why."""
    from pinchbolt.cli.starting import tables_only, today

    tables_only()
    from pinchbolt.workshop.common import plain_json as plain
    from pinchbolt.workshop.questions.part_by_hand import PartByHandRequest, part_by_hand

    found = part_by_hand(
        PartByHandRequest(
            kind, limit, speeds, use, km, None, low, high, instrument, marked, fitted, value or ""
        ),
        today(),
    )
    seen = found.forecast
    law, left, now, unsafe = seen.law, seen.to_limit, seen.present, seen.danger_said
    unit, past = unit_words(law.unit), chance_words(seen.chance_past_limit, worded("past its limit"))
    lines = [
        worded(
            "{value}: about {median} {unit} (likely {low} to {high}); limit {limit:g} {unit}.",
            value=seen.verdict.value,
            median=worn(now.median),
            unit=unit,
            low=worn(now.wide.low),
            high=worn(now.wide.high),
            limit=law.limit,
        ),
        f"{past[:1].upper()}{past[1:]}."
        if is_past(seen.chance_past_limit)
        else worded(
            "To the limit: about {median} {driver} ({low}){past}.",
            median=about(left.median),
            driver=use_words(law.driver),
            low=likely_words(left.wide.low, left.wide.high),
            past=worded("; {past} already", past=past) if past else "",
        ),
        *([worded("Past its limit: {unsafe}.", unsafe=unsafe)] if unsafe else []),
        *(worded("doubt: {doubt}", doubt=doubt) for doubt in seen.doubts),
        *(worded("because {words}", words=reason.words) for reason in seen.reasons),
        *([found.honest] if found.honest else []),
        worded("The marking on the part and its maker's instructions win."),
    ]
    answer(plain.as_json(found), lines, as_json=as_json)


@wear.command("change-point")
def change_point(
    chain: Annotated[str, typer.Option(help=worded("Price of a chain with fitting."))] = "",
    cassette: Annotated[str, typer.Option(help=worded("Price of a cassette with fitting."))] = "",
    rings: Annotated[str, typer.Option(help=worded("Price of the rings that go when all is run out."))] = "",
    use: Annotated[str, typer.Option(help=worded("road-dry, mixed, mud, e-bike, indoor."))] = "mixed",
    speeds: Annotated[int, typer.Option(help=worded("Speeds behind."))] = 11,
    seen_every: Annotated[
        float, typer.Option(help=worded("Distance between two looks at the chain, km."))
    ] = 300.0,
    bike: Annotated[str, typer.Option(help=worded("Tag of a bike: its own prices and use instead."))] = "",
    as_json: AsJson = False,
) -> None:
    """Compare ways of changing chains by their cost per 1,000 km."""
    from pinchbolt.cli.starting import opened, tables_only, today

    opened() if bike else tables_only()
    from pinchbolt.workshop.common import plain_json as plain
    from pinchbolt.workshop.questions.part_by_hand import USES
    from pinchbolt.workshop.wear import change_point as point

    if bike:
        from pinchbolt.workshop.wear.change_point_of_bike import change_point_of

        found = change_point_of(bike, today())
    else:
        asked = point.ChangePointRequest(
            _money("chain", chain), _money("cassette", cassette), _money("rings", rings) if rings else None,
            USES.get(use, use), speeds, seen_every,
        )  # fmt: skip
        found = point.change_point(asked)
    lines = [
        worded(
            "{as_good_as_best} {a_thousand:>8} per 1,000 km (likely {low} to {high}): {words}",
            as_good_as_best="*" if way.as_good_as_best else " ",
            a_thousand=way.a_thousand,
            low=way.low,
            high=way.high,
            words=way.words,
        )
        for way in found.table.ways
    ]
    best = found.table.best_at_percent
    lines += [
        worded(
            "Cheapest: change between {low:.1f} and {high:.1f} %. * about the cheapest.",
            low=best.low,
            high=best.high,
        )
    ]
    lines += [worded("because {words}", words=reason.words) for reason in found.table.reasons]
    answer(plain.as_json(found), [*lines, found.honest], as_json=as_json)


def _money(name: str, words: str) -> Decimal:
    try:
        return Decimal(words)
    except ArithmeticError as fault:
        sentence = worded(
            'price of the {name} is "{words}": a number above 0 is needed. Put the price in.',
            name=name,
            words=words[:20],
        )
        raise InputRefused(sentence, {name: sentence}) from fault


def learn_own(named: As = "", key: Key = "", as_json: AsJson = False) -> None:
    """Learn lives, spread and unevenness from this workshop's own parts; used from now on, old findings stay as they are."""
    from pinchbolt.cli.starting import now, opened

    opened()
    from pinchbolt.workshop.common import plain_json as plain
    from pinchbolt.workshop.wear.learn import LearnRequest
    from pinchbolt.workshop.wear.learn import learn as learn_all

    found = learn_all(LearnRequest(), by=who(named), key=mark(key), now=now(), progress=bar("learning"))
    nothing = [worded("Too few parts of any kind: the trade's figures stay.")]
    lines = [worded("Version {version}.", version=found.version), *(found.words or nothing), *found.reasons]
    answer(plain.as_json(found), lines, as_json=as_json)
