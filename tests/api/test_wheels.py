"""A wheel on record by JSON: measured, read, turned, its sheet and its paper; building one from the bins."""

from typing import Any

import pytest
from django.test import Client

from pinchbolt.workshop.common.plain_json import as_json
from tests.api.conftest import Send, sign_in
from tests.story import Story
from tests.workshop.wheels.wheel_story import facts, in_stand, rear_of, wheel_parts

pytestmark = pytest.mark.django_db


def test_a_wheel_is_measured_read_and_turned(arrived: Story, client: Client, send: Send) -> None:
    """The same words as the Python doors; a repeated request is the same act; a word too many is refused."""
    part = rear_of(arrived)
    acts, looks = f"/job/{arrived.job}/part/{part}/wheel", f"/job/{arrived.job}/wheels"
    assert [one["name"] for one in send("GET", looks)[1]] == ["Front wheel", "Rear wheel"]
    measured: dict[str, Any] = {"wheel": as_json(facts()), "limits": {"greatest_n": 1350}}
    assert send("POST", f"{acts}/measured", measured, key="wheel-0001")[0] == 200
    read = {
        name: value
        for name, value in as_json(in_stand(told=arrived).figures()).items()
        if name not in ("job", "part")
    }
    first = send("POST", f"{acts}/read", read, key="wheel-0002")
    assert first[0] == 200 and len(first[1]["spokes"]) == 32
    assert send("POST", f"{acts}/read", read, key="wheel-0002")[1]["event"] == first[1]["event"]
    seen = send("GET", f"{looks}/{part}")[1]
    turn = {"spoke": seen["next"]["spoke"], "quarters": seen["next"]["quarters"]}
    assert send("POST", f"{acts}/turned", turn, key="wheel-0003")[1] == turn
    assert send("GET", f"{looks}/{part}")[1]["next"]["spoke"] != turn["spoke"]
    short = {**read, "side_mm": read["side_mm"][1:]}
    status, told = send("POST", f"{acts}/read", short, key="wheel-0004")
    assert status == 422 and "31 figures for 32 spokes" in told["error"]
    token = sign_in(client).json()["token"]
    pdf = client.get(f"/api{looks}/{part}/sheet", headers={"Authorization": f"Bearer {token}"})
    assert pdf["Content-Type"] == "application/pdf" and pdf.content.startswith(b"%PDF")


def test_a_build_is_asked_and_put_on_the_estimate(arrived: Story, send: Send) -> None:
    """What it takes, and its line."""
    wheel_parts(arrived)
    part = rear_of(arrived)
    asked = {"wheel": as_json(facts()), "spokes_left": "S-292", "spokes_right": "S-290"}
    status, seen = send("POST", f"/job/{arrived.job}/wheels/{part}/build", asked)
    assert status == 200 and [one["count"] for one in seen["sides"]] == [16, 16] and len(seen["lacing"]) == 4
    assert send("POST", f"/job/{arrived.job}/part/{part}/wheel/line", asked, key="build-0001")[0] == 200
