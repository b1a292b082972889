"""Two thousand damaged files: each is read or refused, and what is read could have been ridden."""

from math import isfinite

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from pinchbolt.engines.rides import read_ride_file
from pinchbolt.errors import InputRefused
from tests.engines.rides.damage import damaged_files, sound_files


@pytest.mark.parametrize("seed", range(4))
def test_damaged_files_are_read_or_refused_and_never_crash(seed: int) -> None:
    """500 a seed, cut, turned, spliced: sums that can be, or one sentence that names the file."""
    read, refused = read_or_refused(500, seed)
    assert read > 100
    assert refused > 20


@given(st.integers(0, 2**31))
@settings(max_examples=settings.default.max_examples // 4, deadline=None)
def test_no_damage_whatever_the_seed_crashes_the_reader(seed: int) -> None:
    """The same for new seeds: `make fuzz ARGS="-k no_damage"` draws some, with `--hypothesis-profile=long` thousands."""
    assert sum(read_or_refused(20, seed)) == 20


def read_or_refused(many: int, seed: int) -> tuple[int, int]:
    """Read so many damaged files; how many were read, and how many refused by their name."""
    read = refused = 0
    for name, data in damaged_files(many, seed):
        try:
            found = read_ride_file(name, data)
        except InputRefused as refusal:
            refused += 1
            assert name in refusal.sentence
            continue
        read += 1
        for ride in found.rides:
            assert 0 <= ride.distance_m <= 3_000_000
            assert 0 <= ride.moving_s <= 14 * 86400 + 1
            assert 0 <= ride.elapsed_s <= 14 * 86400 + 1
            assert ride.start is None or 1990 <= ride.start.year < 2100
            assert all(
                value is None or (isfinite(value) and value >= 0)
                for value in (ride.ascent_m, ride.descent_m, ride.energy_kj, ride.work_kj)
            )
    return read, refused


def test_a_cut_recording_never_tells_more_than_the_whole_one():
    """However much is cut off a sound file, no kilometres are made up."""
    for name, data in sound_files().items():
        if not name.endswith(".fit"):
            continue
        whole = sum(ride.distance_m for ride in read_ride_file(name, data).rides)
        for share in range(5, 100, 5):
            try:
                cut = read_ride_file(name, data[: len(data) * share // 100])
            except InputRefused:
                continue
            assert sum(ride.distance_m for ride in cut.rides) <= whole + 0.01
