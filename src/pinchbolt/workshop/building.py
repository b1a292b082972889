"""Making a bike from a build template, and parts taking one another's place."""

from collections.abc import Iterable
from datetime import date

from django.db.models import F, Q
from pydantic import ValidationError

from pinchbolt.errors import InputRefused
from pinchbolt.records.models import Bike, Fitting, Owner, Part
from pinchbolt.records.specification import specification
from pinchbolt.reference.rows.build import Template
from pinchbolt.workshop.trade_tables import tables

USE_CLASSES = ("dry road", "mixed", "mud", "e-bike", "indoor")


def bike_from_template(
    template: str,
    *,
    owner: Owner,
    words: str,
    frame_number: str,
    speeds: int | None,
    use_class: str,
    today: date,
) -> Bike:
    """Make a bike with the parts, joints and interface facts of a build template.

    Raises:
        InputRefused: No such template or use class, or speeds out of sense.
    """
    templates = tables().templates
    row = templates.get(template)
    if row is None:
        sentence = (
            f'The build template "{template[:40]}" is not in the table: {", ".join(templates)}. Pick one.'
        )
        raise InputRefused(sentence, {"template": sentence})
    if use_class and use_class not in USE_CLASSES:
        sentence = f'The riding "{use_class[:40]}" is not known: {", ".join(USE_CLASSES)}. Pick one.'
        raise InputRefused(sentence, {"use_class": sentence})
    if speeds is not None and not 1 <= speeds <= 14:
        sentence = f"The bike has {speeds} speeds behind: 1 to 14 is possible. Count the sprockets."
        raise InputRefused(sentence, {"speeds": sentence})
    bike = Bike.objects.create(
        tag=next_tag(),
        owner=owner,
        kind=row.kind,
        words=words or row.plain,
        frame_number=frame_number,
        speeds=speeds if speeds is not None else row.speeds[0],
        use_class=use_class or row.use,
        km_a_week=row.km_a_week,
        template=template,
        facts=_facts(row, speeds if speeds is not None else row.speeds[0]),
        joints=joint_names(row),
    )
    for part in row.parts:
        kind, place = kind_and_place(part.part)
        limits, deeper = (for_speeds(ids, bike.speeds) for ids in (part.limits, part.deeper))
        fit_part(bike, kind, place, today, limits=limits, deeper=deeper, start_known=False)
    return bike


def kind_and_place(words: str) -> tuple[str, str]:
    """Return a part's kind and, where the words end in one, its place: 'rotor front' is ('rotor', 'front')."""
    kind, _, place = words.rpartition(" ")
    return (kind, place) if kind and place in ("front", "rear") else (words, "")


def for_speeds(limits: Iterable[str], speeds: int | None) -> list[str]:
    """Return the limit ids that are read on a bike with so many speeds."""
    rows = [tables().limits[limit] for limit in limits]
    return [row.id for row in rows if speeds is None or not row.speeds or speeds in row.speeds]


def joint_names(row: Template) -> list[str]:
    """Return the names of a template's joints, those of the two ends told apart."""
    return list(
        dict.fromkeys(f"{joint.joint}:{joint.at}" if joint.at else joint.joint for joint in row.joints)
    )


def _facts(row: Template, speeds: int | None) -> dict[str, str | float | bool]:
    """Return the template's interface facts, those of a front or rear part told apart by their place."""
    facts: dict[str, str | float | bool] = {}
    for part in row.parts:
        _, place = kind_and_place(part.part)
        for name, value in part.facts_at(speeds).items():
            facts[f"{name}_{place}" if place and not name.endswith(place) else name] = value
    return facts


def fit_part(
    bike: Bike,
    kind: str,
    place: str,
    day: date,
    *,
    limits: list[str],
    deeper: list[str] | None = None,
    given: dict[str, object] | None = None,
    start_known: bool = True,
) -> Part:
    """Fit a new part to a bike from *day* on.

    Raises:
        InputRefused: The specification has a field or value that this kind of part does not take.
    """
    try:
        checked = specification(kind, given or {})
    except ValidationError as error:
        first = error.errors()[0]
        field = ".".join(str(step) for step in first["loc"])
        sentence = f'{kind}, {field} is "{first.get("input")}": {first["msg"]}. Correct the specification.'
        raise InputRefused(sentence, {field: sentence}) from error
    part = Part.objects.create(
        kind=kind,
        place=place,
        limits=limits,
        deeper=deeper or [],
        specification=checked.model_dump(exclude_none=True, mode="json"),
    )
    Fitting.objects.create(part=part, bike=bike, start=day, start_known=start_known)
    return part


def replace_part(old: Part, bike: Bike, day: date) -> Part:
    """End the fitting of *old* and fit a new part of the same kind, place and limits where it was, from *day* on.

    What was marked on the old part is not taken over: the new one is read afresh.
    """
    fitting = old.fittings.filter(end__isnull=True).first()
    kept = {name: value for name, value in old.specification.items() if not name.startswith("marked_")}
    new = Part.objects.create(
        kind=old.kind, place=old.place, limits=old.limits, deeper=old.deeper, specification=kept
    )
    if fitting is None:
        Fitting.objects.create(part=new, bike=bike, start=day)
        return new
    fitting.end = day
    fitting.save(update_fields=["end"])
    Fitting.objects.create(
        part=new, bike=fitting.bike, wheel=fitting.wheel, trainer=fitting.trainer, start=day
    )
    return new


def next_tag() -> str:
    """Return the next free tag of this workshop, such as PB-014."""
    taken = Bike.objects.filter(tag__startswith="PB-").values_list("tag", flat=True)
    numbers = [int(tag[3:]) for tag in taken if tag[3:].isdigit()]
    return f"PB-{max(numbers, default=0) + 1:03d}"


def parts_on(bike: Bike) -> list[Part]:
    """Return the parts fitted to a bike now, those on its wheels last."""
    on_wheels = Q(wheel__fittings__bike=bike, wheel__fittings__end__isnull=True)
    fittings = Fitting.objects.filter(Q(bike=bike) | on_wheels, end__isnull=True).select_related("part")
    return [fitting.part for fitting in fittings.order_by(F("bike").asc(nulls_last=True), "pk").distinct()]
