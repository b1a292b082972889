"""The same questions asked of every act of the job screens."""

import pytest
from django.test import Client

from pinchbolt.records.models import Event
from tests.bench.job_screens.acts import ACTS, Act
from tests.story import Story

EVERY_ACT = pytest.mark.parametrize("act", ACTS, ids=lambda act: act.name)


@EVERY_ACT
def test_an_act_is_written_once_however_often_it_is_sent(act: Act, arrived: Story, ines: Client) -> None:
    """The first request writes; a double tap or a second try with the same mark leads on and writes nothing."""
    address, data = act.ready(arrived)
    before = Event.objects.count()
    first = ines.post(address, data)
    assert first.status_code == 303, first.content.decode()
    written = Event.objects.count()
    assert written > before
    again = ines.post(address, data)
    assert again.status_code == 303, again.content.decode()
    assert Event.objects.count() == written
    page = ines.get(first["Location"].partition("#")[0], follow=True)
    assert page.status_code == 200


@EVERY_ACT
def test_an_act_without_a_mark_writes_nothing(act: Act, arrived: Story, ines: Client) -> None:
    """A request that could not be told from its double is refused with a sentence."""
    address, data = act.ready(arrived)
    before = Event.objects.count()
    answer = ines.post(address, {**data, "key": ""})
    assert answer.status_code == 422
    assert "request mark" in answer.content.decode()
    assert Event.objects.count() == before


@EVERY_ACT
def test_nobody_acts_signed_out(act: Act, arrived: Story, ines: Client) -> None:
    """A tablet that is signed out is led to the sign-in and writes nothing."""
    address, data = act.ready(arrived)
    before = Event.objects.count()
    answer = Client().post(address, data)
    assert answer.status_code == 302
    assert answer["Location"].startswith("/sign-in/")
    assert Event.objects.count() == before


@EVERY_ACT
def test_the_counter_does_the_counters_acts_alone(
    act: Act, arrived: Story, ines: Client, wren: Client
) -> None:
    """Asking, pricing and handing over are the counter's; readings and work are a mechanic's."""
    address, data = act.ready(arrived)
    before = Event.objects.count()
    answer = wren.post(address, data)
    if act.counter_may:
        assert answer.status_code == 303, answer.content.decode()
    else:
        assert answer.status_code == 403
        assert "a mechanic" in answer.content.decode()
        assert Event.objects.count() == before


@EVERY_ACT
def test_an_act_on_a_job_that_is_not_there_says_so(act: Act, arrived: Story, ines: Client) -> None:
    """An unknown job is a plain sentence."""
    address, data = act.ready(arrived)
    answer = ines.post(address.replace(f"/job/{arrived.job}/", "/job/987654/"), data)
    assert answer.status_code == 404
    assert "no job 987654" in answer.content.decode()


@EVERY_ACT
def test_an_act_is_not_done_by_looking(act: Act, arrived: Story, ines: Client) -> None:
    """A link or a reload of an act's address changes nothing."""
    before = Event.objects.count()
    answer = ines.get(act.address(arrived))
    assert answer.status_code == 302
    assert Event.objects.count() == before
