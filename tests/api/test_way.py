"""A bike goes its way through the JSON door alone."""

from typing import Any

import pytest
from django.test import Client

from pinchbolt.workshop.common.plain_json import as_json
from pinchbolt.workshop.stays.note_finding import findings_of
from pinchbolt.workshop.stays.price import estimate
from tests import story
from tests.api.conftest import Send, enter, sign_in
from tests.story import Story


def test_from_check_in_to_hand_over(db: None, send: Send) -> None:
    """Every step by JSON, each with its own request mark."""
    story.open_shop()
    marks = iter(f"way-mark-{n:04d}" for n in range(1000))

    def post(path: str, body: dict[str, Any] | None = None) -> Any:
        status, told = send("POST", path, body, next(marks))
        assert status == 200, told
        return told

    def get(path: str) -> Any:
        status, told = send("GET", path)
        assert status == 200, told
        return told

    job = post("/check-in", {"template": "road-disc", "owner_name": "Dov Ellenby", "owner_words": "slips"})[
        "job"
    ]
    due = next(
        one
        for place in get(f"/job/{job}/walk-round")
        for one in place["readings"]
        if one["part_kind"] == "rotor"
    )
    taken = post(f"/job/{job}/reading", {"part": due["part"], "limit": due["limit"], "value": 1.45})
    assert taken["finding"]["verdict"] == "before it leaves"
    assert taken["finding"]["forecast"]["reading"]["low"] == 1.45
    for one in get(f"/job/{job}/suggestions"):
        post(f"/job/{job}/line", {"operation": one["operation"], "finding": one["finding"]})
    lines = post(f"/job/{job}/ask")["lines"]
    post(f"/job/{job}/answer", {"answers": {str(line["id"]): True for line in lines}, "how": "by text"})
    post(f"/job/{job}/start", {"stand": 1})
    for joint in get(f"/job/{job}/torque-sheet"):
        at = f"/job/{job}/joint/{joint['joint']}"
        if joint["by_hand"]:
            post(f"{at}/by-hand", {})
        else:
            assert joint["setting"] is not None, joint["refused"]
            post(f"{at}/done", {"tool": int(joint["setting"]["tool"]), "done_n_m": joint["setting"]["set"]})
    for line in lines:
        post(f"/job/{job}/line/{line['id']}/done")
    post(f"/bike/{get(f'/job/{job}')['tag']}/confirm", {})
    items = get(f"/job/{job}/safety-list")["items"]
    post(f"/job/{job}/look", {"items": [item["id"] for item in items]})
    second = [item["id"] for item in items if item["needs_second"]]
    post(f"/job/{job}/look", {"items": second, "second": True, "after_break": True})
    assert post(f"/job/{job}/sign-off")["where"] == "ready"
    assert post(f"/job/{job}/hand-over", {})["job"] == job
    assert get(f"/job/{job}/handover")["left"]["by"] == "Ines Holloway"


def test_the_same_mark_again_is_the_same_act(arrived: Story, send: Send) -> None:
    """A lost answer is asked for again, and nothing is written twice."""
    body = {"words": "Bar tape torn.", "verdict": "next visit"}
    first = send("POST", f"/job/{arrived.job}/finding", body, "twice-0001")
    assert send("POST", f"/job/{arrived.job}/finding", body, "twice-0001") == first
    assert len(findings_of(arrived.record)) == 1


def test_a_mark_used_for_something_else_is_refused(arrived: Story, send: Send) -> None:
    """One mark, one act."""
    send("POST", f"/job/{arrived.job}/finding", {"words": "a", "verdict": "sound"}, "twice-0002")
    status, told = send(
        "POST", f"/job/{arrived.job}/finding", {"words": "b", "verdict": "sound"}, "twice-0002"
    )
    assert status == 422 and "was used before for something else" in told["error"]


def test_without_a_mark_nothing_is_written(arrived: Story, send: Send) -> None:
    """The sentence names the header."""
    status, told = send("POST", f"/job/{arrived.job}/finding", {"words": "a", "verdict": "sound"})
    assert status == 422 and "Idempotency-Key" in told["errors"]
    assert findings_of(arrived.record) == ()


def test_answers_are_the_use_cases_own(asked_for: Story, send: Send) -> None:
    """Estimate and findings, letter for letter."""
    assert send("GET", f"/job/{asked_for.job}/estimate")[1] == as_json(estimate(asked_for.record))
    assert send("GET", f"/job/{asked_for.job}/findings")[1] == as_json(findings_of(asked_for.record))


