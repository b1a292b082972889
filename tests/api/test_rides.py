"""Ride files through the JSON door: the same words and figures as on the command line."""

from datetime import date
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client

from pinchbolt.records.models import Fitting, Part, Ride
from tests.api.conftest import Send, sign_in
from tests.engines.rides.reference import SAMPLES
from tests.story import Story
from tests.workshop.ride_story import ride_of

pytestmark = pytest.mark.django_db


def send_files(client: Client, path: str, key: str, **fields: Any) -> tuple[int, Any]:
    """Send files as a mechanic."""
    token = sign_in(client).json()["token"]
    answer = client.post(
        f"/api{path}", fields, headers={"Authorization": f"Bearer {token}", "Idempotency-Key": key}
    )
    return answer.status_code, answer.json()


def test_one_file_is_read_and_nothing_kept(arrived: Story, client: Client) -> None:
    """The reference parser's figures for this file: 668.19 m in 113.15 s."""
    file = SimpleUploadedFile("short-ride.fit", (SAMPLES / "short-ride.fit").read_bytes())
    status, told = send_files(client, "/rides/read", "", file=file)
    assert (status, told["distance_m"], told["elapsed_s"], told["damaged"]) == (200, 668.19, 113.15, [])
    assert Ride.objects.count() == 0
    status, told = send_files(client, "/rides/read", "", file=SimpleUploadedFile("a.png", b"\x89PNG"))
    assert (status, told["error"]) == (
        422,
        "a.png is no ride file: FIT, GPX, TCX and CSV can be read. Choose another file.",
    )


def test_files_come_in_once_and_parts_go_by_them(arrived: Story, client: Client, send: Send) -> None:
    """Taken in, asked again with the same mark, seen, placed elsewhere, and the chain's use over time."""
    Fitting.objects.update(start=date(2026, 2, 1))
    path = f"/bike/{arrived.tag}/rides"

    def files() -> list[SimpleUploadedFile]:
        return [SimpleUploadedFile("a.fit", ride_of(0)), SimpleUploadedFile("b.fit", ride_of(3))]

    first = send_files(client, path, "rides-0001", files=files())
    assert (first[0], first[1]["came_in"], first[1]["km"]) == (200, 2, 60.0)
    assert send_files(client, path, "rides-0001", files=files()) == first
    status, seen = send("GET", path)
    assert (status, seen["rides"], seen["km"]) == (200, 2, 60.0)
    chain = Part.objects.get(fittings__bike__tag=arrived.tag, kind="chain")
    _, used = send("GET", f"/bike/{arrived.tag}/part/{chain.pk}/use")
    assert used["points"][-1]["km"] == pytest.approx(60.0)
    ride = seen["newest"][0]["id"]
    assert send("POST", "/rides/place", {"rides": [ride]}, key="rides-0002") == (200, 1)
    assert send("GET", path)[1]["km"] == 30.0


def test_refusals_have_the_one_shape(arrived: Story, client: Client, send: Send) -> None:
    """Unknown bike, unknown part, no request mark, a mark used for other files."""
    file = SimpleUploadedFile("a.fit", ride_of(0))
    status, told = send_files(client, "/bike/NO-00/rides", "rides-0001", files=[file])
    assert (status, told["status"]) == (404, 404)
    assert send("GET", f"/bike/{arrived.tag}/part/999999/use")[0] == 404
    assert (
        send_files(
            client, f"/bike/{arrived.tag}/rides", "short", files=[SimpleUploadedFile("a.fit", ride_of(0))]
        )[0]
        == 422
    )
    send_files(
        client, f"/bike/{arrived.tag}/rides", "rides-0001", files=[SimpleUploadedFile("a.fit", ride_of(0))]
    )
    status, told = send_files(
        client, f"/bike/{arrived.tag}/rides", "rides-0001", files=[SimpleUploadedFile("b.fit", ride_of(1))]
    )
    assert status == 422
    assert told["error"].startswith('The request mark "rides-0001" was used before for something else')
