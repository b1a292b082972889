"""How the tests treat the machine they run on: as the program itself does."""

from _pytest import runner

from pinchbolt.serving.room_for_calls import with_room
from pinchbolt.serving.seldom_swept import leave_out_what_lasts, search_seldom


def make_room_for_tests() -> None:
    """Let each test have room for its calls, as a request has: it begins so deep that a page took up to twice its time."""
    runner.runtestprotocol = with_room(runner.runtestprotocol)


def search_as_a_server_does() -> None:
    """What was collected stays to the end: left out of every search, as what a server holds is."""
    search_seldom()
    leave_out_what_lasts()
