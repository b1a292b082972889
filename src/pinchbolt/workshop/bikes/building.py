"""Making a bike from a build template, or from nothing, and parts taking one another's place."""

from collections.abc import Iterable, Mapping
from datetime import date

from pinchbolt.engines.build import Build, owners_of
from pinchbolt.errors import InputRefused
from pinchbolt.records.models import Bike, EarlierTag, Fitting, Owner, Part
from pinchbolt.reference.rows.build import Template, TemplatePart
from pinchbolt.reference.rows.kinds import Value
from pinchbolt.values.wording import worded
from pinchbolt.workshop.bikes.build_sheet import facts_of_part, kind_row
from pinchbolt.workshop.common.trade_tables import tables

MOVED = "moved"  # where a part went that was not lost: onto another host

# What a typed count of speeds is of: the gears of a hub or gearbox before the sprockets.
_COUNTED = ("gears", "sprockets_behind")


def bike_from_template(
    template: str,
    *,
    owner: Owner,
    words: str,
    frame_number: str,
    speeds: int | None,
    use_class: str,
    today: date,
    bike_kind: str = "",
) -> Bike:
    """Make a bike with the usual parts of a build template; without one, a bike of this kind with its frame alone.

    Raises:
        InputRefused: No such template, kind of bike or use class, or speeds out of sense.
    """
    row = _template(template) if template or not bike_kind else None
    kind = row.kind if row is not None else bike_kind
    kinds = tables().bike_kinds
    if kind not in kinds:
        sentence = worded(
            'The kind of bike "{kind}" is not in the table: {kinds}. Pick one.',
            kind=kind[:40],
            kinds=", ".join(kinds),
        )
        raise InputRefused(sentence, {"bike_kind": sentence})
    if use_class and use_class not in tables().uses:
        sentence = worded(
            'The riding "{use_class}" is not known: {uses}. Pick one.',
            use_class=use_class[:40],
            uses=", ".join(tables().uses),
        )
        raise InputRefused(sentence, {"use_class": sentence})
    if speeds is not None and not 1 <= speeds <= 14:
        sentence = worded(
            "The bike has {speeds} rear sprockets: 1 to 14 is possible. Count the sprockets.", speeds=speeds
        )
        raise InputRefused(sentence, {"speeds": sentence})
    bike = Bike.objects.create(
        tag=next_tags(1)[0],
        owner=owner,
        kind=kind,
        words=words or (row.plain if row is not None else kinds[kind].words),
        frame_number=frame_number,
        use_class=use_class or (row.use if row is not None else kinds[kind].use),
        km_a_week=row.km_a_week if row is not None else kinds[kind].km_a_week,
        template=template,
    )
    always: list[tuple[str, StartFacts]] = [
        (one.id, {}) for one in tables().kinds.values() if one.on_every_bike
    ]
    fit_parts(bike, parts_of_template(row, speeds) if row is not None else always, today)
    return bike


def _template(template: str) -> Template:
    templates = tables().templates
    if template not in templates:
        sentence = worded(
            'There is no kind "{template}". Pick one of: {templates}.',
            template=template[:40],
            templates=", ".join(templates),
        )
        raise InputRefused(sentence, {"template": sentence})
    return templates[template]


StartFacts = Mapping[str, tuple[Value, str]]


def parts_of_template(row: Template, speeds: int | None) -> list[tuple[str, StartFacts]]:
    """Return the parts that such a bike has, each by its kind and end, with what it usually is; none is looked at yet."""
    count = speeds if speeds is not None else row.speeds[0]
    there = [one for one in row.parts if not one.speeds or count in one.speeds]
    counted = _counted_by(there, count)
    found: list[tuple[str, StartFacts]] = []
    for one in there:
        facts = {name: (value, "template") for name, value in one.facts_at(count).items()}
        if speeds is not None and one is counted[0]:
            facts[counted[1]] = (speeds, "records")
        found.append((one.part, facts))
    return found


def _counted_by(parts: list[TemplatePart], count: int) -> tuple[TemplatePart | None, str]:
    """The part and the fact that a count of speeds is told of; one gear in a hub is none, so a count of 1 is of sprockets."""
    for fact in _COUNTED:
        least, most = tables().facts[fact].whole or (1, count)
        for one in parts:
            row = kind_row(kind_and_place(one.part)[0])
            if least <= count <= most and fact in row.facts and fact not in (row.always or {}):
                return one, fact
    return None, ""


def kind_and_place(words: str) -> tuple[str, str]:
    """Return a part's kind and, where the words hold one, its place: 'rotor front' and 'front rotor' are ('rotor', 'front')."""
    if words in tables().kinds:
        return words, ""
    end, _, behind = words.partition(" ")
    if end in ("front", "rear") and behind in tables().kinds:
        return behind, end
    for split in range(len(words.split()) - 1, 0, -1):
        kind, place = " ".join(words.split()[:split]), " ".join(words.split()[split:])
        if kind in tables().kinds and place.partition(" ")[0] in ("front", "rear"):
            return kind, place
    kind, _, place = words.rpartition(" ")
    return (kind, place) if kind and place in ("front", "rear") else (words, "")


