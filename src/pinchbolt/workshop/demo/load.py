"""Loads the demo workshop through the same use cases that a mechanic uses, visit by visit."""

from dataclasses import dataclass, field
from datetime import date, datetime, time
from decimal import Decimal
from importlib.resources import files

from django.db import transaction
from django.utils import timezone

from pinchbolt.errors import NotPossibleNow
from pinchbolt.records.models import (
    Bike,
    Fitting,
    Instrument,
    InstrumentCheck,
    Owner,
    Part,
    Person,
    Role,
    Tool,
    ToolCheck,
    Trainer,
    Workshop,
)
from pinchbolt.workshop.acts.acting import act
from pinchbolt.workshop.acts.one_look import kept_until_written
from pinchbolt.workshop.acts.passphrases import made_passphrase, made_pin
from pinchbolt.workshop.bikes.build_sheet import sheet_of_bike
from pinchbolt.workshop.bikes.building import fit_parts, parts_of_template, spread_facts
from pinchbolt.workshop.common.trade_tables import tables, with_tables
from pinchbolt.workshop.demo.scenario import Row, Scenario, scenario
from pinchbolt.workshop.demo.visits import Year, open_jobs, play_year
from pinchbolt.workshop.parts.suppliers import SupplierRequest, say_supplier
from pinchbolt.workshop.parts.take_in_parts import PartsRequest, take_in_parts
from pinchbolt.workshop.rides.note_distance import DistanceRequest, note_distance

PEOPLE = (
    ("ines", "Ines Holloway", Role.OWNER, 1),
    ("tobias", "Tobias Quill", Role.MECHANIC, 2),
    ("wren", "Wren Abara", Role.MECHANIC, 3),
    ("juno", "Juno Marl", Role.COUNTER, None),
)


@dataclass(frozen=True, slots=True)
class InventedPerson:
    """Who can be signed in as, and the words that were made for them by chance."""

    sign_in: str
    name: str
    role: str
    passphrase: str
    pin: str


@dataclass(frozen=True, slots=True)
class DemoLoaded:
    """How many bikes there are, and who is in the workshop."""

    bikes: int
    people: tuple[InventedPerson, ...]


_TEMPLATES = {
    "MY-01": "road-disc", "MY-02": "road-rim", "MY-03": "gravel-1x", "MY-04": "hardtail", "MY-05": "e-mtb",
    "MY-06": "city-hub-gear", "MY-07": "hybrid-disc", "MY-08": "ebike-belt", "MY-09": "cargo-ebike", "MY-10": "child",
    "MY-11": "track", "MY-12": "tourer",
}  # fmt: skip
_USE = {
    "MY-01": "dry road",
    "MY-02": "mixed",
    "MY-03": "mud",
    "MY-04": "mud",
    "MY-05": "e-bike",
    "MY-08": "e-bike",
    "MY-09": "e-bike",
}
_NO_HAND_TOOLS = ("repair-stand", "truing-stand")


@dataclass
class _Made:
    """What was made so far, by the names of the scenario."""

    people: dict[str, Person] = field(default_factory=dict)
    invented: list[InventedPerson] = field(default_factory=list)
    instruments: dict[str, Instrument] = field(default_factory=dict)
    tools: dict[str, Tool] = field(default_factory=dict)


def load_demo(now: datetime) -> DemoLoaded:
    """Load the demo into an empty home folder.

    Raises:
        NotPossibleNow: There is a workshop here already.
    """
    if Workshop.objects.exists():
        raise NotPossibleNow(
            "This home folder holds a workshop already: open it with pinchbolt serve --demo, or load it again with: pinchbolt demo --fresh"
        )
    told = scenario(timezone.localtime(now).date())
    # One transaction: a demo that was cut half-way leaves nothing behind. Nobody else writes here, so that one act after the
    # other goes on with what the last one looked up.
    with transaction.atomic(), kept_until_written(), with_tables():
        made = _Made()
        _the_workshop(told, made)
        _the_board(told, made)
        for row in told.raw["bike"]:
            _the_bike(row, told)
        _the_wheels(told)
        _the_bins(told, made)
        year = Year(
            told,
            {name: one.pk for name, one in made.people.items()},
            {name: one.pk for name, one in made.instruments.items()},
        )
        play_year(year)
        open_jobs(year, now)
    return DemoLoaded(Bike.objects.count(), tuple(made.invented))


def _at(day: date, hour: int, minute: int = 0) -> datetime:
    return timezone.make_aware(datetime.combine(day, time(hour, minute)))


def _the_workshop(told: Scenario, made: _Made) -> None:
    shop = told.workshop
    Workshop.objects.create(
        name=shop["name"],
        town=shop["town"],
        currency=shop["currency"],
        labour_an_hour=Decimal(str(shop["labour_per_hour"])).quantize(Decimal("0.01")),
        tax_percent=Decimal(shop["tax_percent"]),
        stands=shop["stands"],
        is_demo=True,
    )
    for sign_in, name, role, stand in PEOPLE:
        one = InventedPerson(sign_in, name, str(role), made_passphrase(), made_pin())
        made.invented.append(one)
        made.people[name] = Person.objects.make(sign_in, name, role, one.passphrase, one.pin, stand)