def test_a_sheet_comes_as_pdf(asked_for: Story, client: Client) -> None:
    """With the token, and not without it."""
    token = sign_in(client).json()["token"]
    answer = client.get(
        f"/api/job/{asked_for.job}/sheet/estimate", headers={"Authorization": f"Bearer {token}"}
    )
    assert answer["Content-Type"] == "application/pdf" and answer.content.startswith(b"%PDF-")
    tag = client.get(f"/api/bike/{asked_for.tag}/hang-tag", headers={"Authorization": f"Bearer {token}"})
    assert tag.content.startswith(b"%PDF-")


def test_a_sheet_on_the_screens_side_asks_for_a_sign_in(asked_for: Story, client: Client) -> None:
    """Signed out: to the sign-in page; signed in: the PDF, shown in the browser."""
    path = f"/paper/job/{asked_for.job}/job-card.pdf"
    assert client.get(path).headers["Location"] == f"/sign-in/?next={path}"
    enter(client)
    answer = client.get(path)
    assert answer.content.startswith(b"%PDF-") and answer["Content-Disposition"].startswith("inline")
    assert client.get(f"/paper/tag/{asked_for.tag}.pdf").content.startswith(b"%PDF-")
    assert client.get("/paper/job/999/estimate.pdf").status_code == 404


@pytest.mark.parametrize(
    ("body", "field"),
    [
        ({"part": 1, "limit": "x", "value": "thick"}, "value"),
        ({"part": -1, "limit": "x", "value": 1}, "part"),
        ({"part": 2**40, "limit": "x", "value": 1}, "part"),
        ({"part": 1, "limit": "x", "value": 1e9}, "value"),
        ({"part": 1, "limit": "x\x00", "value": 1}, "limit"),
        ({"part": 1, "limit": "x" * 5000, "value": 1}, "limit"),
        ({"part": 1, "limit": "x", "colour": "red"}, "colour"),
        ({"limit": "x", "value": 1}, "part"),
    ],
)
def test_a_value_that_can_not_be_read_is_named(
    arrived: Story, send: Send, body: dict[str, Any], field: str
) -> None:
    """One sentence for the field at fault, in the one envelope."""
    status, told = send("POST", f"/job/{arrived.job}/reading", body, "bad-value-01")
    assert status == told["status"] == 422
    assert told["errors"][field].startswith(f"{field}: ") and told["error"].startswith(f"{field}: ")


def test_what_is_no_json_is_said_so(arrived: Story, send: Send) -> None:
    """400, in the envelope."""
    status, told = send("POST", f"/job/{arrived.job}/reading", b"{not json", "bad-json-01")
    assert (status, told["status"]) == (400, 400) and "not valid JSON" in told["error"]


@pytest.mark.parametrize("markings", ['{"stem": 5, "stem": 6}', '{"stem": 6, "stem": 5}'])
def test_two_markings_of_one_part_under_one_name_are_refused(
    arrived: Story, send: Send, markings: str
) -> None:
    """The last would win in silence: both are said, and nothing is answered."""
    status, told = send(
        "POST", "/torque/joint", f'{{"joint": "stem-face-4", "markings": {markings}}}'.encode()
    )
    assert status == told["status"] == 422
    assert "5" in told["errors"]["stem"] and "6" in told["errors"]["stem"]
    status, told = send("POST", "/torque/joint", {"joint": "stem-face-4", "markings": {"stem": 5}})
    assert (status, told["window"]["cap"]) == (200, 5)


def test_a_wrong_address_and_a_wrong_method_answer_in_the_envelope(arrived: Story, send: Send) -> None:
    """Also where the framework itself refuses."""
    assert send("GET", "/nothing/here")[0] == 404
    status, told = send("DELETE", "/day")
    assert (status, told["status"]) == (405, 405) and set(told) == {"error", "errors", "status"}


def test_a_fault_of_ours_says_nothing_of_its_inside(
    arrived: Story, send: Send, monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture
) -> None:
    """500 in the envelope; the log has the rest."""
    from pinchbolt.api import reads

    def broken(*_: Any) -> None:
        raise RuntimeError("secret detail")

    monkeypatch.setattr(reads, "find_bikes", broken)
    status, told = send("GET", "/bikes?words=x")
    assert status == told["status"] == 500 and "secret" not in told["error"]
    assert "secret detail" in caplog.text
