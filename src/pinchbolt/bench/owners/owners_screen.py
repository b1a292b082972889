"""The owner's page: seen, put right, consent, a further bike, merged and taken apart."""

from dataclasses import dataclass

from django.forms import BoundField
from django.http import HttpRequest, HttpResponse
from django.views.decorators.http import require_safe

from pinchbolt.bench.act import SentAct, acts
from pinchbolt.bench.addresses import see
from pinchbolt.bench.bench_form import BenchForm, own_form
from pinchbolt.bench.owners.owner_form import (
    ApartForm,
    BikeForm,
    ConsentForm,
    MergeForm,
    OwnerForm,
    UndoMergeForm,
)
from pinchbolt.bench.page import Page
from pinchbolt.bench.shared import screen
from pinchbolt.reference.rows.kinds import BikeKind
from pinchbolt.values.wording import worded
from pinchbolt.workshop.acts.lookups import owner_by_id
from pinchbolt.workshop.common.trade_tables import tables
from pinchbolt.workshop.owners.change_owner import add_bike, change_owner
from pinchbolt.workshop.owners.find import BikeMatch, find_bikes
from pinchbolt.workshop.owners.merge import merge_owners, undo_merge
from pinchbolt.workshop.owners.owner_view import MergeRow, OwnerView, merge_rows, owner_view
from pinchbolt.workshop.owners.say_consent import HOW, say_consent
from pinchbolt.workshop.owners.tell_apart import tell_apart
from pinchbolt.workshop.owners.told_fields import WORDS


@dataclass(frozen=True, slots=True)
class OwnerPage(Page):
    """What is shown: an owner."""

    title: str
    owner: OwnerView
    owner_form: OwnerForm
    consent_form: ConsentForm
    bike_form: BikeForm
    kinds: tuple[BikeKind, ...]
    hows: tuple[str, ...]
    done: str

    @property
    def ways(self) -> tuple[tuple[BoundField, BoundField], ...]:
        """The fields of each further phone and e-mail: itself, and whose it is."""
        count = len(OwnerForm.kinds(self.owner))
        form = self.owner_form
        return tuple((form[f"way_{number}"], form[f"whose_{number}"]) for number in range(count))


@require_safe
def owner(request: HttpRequest, owner: int) -> HttpResponse:
    """An owner; who was merged into another leads there."""
    stands = owner_by_id(owner).pk
    return owner_page(request, None, owner) if stands == owner else see("owner", owner=stands)


@acts(
    lambda request: OwnerForm(request.POST, _of(request)),
    lambda request, form, owner: owner_page(request, form, owner),
)
def change(act: SentAct[OwnerForm], owner: int) -> HttpResponse:
    """Put the fields right."""
    done = change_owner(act.form.asked(owner_view(owner)), **act.mark)
    words = ", ".join(WORDS[name] for name in done.changed)
    return see(
        "owner",
        owner=done.owner,
        query={"done": worded("Saved: {words}.", words=words) if words else worded("Nothing was changed.")},
    )


@acts(ConsentForm, lambda request, form, owner: owner_page(request, form, owner))
def consent(act: SentAct[ConsentForm], owner: int) -> HttpResponse:
    """Write down what the owner said."""
    asked = act.form.asked(owner)
    say_consent(asked, **act.mark)
    said = worded(
        "Saved: {about} by {by_way}, {yes}.",
        about=asked.about,
        by_way=asked.by_way,
        yes=worded("yes") if asked.yes else worded("no"),
    )
    return see("owner", owner=owner, at="consent", query={"done": said})


@acts(BikeForm, lambda request, form, owner: owner_page(request, form, owner))
def bike_of_owner(act: SentAct[BikeForm], owner: int) -> HttpResponse:
    """Write down a further bike."""
    tag = add_bike(act.form.asked(owner), **act.mark)
    return see("bike", tag=tag, query={"done": worded("Saved: a further bike, {tag}.", tag=tag)})


@acts(ApartForm, lambda request, form, owner: owner_page(request, form, owner))
def apart(act: SentAct[ApartForm], owner: int) -> HttpResponse:
    """They are two people."""
    tell_apart(act.form.asked(owner), **act.mark)
    return see("owner", owner=owner, query={"done": worded("Written down: they are two people.")})


def _of(request: HttpRequest) -> OwnerView | None:
    """The owner whose form was sent, so that it has as many fields as the page had."""
    match = request.resolver_match
    return owner_view(int(match.kwargs["owner"])) if match is not None else None


def owner_page(request: HttpRequest, form: BenchForm | None, owner: int) -> HttpResponse:
    """Answer with an owner's page, after a refusal with the form's entries."""
    seen = owner_view(owner)
    sent = form if isinstance(form, OwnerForm) else OwnerForm(None, seen)
    page = OwnerPage(
        title=seen.name,
        owner=seen,
        owner_form=sent,
        consent_form=own_form(form, ConsentForm),
        bike_form=own_form(form, BikeForm),
        kinds=tuple(tables().bike_kinds.values()),
        hows=HOW,
        done=request.GET.get("done", "")[:200],
    )
    return screen(request, "owners/owner.html", page, form)


@dataclass(frozen=True, slots=True)
class MergePage(Page):
    """What is shown: two owners side by side, or whom to merge with."""

    title: str
    owner: OwnerView
    other: OwnerView | None
    rows: tuple[MergeRow, ...]
    wanted: str
    found: tuple[BikeMatch, ...]


@require_safe
def merging(request: HttpRequest, owner: int) -> HttpResponse:
    """Find the other (?find=), look at both (?with=)."""
    return _merging(request, None, owner)


@acts(MergeForm, lambda request, form, owner: _merging(request, form, owner))
def merge(act: SentAct[MergeForm], owner: int) -> HttpResponse:
    """Merge them."""
    kept = merge_owners(act.form.asked(owner), **act.mark)
    return see("owner", owner=kept, query={"done": worded("Merged. It can be undone below at any time.")})


@acts(UndoMergeForm, lambda request, form, owner: owner_page(request, form, owner))
def take_apart(act: SentAct[UndoMergeForm], owner: int) -> HttpResponse:
    """Take them apart again, and say what came after the merge."""
    done = undo_merge(act.form.asked(), **act.mark)
    many = len(done.after)
    after = worded(
        " {many} thing{s} came after the merge and stay{s2} here: {after}.",
        many=many,
        s="s" if many != 1 else "",
        s2="s" if many == 1 else "",
        after="; ".join(done.after),
    )
    return see(
        "owner",
        owner=done.kept,
        query={"done": worded("Two owners again.{after}", after=after if many else "")[:200]},
    )


def _merging(request: HttpRequest, form: BenchForm | None, owner: int) -> HttpResponse:
    seen = owner_view(owner)
    number = str(
        (form.data if form is not None else request.GET).get("gone" if form is not None else "with", "")
    )[:12]
    other = owner_view(int(number)) if number.isdecimal() else None
    wanted = request.GET.get("find", "")[:120]
    owners = {one.owner_id: one for one in find_bikes(wanted, 40) if one.owner_id != seen.number}
    page = MergePage(
        title=worded("merge {name}", name=seen.name),
        owner=seen,
        other=other,
        rows=merge_rows(seen.number, other.number) if other is not None else (),
        wanted=wanted,
        found=tuple(owners.values())[:8],
    )
    return screen(request, "owners/merge.html", page, form)
