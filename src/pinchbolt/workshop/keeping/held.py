"""Everything we hold about one owner: as data, and as a plain letter, in one file that is handed to them."""

import io
import json
import zipfile
from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime
from hashlib import sha256
from typing import cast

from django.conf import settings
from django.db.models import Q, QuerySet, Sum
from django.utils.module_loading import import_string

from pinchbolt.records.models import (
    Bike,
    Bill,
    Consent,
    Job,
    Owner,
    OwnerWords,
    Paper,
    Photo,
    ProofPhoto,
    Ride,
)
from pinchbolt.values import Json
from pinchbolt.values.ahead import day_words
from pinchbolt.values.money import figure_text
from pinchbolt.values.wording import worded
from pinchbolt.workshop.acts.acting import act
from pinchbolt.workshop.acts.lookups import money_of_shop, owner_by_id, terms
from pinchbolt.workshop.common.checks import local_day
from pinchbolt.workshop.common.plain_json import as_json
from pinchbolt.workshop.owners.change_owner import owner_to_change
from pinchbolt.workshop.owners.consent import consents_of
from pinchbolt.workshop.owners.one_person import all_of, stays_of
from pinchbolt.workshop.owners.told_fields import FIELDS, WORDS, said_now


@dataclass(frozen=True, slots=True)
class HeldRequest:
    """The owner who is told what we hold."""

    owner: int


@dataclass(frozen=True, slots=True)
class HeldLetter:
    """What the letter says: who is written to, by which workshop, on which day, and in plain lines what is held."""

    owner: str
    workshop: str
    lines: tuple[tuple[str, str], ...]


def tell_what_we_hold(request: HeldRequest, *, by: int, key: str, now: datetime) -> bytes:
    """Return a zip: everything.json, letter.pdf, the papers that were handed out and the photos; that it was told is written down.

    Raises:
        NotFound: No such owner.
        NotPossibleNow: The owner was erased: nothing is held.
    """
    with act("told what we hold", by=by, key=key, now=now, request=request) as this:
        owner = owner_to_change(request.owner)
        if not this.repeated:
            this.write()
    press = cast(Callable[[int, datetime], bytes], import_string(settings.LETTER_PRESS))
    files = {
        "everything.json": json.dumps(everything_held(owner.pk, now), ensure_ascii=False, indent=2).encode(),
        "letter.pdf": press(owner.pk, now),
        **{f"papers/{_file_name(paper.name)}.pdf": bytes(paper.pdf) for paper in papers_of(owner.pk)},
        **{_photo_name(photo): bytes(photo.jpeg) for photo in _photos_of(owner.pk)},
        **{_proof_name(proof): bytes(proof.jpeg) for proof in _proofs_of(owner.pk)},
    }
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as packed:
        for name, data in files.items():
            packed.writestr(zipfile.ZipInfo(name, (now.year, now.month, now.day, 0, 0, 0)), data)
    return out.getvalue()


def held_letter(owner: int, now: datetime) -> HeldLetter:
    """Return what the letter says.

    Raises:
        NotFound: No such owner.
    """
    row = owner_by_id(owner)
    held = everything_held(row.pk, now)
    fields = {**held["owner"], "spend_limit": money_of_shop(row.spend_limit)}
    lines = [(WORDS[name], str(value)) for name, value in fields.items() if value]
    lines += [(f"{one['kind']} {one['whose']}".strip(), one["value"]) for one in held["ways"]]
    lines += [
        (
            worded("{about} by {by_way}", about=one["about"], by_way=one["by_way"]),
            worded(
                "{yes}, said on {day} {how}",
                yes=worded("yes") if one["yes"] else worded("no"),
                day=_day_of(one["day"]),
                how=one["how"],
            ),
        )
        for one in held["consents"]
    ]
    for bike in held["bikes"]:
        number = worded(", frame number {bike}", bike=bike["frame_number"]) if bike["frame_number"] else ""
        stays = ", ".join(_day_of(stay["opened_at"]) for stay in bike["stays"])
        lines.append(
            (
                worded("bike {bike}", bike=bike["tag"]),
                worded(
                    "{bike}{number}; was here: {stays}",
                    bike=bike["words"],
                    number=number,
                    stays=stays or worded("never"),
                ),
            )
        )
    if held["rides"]["count"]:
        lines.append(
            (
                "rides",
                worded(
                    "{count} rides, {km} km: sums only, never where they went",
                    count=figure_text(held["rides"]["count"]),
                    km=figure_text(held["rides"]["km"]),
                ),
            )
        )
    if held["photos"]:
        lines.append(
            (
                "photos",
                worded(
                    "{held}, each beside this letter with its day in everything.json",
                    held=len(held["photos"]),
                ),
            )
        )
    if held["proofs"]:
        told = worded(
            "{held} of markings, receipts and claims, each beside this letter", held=len(held["proofs"])
        )
        lines.append(("proofs", told))
    if held["bills"]:
        lines.append(("bills", ", ".join(one["number"] for one in held["bills"])))
    return HeldLetter(row.name, terms().name, tuple(lines))


def _day_of(kept: str) -> str:
    """A day, or a time by the workshop's own calendar, as people write it."""
    return day_words(local_day(datetime.fromisoformat(kept)))