def _the_board(told: Scenario, made: _Made) -> None:
    """Every instrument of the table, every torque tool, and the hand tools of the bench."""
    for row in tables().instruments.values():
        made.instruments[row.id] = Instrument.objects.create(table_id=row.id, name=row.name)
    for torque in tables().torque_tools.values():
        made.tools[torque.id] = Tool.objects.create(table_id=torque.id, name=torque.name, hangs="torque rail")
    for tool in tables().tools.values():
        if tool.kit in ("bench", "both") and tool.id not in _NO_HAND_TOOLS:
            made.tools[tool.id] = Tool.objects.create(table_id=tool.id, name=tool.name, hangs="bench board")
    by = made.people["Ines Holloway"].pk
    for number, row in enumerate(told.raw["gauge_check"]):
        with act(
            "instrument checked",
            by=by,
            key=f"demo-gauge-{number}",
            now=_at(told.day(row["date"]), 8),
            request=_words(row),
        ) as this:
            InstrumentCheck.objects.create(
                event=this.write(),
                instrument=made.instruments[row["instrument"]],
                against=row["on"],
                bias=row["bias"],
                unit="percent",
                good=True,
                words=row["result"],
                day=told.day(row["date"]),
            )
    for number, row in enumerate(told.raw["tool_check"]):
        with act(
            "tool checked",
            by=by,
            key=f"demo-tool-{number}",
            now=_at(told.day(row["date"]), 8),
            request=_words(row),
        ) as this:
            ToolCheck.objects.create(
                event=this.write(),
                tool=made.tools[row["tool"]],
                day=told.day(row["date"]),
                due=told.day(row["next"]),
                good=True,
                words=row["result"],
            )


def _the_bins(told: Scenario, made: _Made) -> None:
    """Parts in the bins and to order, taken in from a file as a workshop would."""
    text = files("pinchbolt.workshop.demo").joinpath("parts.csv").read_text(encoding="utf-8")
    by, now = made.people["Ines Holloway"].pk, _at(told.start, 8)
    take_in_parts(PartsRequest(text), by=by, key="demo-parts-0001", now=now)
    for number, asked in enumerate(_SUPPLIERS):
        say_supplier(asked, by=by, key=f"demo-supplier-{number}", now=now)


_SUPPLIERS = (
    SupplierRequest(
        "Harrow Supply", "01632 960 410", "by their list, until six in the evening", "4471", 1,
        carriage=Decimal("5.50"), free_from=Decimal("90.00"),
    ),
    SupplierRequest(
        "Quayside Parts", "01632 960 388", "by phone", "PB-22", 3,
        carriage=Decimal("7.00"), free_from=Decimal("120.00"), least_order=Decimal("30.00"),
    ),
)  # fmt: skip


def _words(row: Row) -> dict[str, str]:
    return {name: str(value) for name, value in row.items()}


def _the_bike(row: Row, told: Scenario) -> None:
    owner_row = next(one for one in told.raw["owner"] if one["id"] == row["owner"])
    owner = Owner.objects.create(
        name=owner_row["name"],
        reach=owner_row["reach"],
        spend_limit=Decimal(owner_row["spend_without_asking"]),
    )
    template = tables().templates[_TEMPLATES[row["tag"]]]
    use = _USE.get(row["tag"], "mixed")
    bike = Bike.objects.create(
        tag=row["tag"],
        owner=owner,
        kind=row["kind"],
        words=row["plain"],
        use_class=use,
        km_a_week=template.km_a_week,
        school="late" if row["tag"] == "MY-07" else "",
        template=template.id,
        note=row["story"],
    )
    without = set(row.get("without", ()))
    usual = {name: facts for name, facts in parts_of_template(template, row["speeds"]) if name not in without}
    usual |= {name: {} for name in row.get("also", ())}
    told_kinds = {part["kind"] for part in told.rows("part", bike=bike.tag)}
    names = (*sorted(told_kinds), *(name for name in usual if name not in told_kinds))
    fit_parts(bike, [(name, usual.get(name, {})) for name in names], told.start)
    sheet = sheet_of_bike(bike)
    spread = spread_facts(sheet.build, row["build"])
    for number, part_row in sheet.parts.items():
        facts = spread.get(number, {})
        own = row.get("parts_are", {}).get(f"{part_row.kind} {part_row.place}".strip(), {})
        part_row.start_facts |= {name: [value, "records"] for name, value in (facts | own).items()}
    Part.objects.bulk_update(sheet.parts.values(), ["start_facts"])


def _the_wheels(told: Scenario) -> None:
    """The two wheelsets of one bike, the everyday cassette, and the trainer that eats its kilometres."""
    bike = Bike.objects.get(tag="MY-01")
    everyday = Part.objects.filter(fittings__bike=bike, kind="wheel", place="rear").get()
    trainer = Trainer.objects.create(
        name="indoor trainer of the owner of MY-01",
        owner=bike.owner,
        facts={"body": "hg-11", "rear_hub": "r-12x142", "frame_rear": "r-12x142"},
    )
    summer = Part.objects.create(kind="wheel", place="rear", words="light summer wheel")
    away, back = told.day(date(2026, 6, 11)), told.day(date(2026, 10, 20))
    first = everyday.fittings.get()
    first.end = away
    first.save(update_fields=["end"])
    Fitting.objects.create(part=everyday, trainer=trainer, start=away, end=back)
    Fitting.objects.create(part=summer, bike=bike, start=away, end=back)
    Fitting.objects.create(part=everyday, bike=bike, start=back)
    cassette = Part.objects.filter(fittings__bike=bike, kind="cassette").get()
    cassette.fittings.update(bike=None, wheel=everyday)
    hours = next(row["trainer_hours"] for row in told.raw["wheel"] if row["id"] == "MY-01-everyday")
    note_distance(
        DistanceRequest(away, back, hours * 25.0, "guess", trainer=trainer.pk),
        by=Person.objects.get(sign_in="ines").pk,
        key="demo-trainer-distance",
        now=_at(back, 8),
    )
