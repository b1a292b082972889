"""Wheels go out as open files with everything else and come back in: the sheet says the same, and what was written stays guarded."""

from pathlib import Path

import pytest
from django.db import IntegrityError, transaction

from pinchbolt.records.models import MeterCheck, NippleTurn, Person, SpokesHeard, WheelReading
from pinchbolt.workshop.acts.one_look import one_look
from pinchbolt.workshop.keeping.bring_in import bring_in
from pinchbolt.workshop.keeping.write_out import write_out
from pinchbolt.workshop.tools.tension_meter import MeterTriedRequest, meters, try_meter
from pinchbolt.workshop.wheels.break_spoke import BreakSpokeRequest, break_spoke
from pinchbolt.workshop.wheels.hear_spokes import HeardSpoke, HearSpokesRequest, note_pitches
from tests.story import NOW, PASSPHRASE
from tests.workshop.keeping.test_out_and_in import empty
from tests.workshop.wheels.wheel_story import KIND, in_stand, meter


@pytest.mark.django_db
def test_a_wheel_goes_out_and_comes_back_as_it_was(tmp_path: Path, settings: object) -> None:
    """A reading, turns, plucks, a broken spoke, a meter with its table and check."""
    settings.ERASED_LIST = tmp_path / "home" / "erased-owners.txt"  # type: ignore[attr-defined]
    settings.SHOP_TABLES = tmp_path / "home" / "tables"  # type: ignore[attr-defined]
    Person.objects.make("marnie", "Marnie Oakes", "owner of the workshop", PASSPHRASE)
    on = in_stand()
    mark = {"by": on.told.first, "now": NOW}
    tool = meter(on.told)
    try_meter(MeterTriedRequest(tool, KIND, 80.0, 19.5), key=on.told.key(), **mark)  # type: ignore[arg-type]
    break_spoke(BreakSpokeRequest(on.told.job, on.part, "elbow", 3), key=on.told.key(), **mark)  # type: ignore[arg-type]
    on.read()
    on.turn(5, -1)
    heard = HearSpokesRequest(on.told.job, on.part, (HeardSpoke(3, 401.5),))
    note_pitches(heard, key=on.told.key(), **mark)  # type: ignore[arg-type]
    with one_look():
        before, board = on.sheet(), meters()
    write_out(tmp_path / "out", NOW, "0.2.0")
    empty()
    bring_in(tmp_path / "out", "four quite other words", NOW)
    with one_look():
        assert (on.sheet(), meters()) == (before, board)
    for guarded in (WheelReading, NippleTurn, SpokesHeard, MeterCheck):
        with pytest.raises(IntegrityError, match="not changed or removed"), transaction.atomic():
            guarded.objects.all().delete()
