"""Ride files on the bike page: dropped, reported, placed."""

from collections.abc import Callable
from datetime import date

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client

from pinchbolt.records.models import Bike, Distance, Fitting, Owner, Person, Ride, RidePlace
from tests.bench.conftest import Cast
from tests.workshop.ride_story import ride_of

pytestmark = pytest.mark.django_db


def drop(tablet: Client, tag: str, *files: tuple[str, bytes], key: str = "ride-drop-0001", **more: str):
    """Drop named files on the bike page."""
    sent = [SimpleUploadedFile(name, data) for name, data in files]
    return tablet.post(f"/bike/{tag}/rides/files/", {"files": sent, "key": key, **more})


def test_the_bike_page_takes_files_and_folders_and_says_what_is_kept(cast: Cast, tablet: Client) -> None:
    """Two targets, one for files and one for a folder, work without a script; the privacy sentence stands below."""
    said = tablet.get(f"/bike/{cast.tag}/").content.decode()
    assert 'enctype="multipart/form-data"' in said
    assert '<input id="ride-files" type="file" name="files" multiple>' in said
    assert '<input id="ride-folder" type="file" name="folder" webkitdirectory multiple>' in said
    assert "We do not keep where the ride went" in said


def test_what_came_in_is_reported_file_by_file(cast: Cast, tablet: Client) -> None:
    """Came in, double, refused: each by its name, on one page."""
    Fitting.objects.update(start=date(2026, 2, 1))
    answer = drop(
        tablet, cast.tag, ("a.fit", ride_of(0)), ("b.fit", ride_of(0, 30.2, serial=3)), ("c.png", b"\x89PNG")
    )
    said = answer.content.decode()
    assert answer.status_code == 200
    assert "1 ride came in" in said
    assert "the ride of 02 Mar 2026 is here already, 30.0 km; it counts once." in said
    assert (
        "<strong>c.png</strong> <span>is no ride file: FIT, GPX, TCX and CSV can be read. Choose another file."
        in said
    )
    assert "30 km" in tablet.get(f"/bike/{cast.tag}/").content.decode().replace("</span> km", " km").replace(
        '<span class="figure">', ""
    )


def test_a_double_tap_brings_the_same_report_and_no_second_ride(cast: Cast, tablet: Client) -> None:
    """The same mark is the same act."""
    first, second = (drop(tablet, cast.tag, ("a.fit", ride_of(0))).content.decode() for _ in range(2))
    assert "1 ride came in" in first and "1 ride came in" in second
    assert Ride.objects.count() == 1


def test_of_a_folder_only_ride_files_are_looked_at(cast: Cast, tablet: Client) -> None:
    """Photos and lists in it are not refused one by one; they are not read at all."""
    sent = [
        SimpleUploadedFile(name, data)
        for name, data in (("a.fit", ride_of(0)), ("b.jpg", b"\xff"), ("c.csv", b"x"))
    ]
    answer = tablet.post(f"/bike/{cast.tag}/rides/files/", {"folder": sent, "key": "ride-drop-0001"})
    assert "1 file read" in answer.content.decode()
    assert "refused" not in answer.content.decode()


def test_no_file_is_refused_in_a_sentence(cast: Cast, tablet: Client) -> None:
    """The button alone does nothing but say what is needed."""
    answer = drop(tablet, cast.tag)
    assert answer.status_code == 422
    assert "No ride file was given: FIT, GPX, TCX and CSV can be read" in answer.content.decode()


def test_unclear_rides_are_asked_and_placed_with_one_tap(
    cast: Cast, tablet: Client, counted: Callable[[str], int]
) -> None:
    """Two bikes, an unknown device: the page asks once for the whole device, and one tap answers."""
    owner = Bike.objects.get(tag=cast.tag).owner
    Bike.objects.create(tag="ZZ-99", owner=owner, kind="road", words="winter bike")
    said = drop(tablet, cast.tag, ("a.fit", ride_of(0)), ("b.fit", ride_of(3)), whose="sort").content.decode()
    assert "Which bike?" in said
    assert "2 rides, 60 km" in said
    rides = " ".join(str(pk) for pk in Ride.objects.order_by("start").values_list("pk", flat=True))
    assert f'name="rides" value="{rides}"' in said
    answer = tablet.post(
        f"/bike/{cast.tag}/rides/place/", {"rides": rides, "tag": "ZZ-99", "key": "place-000001"}
    )
    assert answer.status_code == 303
    assert set(RidePlace.objects.filter(how="said").values_list("bike__tag", flat=True)) == {"ZZ-99"}
    assert "Which bike?" not in tablet.get(f"/bike/{cast.tag}/rides/").content.decode()
    assert counted("rides placed") == 1


