"""What was done: only cycling counts, what nobody knows is asked, whatever number or word a file tells it by."""

import fitdecode.profile
import pytest

from pinchbolt.engines.rides import read_ride_file
from pinchbolt.engines.rides._profile import BRANCHES, SPORTS
from tests.engines.rides.fit_writer import fit_file, ride_messages

START = 1_780_000_000
STEADY = [8.0] * 600
# The profile as fitdecode 0.11.0 (MIT) publishes it.
PROFILE = {
    kind.name: kind.enum
    for message in fitdecode.profile.MESSAGE_TYPES.values()
    for kind in (field.type for field in message.fields.values())
    if getattr(kind, "enum", None)
}


def fit(sport, branch=0, speed=STEADY):
    """The one ride of a file of this sport and branch by number."""
    (found,) = read_ride_file("a.fit", fit_file(ride_messages(START, speed, sport=(sport, branch)))).rides
    return found


def gpx(kind, metres_a_second=8.0):
    """The one ride of a track of ten minutes on the equator, of this kind in words; a degree is 111,319.49 m."""
    points = "".join(
        f'<trkpt lat="0" lon="{second * metres_a_second / 111319.49:.9f}">'
        f"<time>2026-05-01T08:{second // 60:02}:{second % 60:02}Z</time></trkpt>"
        for second in range(0, 600, 5)
    )
    told = f"<type>{kind}</type>" if kind is not None else ""
    (found,) = read_ride_file(
        "a.gpx", f"<gpx><trk>{told}<trkseg>{points}</trkseg></trk></gpx>".encode()
    ).rides
    return found


@pytest.mark.parametrize(("ours", "theirs"), [(SPORTS, "sport"), (BRANCHES, "sub_sport")])
def test_every_sport_and_branch_of_the_profile_is_known_by_number(ours, theirs):
    """Not one is missing and none means another: the reference parser's own table."""
    assert ours == PROFILE[theirs]


# Written down from the names of the profile before asking: riding, neither told nor a sport, to be asked; all others are none.
RIDING, UNTOLD, ASKED = (
    {"cycling", "e_biking"},
    {"generic", "all"},
    {"fitness_equipment", "training", "multisport"},
)


@pytest.mark.parametrize(("number", "name"), sorted(PROFILE["sport"].items()))
def test_only_cycling_counts_of_all_sports_by_number(number, name):
    """Kayak, paddling, boat, surf, snowshoe, tennis, wheelchair run: none wears a part of a bike."""
    found = fit(number)
    expected = True if name in RIDING else None if name in UNTOLD | ASKED else False
    assert found.is_ride is expected
    assert bool(found.ask) is (name in ASKED)


@pytest.mark.parametrize(
    ("branch", "is_ride", "asked"),
    [("spin", True, False), ("indoor_cycling", True, False), ("treadmill", False, False), ("elliptical", False, False),
     ("stair_climbing", False, False), ("indoor_rowing", False, False), ("generic", None, True), ("virtual_activity", None, True)],
)  # fmt: skip
def test_fitness_equipment_counts_only_where_it_is_a_bike(branch, is_ride, asked):
    """A treadmill and an elliptical go nowhere on wheels; equipment that is not named is asked about."""
    number = next(key for key, name in PROFILE["sub_sport"].items() if name == branch)
    found = fit(4, number)
    assert (found.is_ride, bool(found.ask)) == (is_ride, asked)


def test_a_number_that_no_profile_has_is_asked_about_not_counted():
    """The profile grows: sport 97 of a newer device may be riding or not."""
    found = fit(97)
    assert (found.is_ride, found.ask) == (None, "was it riding? It says sport 97")


@pytest.mark.parametrize("branch", range(256))
def test_no_branch_makes_a_run_a_ride_or_a_ride_a_run(branch):
    """Whatever stands beside it, even a number nobody knows: the sport decides."""
    assert fit(1, branch, STEADY[:20]).is_ride is False
    if "transition" not in PROFILE["sub_sport"].get(branch, ""):
        assert fit(2, branch, STEADY[:20]).is_ride is True


@pytest.mark.parametrize(
    ("told", "is_ride"),
    [("1", True), ("9", False), ("10", False), ("cycling", True), ("Mountain Biking", True), ("VirtualRide", True),
     ("EBikeRide", True), ("Radfahren", True), ("vélo de route", True), ("ciclismo", True), ("fietsen", True), ("MTB", True),
     ("mixed surface ride", True), ("TrailRun", False), ("trail_running", False), ("Hiking", False), ("kayaking", False),
     ("stand_up_paddleboarding", False), ("NordicSki", False), ("Wandern", False), ("motorcycling", False), ("tennis", False),
     ("horseback riding", False), ("swimrun", False), ("Canoeing", False)],
)  # fmt: skip
def test_words_and_bare_numbers_of_exporters_are_told_apart(told, is_ride):
    """As people and exporters name what they did; 9 and 10 are runs and walks by the habit of an exporter (common practice)."""
    found = gpx(told)
    assert (found.is_ride, found.ask) == (is_ride, "")


@pytest.mark.parametrize("told", ["4", "Other", "workout", "Quidditch", "trening"])
def test_a_word_that_nobody_knows_is_asked_about(told):
    """Neither counted nor dropped in silence."""
    found = gpx(told)
    assert found.is_ride is None
    assert found.ask == f"was it riding? It says {told.lower()}"


@pytest.mark.parametrize(("pace", "ask"), [(8.0, ""), (1.4, "5 km an hour"), (25.0, "90 km an hour")])
def test_a_file_without_a_sport_is_asked_about_at_a_walkers_or_drivers_pace(pace, ask):
    """5 km an hour for ten minutes is a walk; 29 is a ride; 90 is a car."""
    found = gpx(None, pace)
    assert found.is_ride is None
    assert ask in found.ask
    assert bool(found.ask) is bool(ask)
