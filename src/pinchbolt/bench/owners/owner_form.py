"""What is asked about an owner."""

from django import forms
from django.http import QueryDict

from pinchbolt.bench.bench_form import BenchForm
from pinchbolt.bench.fields import Money, Picked, Whole, Words
from pinchbolt.values.wording import worded
from pinchbolt.workshop.owners.change_owner import BikeAddedRequest, OwnerRequest
from pinchbolt.workshop.owners.merge import MergeRequest, UndoMergeRequest
from pinchbolt.workshop.owners.owner_view import OwnerView
from pinchbolt.workshop.owners.say_consent import ConsentRequest
from pinchbolt.workshop.owners.tell_apart import ApartRequest
from pinchbolt.workshop.owners.told_fields import FIELDS, MAIL, PHONE, ReachWay

SLOTS = (PHONE, PHONE, PHONE, MAIL, MAIL)
"""Further ways that the page offers: three phones and two e-mails beside the number that is rung first."""


class OwnerForm(BenchForm):
    """Everything that an owner's page says."""

    name = Words(worded("name"))
    called = Words(worded("called"))
    belongs_to = Words(worded("club or firm"))
    phone = Words(worded("phone, rung first"))
    reach = Words(worded("how they like to be reached"))
    not_before = Words(worded("not before"))
    not_after = Words(worded("not after"))
    may_say_yes = Words(worded("who else may say yes or collect"))
    address = Words(worded("address"))
    language = Words(worded("language on papers"))
    note = Words(worded("note"), rows=3)
    their_number = Words(worded("their number elsewhere"))
    spend_limit = Money(worded("may spend without a call"))
    seen = Whole(worded("seen"), "acts")

    def __init__(self, data: QueryDict | None = None, owner: OwnerView | None = None) -> None:
        super().__init__(data)
        for number, kind in enumerate(self.kinds(owner)):
            self.fields[f"way_{number}"] = Words(worded("further {kind}", kind=kind))
            self.fields[f"whose_{number}"] = Words(worded("whose, or fine for"))
        if owner is not None:
            self.initial = {**owner.fields, "spend_limit": owner.spend_limit, "seen": owner.seen}
            for number, way in enumerate(self.placed(owner)):
                if way is not None:
                    self.initial |= {f"way_{number}": way.value, f"whose_{number}": way.whose}

    @staticmethod
    def kinds(owner: OwnerView | None) -> tuple[str, ...]:
        """The kinds of the ways offered: the usual ones, and one each for more than fit there."""
        ways = owner.ways if owner is not None else ()
        over = [
            kind
            for kind in (PHONE, MAIL)
            for _ in range(sum(way.kind == kind for way in ways) - SLOTS.count(kind))
        ]
        return (*SLOTS, *over)

    @classmethod
    def placed(cls, owner: OwnerView) -> tuple[ReachWay | None, ...]:
        """The owner's ways, each at the first place of its kind."""
        left = list(owner.ways)
        found: list[ReachWay | None] = []
        for kind in cls.kinds(owner):
            way = next((one for one in left if one.kind == kind), None)
            found.append(way)
            if way is not None:
                left.remove(way)
        return tuple(found)

    def asked(self, owner: OwnerView) -> OwnerRequest:
        """Return the request for the use case."""
        values = self.checked()
        ways = [
            ReachWay(kind, values[f"way_{number}"], values[f"whose_{number}"])
            for number, kind in enumerate(self.kinds(owner))
        ]
        told = {name: values[name] for name in FIELDS}
        return OwnerRequest(owner.number, told, ways, values["spend_limit"], True, values["seen"])


class ConsentForm(BenchForm):
    """What the owner said."""

    about = Picked("about")
    by_way = Picked("by")
    yes = Picked(worded("yes or no"))
    how = Picked(worded("said how"))
    day = forms.DateField(
        label=worded("on"),
        required=False,
        error_messages={"invalid": worded("A day is needed here. Choose it in the calendar.")},
    )

    def asked(self, owner: int) -> ConsentRequest:
        """Return the request for the use case."""
        values = self.checked()
        about, _, by_way = values["about"].partition(" by ")
        return ConsentRequest(
            owner, about, by_way or values["by_way"], values["yes"] == "yes", values["how"], values["day"]
        )


class MergeForm(BenchForm):
    """The other owner, and what comes from them."""

    gone = Whole(worded("the other owner"), "owners")

    def asked(self, owner: int) -> MergeRequest:
        """Return the request for the use case."""
        take = [
            name.removeprefix("take-")
            for name, value in self.data.items()
            if name.startswith("take-") and value == "gone"
        ]
        return MergeRequest(owner, self.checked()["gone"] or 0, take)


class UndoMergeForm(BenchForm):
    """The merge to take back."""

    merge = Whole(worded("merge"), "acts")

    def asked(self) -> UndoMergeRequest:
        """Return the request for the use case."""
        return UndoMergeRequest(self.checked()["merge"] or 0)


class ApartForm(BenchForm):
    """The other owner, who is somebody else."""

    other = Whole(worded("the other owner"), "owners")

    def asked(self, owner: int) -> ApartRequest:
        """Return the request for the use case."""
        return ApartRequest(owner, self.checked()["other"] or 0)


class BikeForm(BenchForm):
    """A further bike, which need not come in."""

    bike_kind = Picked(worded("kind of bike"))
    bike_words = Words(worded("describe the bike"))
    frame_number = Words(worded("frame number"))

    def asked(self, owner: int) -> BikeAddedRequest:
        """Return the request for the use case."""
        return BikeAddedRequest(owner, **self.checked())