def fit_parts(bike: Bike, named: Iterable[tuple[str, StartFacts]], day: date) -> list[Part]:
    """Write down parts that are found on a bike on *day*, each by its kind and end and with what is known of it."""
    parts = []
    for name, facts in named:
        kind, place = kind_and_place(name)
        parts.append(
            Part(kind=kind, place=place, start_facts={fact: list(known) for fact, known in facts.items()})
        )
    made = Part.objects.bulk_create(parts)
    Fitting.objects.bulk_create(Fitting(part=one, bike=bike, start=day, start_known=False) for one in made)
    return made


def spread_facts(build: Build, facts: Mapping[str, Value | None]) -> dict[int, dict[str, Value | None]]:
    """Return facts by the names of the fit rules as facts of the parts that they belong to, by the parts' numbers.

    Raises:
        InputRefused: A fact that belongs to no part of this bike.
    """
    found: dict[int, dict[str, Value | None]] = {}
    for name, value in facts.items():
        owners = owners_of(build, name)
        if not owners:
            sentence = worded(
                '"{name}" is a fact of no part on this build sheet: add the part first, then describe it.',
                name=name[:40],
            )
            raise InputRefused(sentence, {name[:60]: sentence})
        for part, fact in owners:
            found.setdefault(part.id, {})[fact] = value
    return found


def _usual_of(old: Part) -> dict[str, list[object]]:
    """What a new part of this kind most likely is, until somebody has looked: as the one before it."""
    settled = kind_row(old.kind).always or {}
    return {name: [known.value, "guess"] for name, known in facts_of_part(old).items() if name not in settled}


def replace_part(old: Part, bike: Bike, day: date) -> Part:
    """End the fitting of *old* and fit a new part of its kind where it was, from *day* on.

    What is known of the old part is a guess about the new one until somebody has looked; no marking is taken over.
    """
    fitting = old.fittings.filter(end__isnull=True).first()
    new = Part.objects.create(kind=old.kind, place=old.place, start_facts=_usual_of(old))
    if fitting is None:
        Fitting.objects.create(part=new, bike=bike, start=day)
        return new
    fitting.end = day
    fitting.save(update_fields=["end"])
    put_in_place(new, fitting, day)
    return new


def put_in_place(new: Part, fitting: Fitting, day: date) -> None:
    """Fit *new* where the part of *fitting* was, from *day* on: what that one carried goes onto the new one."""
    Fitting.objects.create(
        part=new, bike=fitting.bike, wheel=fitting.wheel, trainer=fitting.trainer, peg=fitting.peg, start=day
    )
    for carried in Fitting.objects.filter(wheel=fitting.part, end__isnull=True):
        # What came onto the old one after that day was moved again on the day it came.
        moved = max(day, carried.start)
        carried.end = moved
        carried.save(update_fields=["end"])
        Fitting.objects.create(part=carried.part, wheel=new, start=moved, start_known=carried.start_known)


def put_on_its_wheel(wheel: Part, bike: Bike, day: date) -> None:
    """Fit to a wheel what stands beside it on the build sheet and goes along with it: tyre, rotor, sprockets at its end.

    A template writes them down beside the wheel; from the day on which the wheel comes off they go where it goes.
    """
    beside = Fitting.objects.filter(bike=bike, end__isnull=True).exclude(part=wheel).select_related("part")
    for fitting in beside:
        row = kind_row(fitting.part.kind)
        if row.fitted_to == "wheel" and (fitting.part.place or row.end or "rear") == wheel.place:
            moved = max(day, fitting.start)
            fitting.end, fitting.gone_to = moved, MOVED
            fitting.save(update_fields=["end", "gone_to"])
            Fitting.objects.create(
                part=fitting.part, wheel=wheel, start=moved, start_known=fitting.start_known
            )


def next_tags(count: int) -> list[str]:
    """Return the next free tags of this workshop, such as PB-014, in order."""
    taken = Bike.objects.filter(tag__startswith="PB-").values_list("tag", flat=True)
    # A tag that was lost may turn up again: nobody else gets it.
    before = EarlierTag.objects.filter(tag__startswith="PB-").values_list("tag", flat=True)
    numbers = [int(tag[3:]) for tag in (*taken, *before) if tag[3:].isdigit()]
    first = max(numbers, default=0) + 1
    return [f"PB-{number:03d}" for number in range(first, first + count)]


def use_classes() -> tuple[str, ...]:
    """Return the classes of use."""
    return tuple(tables().uses)
