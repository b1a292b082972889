"""Warranties and claims by JSON: the same words as the other doors, its sheet and its paper; a marking taken back."""

import pytest
from django.test import Client

from pinchbolt.records.models import Marking, Tool
from pinchbolt.workshop.proof.open_claim import photograph_claim
from pinchbolt.workshop.torque.joint_windows import joint_window
from pinchbolt.workshop.torque.read_marking import MarkingRequest, read_marking
from tests.api.conftest import Send, sign_in
from tests.story import NOW, STEM, Story
from tests.workshop.proof.test_markings_by_photo import shot

pytestmark = pytest.mark.django_db


def test_a_warranty_is_said_looked_at_and_taken_back(arrived: Story, send: Send) -> None:
    """Nothing said is null; months and for life together are refused at the field."""
    tool = Tool.objects.order_by("pk")[0].pk
    assert send("GET", f"/warranties/tool/{tool}") == (200, None)
    said = {"bought": "2026-01-05", "months": 24, "seller": "Harrow Supply"}
    status, told = send("POST", f"/warranties/tool/{tool}/say", said, key="warranty-01")
    assert status == 200 and told["until"] == "2028-01-05" and told["covered"]
    assert send("GET", f"/warranties/tool/{tool}")[1] == told == send("GET", "/warranties")[1][0]
    status, told = send(
        "POST", f"/warranties/tool/{tool}/say", {"months": 2, "for_life": True}, key="warranty-02"
    )
    assert status == 422 and "months" in told["errors"]
    assert send("POST", f"/warranties/tool/{tool}/back", {}, key="warranty-03")[0] == 200
    assert send("GET", "/warranties")[1] == []


def test_a_claim_goes_its_way(arrived: Story, send: Send, client: Client) -> None:
    """Opened, sent, looked at with its photo, printed, taken back word by word."""
    tool = Tool.objects.order_by("pk")[0].pk
    status, one = send("POST", f"/claims/open/tool/{tool}", {"broke": "the ratchet slips"}, key="claim-0001")
    assert status == 200 and one["state"] == "open" and not Tool.objects.get(pk=tool).in_use
    photograph_claim(one["id"], "", shot(300, 200), by=arrived.first, key=arrived.key(), now=NOW)
    assert send("POST", f"/claim/{one['id']}/move", {"state": "sent"}, key="claim-0002")[1]["state"] == "sent"
    sheet = send("GET", f"/claim/{one['id']}")[1]
    assert sheet["claim"]["state"] == "sent" and len(sheet["photos"]) == 1 and sheet["lacking"]
    assert [each["id"] for each in send("GET", "/claims")[1]] == [one["id"]]
    token = {"Authorization": f"Bearer {sign_in(client).json()['token']}"}
    pdf = client.get(f"/api/claim/{one['id']}/sheet", headers=token)
    assert pdf["Content-Type"] == "application/pdf" and pdf.content.startswith(b"%PDF")
    photo = client.get(f"/api/proof/{sheet['photos'][0]['event']}/photo", headers=token)
    assert photo["Content-Type"] == "image/jpeg" and photo.content[:2] == b"\xff\xd8"
    for key in ("claim-0003", "claim-0004"):
        assert send("POST", f"/claim/{one['id']}/back", {}, key=key)[0] == 200
    assert send("GET", f"/claim/{one['id']}")[0] == 404 and Tool.objects.get(pk=tool).in_use


def test_a_marking_is_taken_back(arrived: Story, send: Send) -> None:
    """The window is what it was."""
    before = joint_window(STEM, arrived.record.bike).cap
    asked = MarkingRequest(arrived.tag, STEM, "stem", 3.5)
    read_marking(asked, by=arrived.first, key=arrived.key(), now=NOW)
    marking = Marking.objects.get().pk
    assert send("POST", f"/job/{arrived.job}/marking/{marking}/back", {}, key="marking-01")[0] == 200
    assert joint_window(STEM, arrived.record.bike).cap == before
