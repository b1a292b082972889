"""Finding what a request names, with a plain sentence where it is not there."""

from decimal import Decimal

from django.db.models import QuerySet

from pinchbolt.errors import NotFound
from pinchbolt.records.models import Bike, Finding, Job, Line, Owner, Part, Tool, Workshop
from pinchbolt.records.prepared import prepared
from pinchbolt.values.money import guess_text, money_text, written_as_in
from pinchbolt.values.wording import worded
from pinchbolt.workshop.acts.one_look import once_a_look


def has_workshop() -> bool:
    """Whether this home folder holds a workshop."""
    return Workshop.objects.exists()


@once_a_look.of(Workshop)
def terms() -> Workshop:
    """The workshop's one row."""
    workshop = _workshops.first()
    if workshop is None:
        raise NotFound(
            worded(
                "This home folder holds no workshop yet: open one with pinchbolt open, or with "
                "pinchbolt serve."
            )
        )
    # Figures are written as the shop's country does, whoever writes them.
    written_as_in(workshop.country)
    return workshop


def as_the_shop_writes() -> tuple[str, str]:
    """Return the currency and the country by which amounts are written; nothing before the workshop is opened."""
    try:
        found = terms()
    except NotFound:
        return "", ""
    return (found.currency, found.country)


def money_of_shop(amount: Decimal | None, currency: str = "") -> str:
    """Return an amount as the shop's country writes it, in the shop's currency unless another is named; None as nothing."""
    return "" if amount is None else money_text(amount, currency or terms().currency, terms().country)


def guess_of_shop(amount: Decimal, currency: str = "") -> str:
    """Return an amount that is a guess as the shop's country writes it: to the next five."""
    return guess_text(amount, currency or terms().currency, terms().country)


@once_a_look
def bike_by_tag(tag: str) -> Bike:
    """Return the bike with this tag, whatever the case; a tag that it had before leads to it too."""
    wanted = tag.strip().upper()[:12]
    bike = _tagged.first(wanted)
    if bike is None:
        before = Bike.objects.filter(earlier_tags__tag=wanted, earlier_tags__event__corrected_by__isnull=True)
        bike = before.select_related("owner").first()
    if bike is None:
        raise NotFound(
            worded(
                'No bike has the tag "{tag}". Look at the hang tag, or find the bike by its owner.',
                tag=tag[:20],
            )
        )
    return bike


@once_a_look
def owner_by_id(owner: int) -> Owner:
    """Return the owner; one who was merged into another is that other."""
    found = Owner.objects.select_related("merged_into").filter(pk=owner).first()
    if found is None:
        raise NotFound(worded("There is no owner {owner}. Find them by name, phone or tag.", owner=owner))
    return found if found.merged_into is None else owner_by_id(found.merged_into.pk)


@once_a_look.of(Job, Bike, Owner)
def job_by_id(job: int) -> Job:
    """Return the job."""
    found = _jobs.first(job)
    if found is None:
        raise NotFound(worded("There is no job {job}. Choose one from the shop day.", job=job))
    return found


@prepared
def _workshops() -> QuerySet[Workshop]:
    return Workshop.objects.order_by("pk")[:1]


@prepared
def _tagged(tag: str) -> QuerySet[Bike]:
    return Bike.objects.select_related("owner").filter(tag=tag)


@prepared
def _jobs(job: int) -> QuerySet[Job]:
    return Job.objects.select_related("bike", "bike__owner").filter(pk=job)


@prepared
def _parts(part: int) -> QuerySet[Part]:
    return Part.objects.filter(pk=part)


def part_by_id(part: int) -> Part:
    """Return the part."""
    found = _parts.first(part)
    if found is None:
        raise NotFound(worded("There is no part {part}. Choose one from the build sheet.", part=part))
    return found


def finding_by_id(finding: int) -> Finding:
    """Return the finding."""
    found = Finding.objects.select_related("job", "part").filter(pk=finding).first()
    if found is None:
        raise NotFound(
            worded("There is no finding {finding}. Choose one from the findings of the job.", finding=finding)
        )
    return found


def line_by_id(line: int) -> Line:
    """Return the line."""
    found = Line.objects.select_related("job", "finding", "finding__part").filter(pk=line).first()
    if found is None:
        raise NotFound(worded("There is no line {line}. Choose one from the estimate.", line=line))
    return found


def tool_by_id(tool: int) -> Tool:
    """Return the tool."""
    found = Tool.objects.filter(pk=tool).first()
    if found is None:
        raise NotFound(
            worded("There is no tool {tool} on the board. Choose one that hangs there.", tool=tool)
        )
    return found
