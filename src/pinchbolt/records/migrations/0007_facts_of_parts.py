"""What stood on a bike's flat list goes to the parts that own it, and each marking to the part that it was read on.

The old columns stay as they are for one release; going back therefore loses nothing and does nothing.
"""

import json
from collections import defaultdict
from collections.abc import Iterable
from datetime import date
from typing import Any

from django.db import migrations
from django.utils import timezone

from pinchbolt.records.migrations._facts_then import (
    BikeThen,
    Facts,
    PartThen,
    carried_over,
    marked_on,
    missing,
    specified,
)
from pinchbolt.records.migrations._templates_then import METAL, TEMPLATES

_AT_A_TIME = 500
_SENTENCE = "what was written down is not changed or removed: add a correction"


def to_parts(apps: Any, schema_editor: Any) -> None:
    """Give every part on a bike what its bike knew of it, and every part its own typed fields."""
    of_parts = _specified(apps)
    _write(schema_editor, of_parts)
    moved = _moved(apps)
    ids = list(apps.get_model("records", "Bike").objects.order_by("pk").values_list("pk", flat=True))
    for start in range(0, len(ids), _AT_A_TIME):
        _write(schema_editor, _of_bikes(apps, ids[start : start + _AT_A_TIME], of_parts, moved))


def _specified(apps: Any) -> dict[int, Facts]:
    rows = apps.get_model("records", "Part").objects.exclude(specification={})
    return {pk: specified(kind, given) for pk, kind, given in rows.values_list("pk", "kind", "specification")}


def _write(schema_editor: Any, facts: dict[int, Facts]) -> None:
    """Beside what a part may have already, so that a second run changes nothing."""
    rows = [(json.dumps({name: list(one) for name, one in of.items()}), part) for part, of in facts.items() if of]
    with schema_editor.connection.cursor() as cursor:
        cursor.executemany("UPDATE records_part SET start_facts = %s WHERE id = %s", rows)


def _of_bikes(
    apps: Any, bikes: list[int], own: dict[int, Facts], moved: dict[str, int]
) -> dict[int, Facts]:
    rows = apps.get_model("records", "Bike").objects.in_bulk(bikes)
    on = _on_now(apps, bikes)
    read = _read(apps, rows, moved)
    marked = _joints_marked(apps, bikes)
    facts: dict[int, Facts] = {}
    for bike in rows.values():
        then = _then(bike, on[bike.pk], read[bike.pk], marked[bike.pk])
        for kind, place in missing(then):
            on[bike.pk].append(_added(apps, bike, kind, place))
        then = _then(bike, on[bike.pk], read[bike.pk], marked[bike.pk])
        for part, of in carried_over(then).items():
            facts[part] = {**of, **own.get(part, {})}
    before = apps.get_model("records", "Part").objects.in_bulk(list(facts))
    for part, row in before.items():
        facts[part] |= {name: tuple(one) for name, one in row.start_facts.items()}
    return facts


def _on_now(apps: Any, bikes: list[int]) -> dict[int, list[Any]]:
    """The parts on each bike now, those on its wheels among them."""
    fittings = apps.get_model("records", "Fitting").objects.filter(end__isnull=True).select_related("part")
    found: dict[int, list[Any]] = defaultdict(list)
    bike_of: dict[int, int] = {}
    for fitting in fittings.filter(bike__in=bikes).order_by("pk"):
        found[fitting.bike_id].append(fitting.part)
        bike_of[fitting.part_id] = fitting.bike_id
    for fitting in fittings.filter(wheel__fittings__bike__in=bikes, wheel__fittings__end__isnull=True).order_by("pk"):
        found[bike_of[fitting.wheel_id]].append(fitting.part)
    return found


def _joints_marked(apps: Any, bikes: list[int]) -> dict[int, list[str]]:
    """The joints of each bike that a marking was read on."""
    rows = apps.get_model("records", "Marking").objects.filter(bike__in=bikes).exclude(joint="").order_by("pk")
    found: dict[int, list[str]] = defaultdict(list)
    for bike, joint in rows.values_list("bike_id", "joint"):
        found[bike].append(joint)
    return found


def _moved(apps: Any) -> dict[str, int]:
    """The last event by which a part came to or left a bike, by its tag."""
    last: dict[str, int] = {}
    for pk, said in apps.get_model("records", "Event").objects.filter(kind="part moved").order_by("pk").values_list("pk", "said"):
        last.update({str(said.get(side)): pk for side in ("out_of", "into")})
    return last


def _read(apps: Any, bikes: dict[int, Any], moved: dict[str, int]) -> dict[int, dict[str, Any]]:
    """What a hand read off each bike and still stands; after a part was moved only what is as it was read."""
    read: dict[int, dict[str, Any]] = defaultdict(dict)
    events = apps.get_model("records", "Event").objects.filter(kind="facts read", bike__in=list(bikes)).order_by("pk")
    for pk, bike, said in events.values_list("pk", "bike_id", "said"):
        row = bikes[bike]
        for name, told in said.get("facts", {}).items():
            stands = name in row.facts and (pk > moved.get(row.tag, 0) or _same(told, row.facts[name]))
            if stands:
                read[bike][name] = row.facts[name]
            else:
                read[bike].pop(name, None)
    return read