def everything_held(owner: int, now: datetime) -> Json:
    """Return everything that is held of an owner and of whoever was merged into them, as JSON.

    Of others, who may say yes for the owner, there is what the owner's own fields say.
    """
    row = owner_by_id(owner)
    one = all_of(row.pk)
    stays: dict[int, list[Job]] = {}
    for job in stays_of(row.pk):
        stays.setdefault(job.bike_id, []).append(job)
    bikes = Bike.objects.filter(Q(owner=row) | Q(pk__in=stays)).order_by("tag")
    rides = Ride.objects.filter(owner__in=one)
    metres = rides.aggregate(all=Sum("distance_m"))["all"] or 0.0
    told: Json = as_json({
        "workshop": terms().name,
        "told_on": local_day(now),
        "number": row.pk,
        "owner": {name: said_now(row, name) for name in (*FIELDS, "spend_limit")},
        "ways": row.ways,
        "consents": [
            {"about": said.about, "by_way": said.by_way, "yes": said.yes, "day": said.day, "how": said.how}
            for said in Consent.objects.filter(owner__in=one).order_by("pk")
        ],
        "consents_that_stand": [said for said in consents_of(row.pk) if said.yes is not None],
        "earlier_words": [
            {"at": said.event.at, "changes": said.changes}
            for said in OwnerWords.objects.filter(owner__in=one).select_related("event").order_by("pk")
        ],
        "merged_with": [
            {name: said_now(gone, name) for name in FIELDS}
            for gone in Owner.objects.filter(pk__in=one).exclude(pk=row.pk).order_by("pk")
        ],
        "bikes": [_bike(bike, stays.get(bike.pk, []), row.pk) for bike in bikes],
        "rides": {
            "count": rides.count(),
            "km": round(metres / 1000),
            "rows": list(rides.order_by("start").values("day", "start", "distance_m", "moving_s", "ascent_m", "device")),
        },
        "bills": [
            {"number": str(bill), "buyer": bill.bought_by.name, "said": bill.said}
            for bill in Bill.objects.filter(job__in=stays_of(row.pk)).select_related("bought_by").order_by("year", "number")
        ],
        "papers": [
            {"name": paper.name, "at": paper.at, "sha256": sha256(bytes(paper.pdf)).hexdigest()}
            for paper in papers_of(row.pk)
        ],
        "photos": [
            {"name": _photo_name(photo), "at": photo.event.at, "tag": photo.job.bike.tag, "about": photo.about}
            for photo in _photos_of(row.pk).defer("jpeg")
        ],
        "proofs": [
            {"name": _proof_name(proof), "at": proof.event.at, "about": proof.event.kind, "said": proof.event.said}
            for proof in _proofs_of(row.pk).defer("jpeg")
        ],
    })  # fmt: skip
    return told


def papers_of(owner: int) -> list[Paper]:
    """Return the sheets that were handed out for this owner's bikes, as they were pressed: each bill, estimate and handover."""
    jobs = list(stays_of(owner).values_list("pk", flat=True))
    bills = [f"bill {bill}" for bill in Bill.objects.filter(job__in=jobs)]
    sheets = Q(name__in=[*bills, *(f"handover {job}" for job in jobs)])
    # A bill may be a strip as well; a handover that was made again has a sheet of its own.
    begin = [f"{bill} " for bill in bills]
    begin += [f"{sheet} {job}/" for job in jobs for sheet in ("estimate", "handover")]
    for start in begin:
        sheets |= Q(name__startswith=start)
    return list(Paper.objects.filter(sheets).order_by("name")) if jobs else []


def _photos_of(owner: int) -> QuerySet[Photo]:
    """Photos of this owner's stays that nobody took away."""
    return Photo.objects.filter(job__in=stays_of(owner)).select_related("event", "job__bike").order_by("pk")


def _photo_name(photo: Photo) -> str:
    return f"photos/{photo.pk}.jpg"


def _proofs_of(owner: int) -> QuerySet[ProofPhoto]:
    """Photos beside markings, receipts and claims: of this owner's stays, and of their bikes."""
    theirs = Q(event__job__in=stays_of(owner)) | Q(event__job__isnull=True, event__bike__owner=owner)
    return ProofPhoto.objects.filter(theirs).select_related("event").order_by("pk")


def _proof_name(proof: ProofPhoto) -> str:
    return f"proof-photos/{proof.pk}.jpg"


def _file_name(name: str) -> str:
    return "".join(one if one.isalnum() or one == "-" else "-" for one in name)


def _bike(bike: Bike, stays: list[Job], owner: int) -> Json:
    """A bike as far as it is this owner's: one that was given over since, with the stays of their time alone."""
    if bike.owner_id != owner:
        told = {
            "tag": bike.tag,
            "kind": bike.kind,
            "words": bike.words,
            "frame_number": "",
            "given_over": True,
        }
        return {**told, "stays": [_stay(job) for job in stays]}
    return {
        "tag": bike.tag,
        "kind": bike.kind,
        "words": bike.words,
        "frame_number": bike.frame_number,
        "km_a_week": bike.km_a_week,
        "note": bike.note,
        "stays": [_stay(job) for job in stays],
    }


def _stay(job: Job) -> Json:
    events = job.events.select_related("by", "sent_text").order_by("pk")
    lines = job.lines.prefetch_related("answers").order_by("pk")
    return {
        "opened_at": job.opened_at,
        "owner_words": job.owner_words,
        "seen_words": job.seen_words,
        "left_with": job.left_with,
        "promise": job.promise,
        "spend_limit": job.spend_limit,
        "findings": list(job.findings.order_by("pk").values("words", "verdict")),
        "lines": [
            {
                "words": line.words,
                "answers": list(line.answers.order_by("pk").values("agreed", "how", "words", "said_by")),
            }
            for line in lines
        ],
        "texts": [event.sent_text.text for event in events if hasattr(event, "sent_text")],
        "acts": [{"at": event.at, "kind": event.kind, "said": event.said} for event in events],
    }
