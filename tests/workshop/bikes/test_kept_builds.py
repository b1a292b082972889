"""The build of a bike is the very one made before for as long as nothing of it changed, and another one as soon as something did."""

from pinchbolt.engines.build import items_for, joints_of
from pinchbolt.records.models import Bike
from pinchbolt.workshop.acts.one_look import one_look
from pinchbolt.workshop.bikes.build_sheet import build_of
from tests import story


def test_what_follows_from_a_build_is_worked_out_anew_when_a_fact_is_told(db: None) -> None:
    """Two looks at one bike take the same build; a fact told between them is seen by the next."""
    story.checked_in()
    bike = Bike.objects.get(tag="PB-001")
    with one_look():
        first = build_of(bike)
        joints = joints_of(first)
    with one_look():
        again = build_of(bike)
        assert again is first and joints_of(again) is joints and items_for(again) is items_for(first)
    story.know("PB-001", {"tyre_front": "40-622"})
    with one_look():
        after = build_of(bike)
    assert after is not first and after != first
    assert story.known("PB-001")["tyre_front"] == "40-622"
