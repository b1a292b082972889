"""How a bike's history tells of its parts, its rides and the papers about it."""

from collections.abc import Callable
from datetime import date

from pinchbolt.records.models import Event
from pinchbolt.values.money import figure_text
from pinchbolt.values.wording import worded
from pinchbolt.workshop.acts._told_of_acts import Beside, behind, in_words, listed, part_called
from pinchbolt.workshop.common.table_words import joint_name, limit_name


def distance(event: Event, beside: Beside) -> str:
    """A distance as it was said: since the last stay, between two days, or so much a week."""
    said = event.said
    if said.get("km_a_week") is not None:
        return worded(
            "about {said} km a week from {start} to {end}",
            said=figure_text(float(str(said["km_a_week"])), 0),
            start=in_words(said.get("start")),
            end=in_words(said.get("end")),
        )
    if "distance_km" in said:
        return worded(
            "distance from {start} to {end}: {said} km",
            start=in_words(said.get("start")),
            end=in_words(said.get("end")),
            said=figure_text(float(str(said["distance_km"])), 0),
        )
    return worded("distance since last time: {km} km", km=figure_text(float(str(said.get("km", 0))), 0))


def display(event: Event, beside: Beside) -> str:
    said = event.said
    return worded(
        "display on {day}: {what} {value}",
        day=in_words(said.get("day")),
        what=said.get("what"),
        value=figure_text(float(str(said.get("value", 0))), 0),
    )


def own(what: str) -> Callable[[Event, Beside], str]:
    return lambda event, beside: worded(
        "{what} of its owner written down: {words}", what=what, words=event.said.get("words", "")
    )


def given_over(event: Event, beside: Beside) -> str:
    """Who it was is said in no event."""
    return worded(
        "somebody else's from {fromisoformat:%d %b %Y} on",
        fromisoformat=date.fromisoformat(event.said["day"]),
    )


def rides(event: Event, beside: Beside) -> str:
    return worded("ride files taken in: {get} rides", get=figure_text(beside.rides.get(event.pk, 0)))


def placed(event: Event, beside: Beside) -> str:
    many = len(event.said.get("rides", ()))
    return worded(
        "{many} ride{s} placed: {tag}",
        many=figure_text(many),
        s="s" if many != 1 else "",
        tag=event.said.get("tag") or worded("count for none"),
    )


def since(event: Event, beside: Beside) -> str:
    said = event.said
    since = (
        worded("as long as the owner has it")
        if said.get("all_along")
        else worded("since {day}", day=in_words(said.get("day")) or worded("nobody knows when"))
    )
    return worded(
        "{part} on the bike {since}, as the owner says",
        part=worded("a part") if said.get("part") else worded("its parts"),
        since=since,
    )


def rides_moved(event: Event, beside: Beside) -> str:
    many = len(event.said.get("rides", ()))
    return worded(
        "{many} ride{s} moved to the owner of {tag}",
        many=figure_text(many),
        s="s" if many != 1 else "",
        tag=event.said.get("tag"),
    )


def rides_back(event: Event, beside: Beside) -> str:
    if event.said.get("whole_import"):
        return worded("an import of ride files taken back")
    many = len(event.said.get("rides", ()))
    return worded("{many} ride{s} taken back", many=figure_text(many), s="s" if many != 1 else "")


def moved(event: Event, beside: Beside) -> str:
    day = worded(", on {said}", said=in_words(event.said["day"])) if event.said.get("day") else ""
    return worded(
        "{move} of {out_of} into {into}{day}{lies}",
        move=event.said.get("move", "part"),
        out_of=event.said.get("out_of"),
        into=event.said.get("into"),
        day=day,
        lies=worded("; what was there is ") + str(event.said.get("lies") or worded("with the owner"))
        if event.said.get("taken_off")
        else "",
    )


def facts(event: Event, beside: Beside) -> str:
    return worded("read off the bike: {listed}", listed=listed(event.said))


def added(event: Event, beside: Beside) -> str:
    what = event.said.get("words") or f"{event.said.get('end', '')} {event.said.get('kind', 'part')}".strip()
    return worded(
        "{what} put on the build sheet{was_there}",
        what=what,
        was_there=worded(", was on the bike before") if event.said.get("was_there") else "",
    )


_GONE = {"bins": worded("to the bins"), "owner": worded("to the owner"), "scrap": worded("to scrap")}


def replaced(event: Event, beside: Beside) -> str:
    gone = _GONE.get(str(event.said.get("gone_to")), "")
    return worded(
        "{what} replaced{gone}",
        what=part_called(event),
        gone=worded("; the old one {gone}", gone=gone) if gone else "",
    )


def taken_off(event: Event, beside: Beside) -> str:
    gone = str(event.said.get("gone_to"))
    if gone == "never there":
        return worded("{what} struck off the build sheet: it never was there", what=part_called(event))
    return worded(
        "{what} taken off{gone}", what=part_called(event), gone=f", {_GONE[gone]}" if gone in _GONE else ""
    )


def described(event: Event, beside: Beside) -> str:
    return f"{part_called(event)}, {event.said.get('source', 'said')}: {listed(event.said)}"


def corner(event: Event, beside: Beside) -> str:
    return worded(
        "{corner}: looked at, the parts are as shown",
        corner=event.said.get("corner") or worded("the whole bike"),
    )


def limit_marked(event: Event, beside: Beside) -> str:
    said = event.said
    return worded(
        "{what}: marked {value:g} {unit} for {limit}",
        what=part_called(event),
        value=float(str(said.get("value", 0))),
        unit=said.get("unit", ""),
        limit=limit_name(str(said.get("limit", ""))),
    )


def warranty(event: Event, beside: Beside) -> str:
    said = event.said
    told = [worded("bought {said}", said=in_words(said["bought"]))] if said.get("bought") else []
    told += [worded("covered for life")] if said.get("for_life") else []
    told += [worded("{said} months", said=said["months"])] if said.get("months") else []
    return f"warranty{': ' if told else ''}{', '.join(told)}"


def claim(event: Event, beside: Beside) -> str:
    return worded(
        "claim: {name}{behind}", name=event.said.get("name", ""), behind=behind(event.said.get("broke"))
    )


def claim_move(event: Event, beside: Beside) -> str:
    return worded(
        "claim {claim} {state}{behind}",
        claim=event.said.get("claim"),
        state=event.said.get("state"),
        behind=behind(event.said.get("words")),
    )


def marking(event: Event, beside: Beside) -> str:
    said = event.said
    values = [
        f"{words} {float(str(said[name])):g}"
        for name, words in (
            ("least_n_m", worded("at least")),
            ("greatest_n_m", worded("at most")),
            ("target_n_m", worded("to use")),
        )
        if said.get(name) is not None
    ]
    named = (joint_name(str(said["joint"])) if said.get("joint") else "", str(said.get("part") or ""))
    on = ", ".join(one for one in named if one)
    value = f": {', '.join(values)} N·m" if values else ""
    return worded("marking read{on}{value}", on=f", {on}" if on else "", value=value)