def _same(told: Any, value: Any) -> bool:
    if isinstance(value, bool):
        return str(told).strip().lower() in (("yes", "true", "1") if value else ("no", "false", "0"))
    try:
        return float(str(told).replace(",", ".")) == float(value)
    except ValueError:
        return " ".join(str(told).split()) == str(value)


def _then(bike: Any, parts: Iterable[Any], read: dict[str, Any], marked: Iterable[str]) -> BikeThen:
    speeds, usual = TEMPLATES.get(bike.template) or (None, {})
    return BikeThen(
        words=bike.words,
        speeds=bike.speeds,
        facts=bike.facts,
        joints=tuple(bike.joints),
        parts=tuple(_part_then(part) for part in parts),
        read=read,
        usual=usual,
        usual_speeds=speeds,
        kind=bike.kind,
        marked=tuple(marked),
        metal=METAL.get(bike.template, {}),
    )


def _part_then(part: Any) -> PartThen:
    return PartThen(part.pk, part.kind, part.place, (*part.limits, *part.deeper))


def _added(apps: Any, bike: Any, kind: str, place: str) -> Any:
    """A part that the older record spoke of: on the bike since its first day on record, and nobody looked."""
    first = bike.fittings.order_by("start").values_list("start", flat=True).first()
    part = apps.get_model("records", "Part").objects.create(kind=kind, place=place)
    apps.get_model("records", "Fitting").objects.create(
        part=part, bike=bike, start=first or timezone.localdate(), start_known=False
    )
    return part


def to_markings(apps: Any, schema_editor: Any) -> None:
    """Name the part that each marking was read on, where exactly one can be meant; its table refuses changes meanwhile no more."""
    rows = list(apps.get_model("records", "Marking").objects.filter(on_part__isnull=True).select_related("event"))
    if not rows:
        return
    _let_change(schema_editor)
    for row in rows:
        part = _marked(apps, row)
        if part is not None:
            row.on_part_id = part.id
            row.save(update_fields=["on_part"])
    _refuse_change(schema_editor)


def _marked(apps: Any, row: Any) -> PartThen | None:
    parts = _on_that_day(apps, row.bike_id, timezone.localdate(row.event.at))
    if row.joint:
        return marked_on(row.part, row.joint, parts)
    kind, _, end = row.part.rpartition(" ")
    found = [part for part in parts if (part.kind, part.place) == (kind, end)] or [
        part for part in parts if part.kind == row.part
    ]
    return found[0] if len(found) == 1 else None


def _on_that_day(apps: Any, bike: int, day: date) -> list[PartThen]:
    """All parts that may have been on the bike that day: one taken off and one put on that day are both among them."""
    fittings = apps.get_model("records", "Fitting").objects.filter(start__lte=day).select_related("part")
    there = [one for one in fittings.filter(bike=bike) if one.end is None or one.end >= day]
    wheels = [one.part_id for one in there]
    there += [one for one in fittings.filter(wheel__in=wheels) if one.end is None or one.end >= day]
    return [_part_then(part) for part in {one.part_id: one.part for one in there}.values()]


def _let_change(schema_editor: Any) -> None:
    if schema_editor.connection.vendor == "postgresql":
        schema_editor.execute("DROP TRIGGER marking_only_added ON records_marking")
    else:
        schema_editor.execute("DROP TRIGGER marking_no_update")


def _refuse_change(schema_editor: Any) -> None:
    if schema_editor.connection.vendor == "postgresql":
        # What waits to be checked at the end of the transaction is checked now, so that the table may be altered.
        schema_editor.execute("SET CONSTRAINTS ALL IMMEDIATE")
        schema_editor.execute(
            "CREATE TRIGGER marking_only_added BEFORE UPDATE OR DELETE ON records_marking "
            "FOR EACH ROW EXECUTE FUNCTION records_only_added()"
        )
        schema_editor.execute("SET CONSTRAINTS ALL DEFERRED")
    else:
        schema_editor.execute(
            "CREATE TRIGGER marking_no_update BEFORE UPDATE ON records_marking "
            f"BEGIN SELECT RAISE(ABORT, '{_SENTENCE}'); END"
        )


def back(apps: Any, schema_editor: Any) -> None:
    """Nothing: what was carried over goes with its columns, and the old ones were not touched."""


class Migration(migrations.Migration):
    """Data alone, in one transaction: a stop half-way leaves everything as it was."""

    dependencies = [("records", "0006_parts_described")]
    operations = [migrations.RunPython(to_parts, back), migrations.RunPython(to_markings, back)]