def test_a_ride_can_be_put_right_from_the_list(cast: Cast, tablet: Client) -> None:
    """None of these: it counts for nothing any more; rides that do not exist are said plainly."""
    drop(tablet, cast.tag, ("a.fit", ride_of(0)))
    ride = Ride.objects.get()
    place = f"/bike/{cast.tag}/rides/place/"
    assert (
        tablet.post(place, {"rides": str(ride.pk), "tag": "none", "key": "place-000001"}).status_code == 303
    )
    assert "So far" not in tablet.get(f"/bike/{cast.tag}/rides/").content.decode()
    wrong = tablet.post(place, {"rides": "999999", "tag": cast.tag, "key": "place-000002"})
    assert (wrong.status_code, "There is no ride 999999." in wrong.content.decode()) == (404, True)
    wrong = tablet.post(place, {"rides": "x;", "tag": cast.tag, "key": "place-000003"})
    assert (wrong.status_code, "numbers with blanks between are needed" in wrong.content.decode()) == (
        422,
        True,
    )


def test_one_parts_use_is_drawn_with_its_fittings(cast: Cast, tablet: Client) -> None:
    """The line of the chain, its bike below it; a part that is not on the bike is said plainly."""
    Fitting.objects.update(start=date(2026, 2, 1))
    drop(tablet, cast.tag, ("a.fit", ride_of(0)), ("b.fit", ride_of(20)))
    chain = Fitting.objects.get(part__kind="chain").part_id
    said = tablet.get(f"/bike/{cast.tag}/rides/?part={chain}").content.decode()
    assert "use of the chain" in said
    assert f"on {cast.tag} from 1 Feb 2026 until now" in said
    assert "known from ride files" in said
    assert tablet.get(f"/bike/{cast.tag}/rides/?part=999999").status_code == 404
    assert tablet.get(f"/bike/{cast.tag}/rides/?part=x").status_code == 200


def test_strangers_and_wrong_methods_get_nowhere(
    cast: Cast, tablet: Client, signed_in: Callable[[Person], Client]
) -> None:
    """Signed out leads to the sign-in; the counter may take rides in; an unknown tag is said; GET writes nothing."""
    assert Client().get(f"/bike/{cast.tag}/rides/").status_code == 302
    assert drop(Client(), cast.tag, ("a.fit", ride_of(0))).status_code == 302
    assert tablet.get(f"/bike/{cast.tag}/rides/files/").status_code == 302
    assert tablet.post(f"/bike/{cast.tag}/rides/").status_code == 405
    assert tablet.get("/bike/NO-00/rides/").status_code == 404
    assert Ride.objects.count() == 0
    assert "1 ride came in" in drop(signed_in(cast.counter), cast.tag, ("a.fit", ride_of(0))).content.decode()


def test_what_the_owner_says_is_written_down_and_put_right(cast: Cast, tablet: Client) -> None:
    """About 60 a week for four weeks is 240 km; put right to 200 in all; a day that is missing is asked for, entries kept."""
    path = f"/bike/{cast.tag}/rides/said/"
    month = {"start": "2026-03-01", "end": "2026-03-29"}
    assert tablet.post(path, {**month, "km_a_week": "60", "key": "said-000001"}).status_code == 303
    said = Distance.objects.get()
    assert (said.km, said.known) == (240.0, "a usual week")
    right = {
        **month,
        "distance_km": "200",
        "known": "odometer",
        "corrects": str(said.pk),
        "key": "said-000002",
    }
    assert tablet.post(path, right).status_code == 303
    (now,) = Distance.objects.filter(event__corrected_by__isnull=True)
    assert (now.km, now.known) == (200.0, "odometer")
    wrong = tablet.post(path, {"start": "2026-03-01", "distance_km": "77", "key": "said-000003"})
    assert wrong.status_code == 422
    page = wrong.content.decode()
    assert "A distance is from a day to a day: both are needed." in page
    assert 'value="77"' in page
    assert tablet.post(path, {**month, "distance_km": "5", "key": "said-000004"}).status_code == 422


