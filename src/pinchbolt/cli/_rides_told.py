"""What the commands of ride files answer: a file, an import, a part's use."""

from typing import TYPE_CHECKING

from pinchbolt.values.ahead import sure_words
from pinchbolt.values.money import figure_text
from pinchbolt.values.wording import worded

if TYPE_CHECKING:
    from pinchbolt.values import Json
    from pinchbolt.workshop.rides.part_over_time import PartUsed
    from pinchbolt.workshop.rides.ride_report import RidesTaken


_BAR = 40


def read_lines(told: "Json") -> list[str]:
    lines = [
        worded(
            "{name}: {form}, {rides} ride{s}",
            name=told["name"],
            form=told["form"],
            rides=len(told["rides"]),
            s="s" if len(told["rides"]) != 1 else "",
        )
    ]
    for ride in told["rides"]:
        climb = (
            worded(", {ride} m up", ride=figure_text(ride["ascent_m"], 0))
            if ride["ascent_m"] is not None
            else ""
        )
        where = worded(", indoors") if ride["indoor"] else ""
        sport = f", {ride['sport']}" if ride["sport"] else ""
        by = worded(", by {ride}", ride=ride["device"]) if ride["device"] else ""
        lines.append(
            worded(
                "  {start}: {km} km ({distance_from}), {moving} of {elapsed} min{climb}{where}{sport}{by}",
                start=ride["start"] or worded("day not known"),
                km=figure_text(ride["distance_m"] / 1000, 2),
                distance_from=ride["distance_from"],
                moving=figure_text(ride["moving_s"] / 60, 0),
                elapsed=figure_text(ride["elapsed_s"] / 60, 0),
                climb=climb,
                where=where,
                sport=sport,
                by=by,
            )
        )
    return [*lines, *(worded("damaged: {words}", words=words) for words in told["damaged"])]


def progress(many: int, whole: int | None) -> str:
    """Return a bar for so many files of the whole, or a count where the whole is not known."""
    if not whole or many > whole:
        return worded("{many} files read", many=figure_text(many))
    full = round(many / whole * _BAR)
    return worded(
        "[{full}{bar}] {many} of {whole} files read",
        full="=" * full,
        bar=" " * (_BAR - full),
        many=figure_text(many),
        whole=figure_text(whole),
    )


def taken_lines(taken: "RidesTaken") -> list[str]:
    lines = [
        worded(
            "{files} file{s}: {came_in} rides came in, {km} km",
            files=figure_text(taken.files),
            s="s" if taken.files != 1 else "",
            came_in=figure_text(taken.came_in),
            km=figure_text(taken.km, 1),
        )
        + (
            f" ({', '.join(f'{tag} {figure_text(many)}' for tag, many in sorted(taken.bikes.items()))})"
            if taken.bikes
            else ""
        )
    ]
    if taken.known_before == 1:
        lines.append(worded("1 file was taken in before: nothing new in it"))
    elif taken.known_before:
        many = figure_text(taken.known_before)
        lines.append(worded("{many} files were taken in before: nothing new in them", many=many))
    if taken.by_habit and taken.least_sure is not None:
        lines.append(
            worded(
                "{by_habit} of them placed by the owner's habits, {least_sure} or better; wrong "
                "ones: pinchbolt rides place",
                by_habit=figure_text(taken.by_habit),
                least_sure=sure_words(taken.least_sure),
            )
        )
    for there in taken.elsewhere:
        numbers = " ".join(str(ride) for ride in there.rides)
        lines.append(
            worded(
                "here already for {owner}{bikes}: {rides} rides, {km} km, and they count there "
                "(rides {numbers}). If that is wrong: pinchbolt rides move, or this import again "
                "with --claim",
                owner=there.owner,
                bikes=worded(" on ") + ", ".join(there.bikes) if there.bikes else "",
                rides=figure_text(len(there.rides)),
                km=figure_text(there.km, 1),
                numbers=numbers,
            )
        )
    for words, files in (
        (worded("asked"), taken.asked),
        (worded("double"), taken.doubled),
        (worded("damaged"), taken.damaged),
        (worded("refused"), taken.refused),
        (worded("left out"), taken.left_out),
    ):
        lines += [f"{words}: {one.name}: {one.words}" for one in files]
    if taken.unclear:
        lines.append(
            worded(
                "{unclear} rides wait for an answer: give it on the rides page of the bike",
                unclear=figure_text(len(taken.unclear)),
            )
        )
    return [*lines, taken.privacy] if taken.came_in else lines


def part_lines(used: "PartUsed") -> list[str]:
    lines = [
        worded(
            "{day}: {km} km give or take {km_sd}",
            day=one.day,
            km=figure_text(one.km, 0),
            km_sd=figure_text(one.km_sd, 0),
        )
        for one in used.points
    ]
    lines += (
        [
            worded(
                "{hours} hours of riding by {hours_known}",
                hours=figure_text(used.hours, 0),
                hours_known=used.hours_known,
            )
        ]
        if used.hours
        else []
    )
    lines += [
        worded(
            "reading of {day} at {km} km: {words}",
            day=one.day,
            km=figure_text(one.km, 0),
            words=one.words,
        )
        for one in used.readings
    ]
    return lines


def likely(odds: "tuple[tuple[str, float], ...]") -> str:
    return (
        worded("; by rides alike ") + ", ".join(f"{tag} {sure_words(share)}" for tag, share in odds)
        if odds
        else ""
    )
