"""A stay that leaves a person's words wherever they can be, for tests of erasing and of what is held."""

from pinchbolt.records.models import Owner
from pinchbolt.workshop.leaving.hand_over import HandOverRequest, hand_over
from pinchbolt.workshop.leaving.print_sheet import print_sheet
from pinchbolt.workshop.owners.change_owner import OwnerRequest, change_owner
from pinchbolt.workshop.owners.say_consent import ConsentRequest, say_consent
from pinchbolt.workshop.owners.told_fields import MAIL, PHONE, ReachWay
from pinchbolt.workshop.stays.note_finding import FindingRequest, note_finding
from tests import story
from tests.kept_stages import kept
from tests.story import NOW, Story


def gone(told: Story, *, paid: str = "cash") -> Owner:
    """A stay with everything that can hold a person's words, and the bike handed over."""
    owner = told.record.bike.owner
    by = {"by": told.first, "now": NOW}
    change_owner(
        OwnerRequest(
            owner.pk, {"name": "Dov Ellenbie", "address": "3 Weir Lane"}, [ReachWay(MAIL, "dov@example.org")]
        ),
        key=told.key(),
        **by,
    )
    change_owner(
        OwnerRequest(owner.pk, {"name": "Dov Ellenby"}, [ReachWay(PHONE, "+44 1632 960777", "Dov at work")]),
        key=told.key(),
        **by,
    )
    say_consent(ConsentRequest(owner.pk, "news", "text", True), key=told.key(), **by)
    hand_over(HandOverRequest(told.job, acknowledged=True, paid=paid), key=told.key(), **by)
    print_sheet("handover", told.job, NOW)
    owner.refresh_from_db()
    return owner


@kept
def worked_and_signed(told: Story) -> Story:
    """A road bike worked on and signed off."""
    worked = story.worked(story.answered(story.priced(story.walked_round(told))))
    said = FindingRequest(
        told.job, "Mr Ellenby rings 01632 960123 first. Seat post stuck.", "keep an eye on it"
    )
    note_finding(said, by=told.first, key=told.key(), now=NOW)
    return story.signed_off(worked)