def test_each_part_that_went_somewhere_leads_to_its_use_over_time(cast: Cast, tablet: Client) -> None:
    """From the build sheet one tap leads to the line of that part; a part nobody knows the way of has none."""
    assert "over time</a>" not in tablet.get(f"/bike/{cast.tag}/").content.decode().replace(
        "use over time</a>", ""
    )
    Fitting.objects.update(start=date(2026, 2, 1), start_known=True)
    drop(tablet, cast.tag, ("a.fit", ride_of(0)))
    chain = Fitting.objects.get(part__kind="chain").part_id
    assert f"/bike/{cast.tag}/rides/?part={chain}#use" in tablet.get(f"/bike/{cast.tag}/").content.decode()


def test_one_ride_told_twice_is_asked_and_answered_with_one_tap(cast: Cast, tablet: Client) -> None:
    """A watch that ran for half the ride: the page says both figures and counts one; a tap lets the other count instead."""
    drop(tablet, cast.tag, ("a.fit", ride_of(0)), ("b.fit", ride_of(0, 15.0, serial=5)))
    said = tablet.get(f"/bike/{cast.tag}/rides/").content.decode()
    assert "One ride, told twice?" in said
    assert (
        "15.0 km on 02 Mar 2026" in said
        and "One ride? Until somebody says, the other one alone counts." in said
    )
    watch = Ride.objects.get(distance_m=15000)
    answer = tablet.post(
        f"/bike/{cast.tag}/rides/place/", {"rides": watch.pk, "instead": cast.tag, "key": "instead-0001"}
    )
    assert answer.status_code == 303
    assert RidePlace.objects.filter(ride=watch).latest("pk").bike is not None
    assert "One ride, told twice?" not in tablet.get(f"/bike/{cast.tag}/rides/").content.decode()


def test_files_dropped_on_the_wrong_owners_bike_are_moved_with_one_tap(cast: Cast, tablet: Client) -> None:
    """Dropped on the right bike again, the page says where they are and offers the move; taken back they may come in anew."""
    other = Bike.objects.create(
        tag="ZZ-98", owner=Owner.objects.create(name="Ada Stone"), kind="road", words=""
    )
    drop(tablet, cast.tag, ("a.fit", ride_of(0)))
    said = drop(tablet, other.tag, ("a.fit", ride_of(0)), key="ride-drop-0002").content.decode()
    assert "1 of these rides, 30 km, came in for" in said and "they are Ada Stone" in said
    assert "nothing new" not in said
    (ride,) = Ride.objects.all()
    tablet.post(f"/bike/{other.tag}/rides/place/", {"rides": ride.pk, "move": other.tag, "key": "move-00001"})
    assert RidePlace.objects.latest("pk").bike == other
    answer = tablet.post(
        f"/bike/{other.tag}/rides/back/", {"rides": ride.pk, "whole": "import", "key": "back-00001"}
    )
    assert answer.status_code == 303
    assert RidePlace.objects.latest("pk").bike is None
    assert (
        "1 ride came in"
        in drop(tablet, other.tag, ("a.fit", ride_of(0)), key="ride-drop-0003").content.decode()
    )


def test_a_ride_is_put_right_only_with_a_bike_named(cast: Cast, tablet: Client) -> None:
    """An empty tag is no answer: the page says what is needed."""
    drop(tablet, cast.tag, ("a.fit", ride_of(0)))
    ride = Ride.objects.get().pk
    answer = tablet.post(f"/bike/{cast.tag}/rides/place/", {"rides": ride, "move": "", "key": "move-00001"})
    assert answer.status_code == 422
    assert "No bike was named: its tag is needed." in answer.content.decode()
