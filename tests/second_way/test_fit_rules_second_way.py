"""The rules of figures against the same rules in plain arithmetic, drawn at and beside every limit."""

from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from pinchbolt.engines.fit import run_rule
from pinchbolt.engines.fit._tables import FitTables
from tests.engines.fit.conftest import plain_tables
from tests.second_way import fit_rules_plainly as plainly

PLAIN = plain_tables()
TABLES = FitTables(PLAIN)
ROWS = PLAIN["interfaces"]
TEETH = st.integers(11, 52)


def said(rule: str, **given_: Any) -> str:
    """What the engine says."""
    return run_rule(rule, given_, TABLES).verdict.value


@settings(max_examples=300, deadline=None)
@given(
    TEETH, st.integers(9, 13), st.integers(25, 50), st.integers(10, 12), st.booleans(), st.integers(20, 36)
)
def test_biggest_and_smallest_sprockets_of_a_derailleur(
    big: int, small: int, max_big: int, least: int, link: bool, min_big: int
) -> None:
    """Every tooth over and under."""
    big = max(big, small)
    told = {
        "big": big,
        "small": small,
        "max_big": max_big,
        "min_small": least,
        "hanger_link": link,
        "min_big": min_big,
    }
    assert said("sprocket-limits", **told) == plainly.sprocket_limits(**told)
    # A least-biggest that no maker gave is no limit.
    bare = {name: value for name, value in told.items() if name != "min_big"}
    assert said("sprocket-limits", **bare) == plainly.sprocket_limits(**{**told, "min_big": 11})


@settings(max_examples=200, deadline=None)
@given(st.integers(38, 54), st.integers(0, 20), TEETH, st.integers(9, 12), st.integers(20, 48))
def test_capacity_and_front_difference(ring: int, less: int, big: int, small: int, cage: int) -> None:
    """Teeth added up; the front derailleur's own limits."""
    rings = {"ring_big": ring, "ring_small": ring - less}
    told = {**rings, "sprocket_big": max(big, small), "sprocket_small": small, "capacity": cage}
    assert said("capacity", **told) == plainly.capacity(**told)
    front = {**rings, "max_difference": small + 5, "max_ring": cage + 6, "min_ring": cage - 2}
    assert said("front-difference", **front) == plainly.front_difference(**front)


@settings(max_examples=300, deadline=None)
@given(
    st.sampled_from([2.3, 2.5, 2.7, 4.0]),
    st.sampled_from([1.1, 1.3, 1.4, 1.7]),
    st.integers(280, 480),
    st.integers(8, 12),
    st.integers(-1, 2),
)
def test_the_pull_of_a_cable(pull: float, ratio: float, pitch: int, speeds: int, more: int) -> None:
    """Hundredths of a millimetre of pitch."""
    told = {
        "pull": pull,
        "ratio": ratio,
        "pitch": pitch / 100,
        "speeds_shifter": speeds + more,
        "speeds_cassette": speeds,
    }
    assert said("shift-pull", **told) == plainly.shift_pull(**told)


@settings(max_examples=200, deadline=None)
@given(
    st.sampled_from([12, 15]),
    st.sampled_from([12, 15]),
    st.sampled_from([1.0, 1.5]),
    st.sampled_from([1.0, 1.5]),
    st.integers(-60, 60),
)
def test_thru_axles_in_frames(axle: int, frame: int, pitch: float, thread: float, tenths: int) -> None:
    """Tenths of a millimetre longer and shorter."""
    told = {"axle_diameter": axle, "frame_diameter": frame, "axle_pitch": pitch, "frame_pitch": thread,
            "axle_length": 167 + tenths / 10, "frame_length": 167}  # fmt: skip
    assert said("thru-axle", **told) == plainly.thru_axle(**told)


@pytest.mark.parametrize("native", sorted({row["native"] for row in ROWS["post_mount"]}))
def test_rotors_on_posts(native: int) -> None:
    """Every rotor on every post under every greatest rotor."""
    adapters = next(row["step"] for row in ROWS["post_mount"] if row["native"] == native)
    for rotor in (140, 160, 180, 200, 203, 220):
        for most in (160, 180, 203, 220):
            told = {"rotor": rotor, "native": native, "max_rotor": most}
            assert said("rotor-post", **told) == plainly.rotor_post(**told, adapters=adapters), told


@pytest.mark.parametrize("mount", [row["id"] for row in ROWS["flat_mount"]])
def test_rotors_on_flat_mounts_and_tabs(mount: str) -> None:
    """Native, plate, or never; each rotor on tabs has its own adapter or none."""
    row = next(one for one in ROWS["flat_mount"] if one["id"] == mount)
    for rotor in (120, 140, 160, 180, 203):
        for most in (140, 160, 180, 203):
            good = (
                plainly.YES
                if rotor == row["native"]
                else plainly.WITH
                if str(rotor) in row["step"]
                else plainly.NO
            )
            assert said("rotor-flat", rotor=rotor, mount=mount, max_rotor=most) == (
                good if rotor <= most else plainly.NO
            )
            for tabs in ROWS["is_mount"]:
                assert said("rotor-is", rotor=rotor, end=tabs["end"], max_rotor=most) == plainly.tabs(
                    rotor, most, tabs["adapter_for"]
                )


@settings(max_examples=300, deadline=None)
@given(
    st.sampled_from([23, 25, 28, 32, 35, 40, 45, 50]),
    st.sampled_from([15, 17, 19, 21, 23, 25, 30]),
    st.integers(280, 700),
    st.booleans(),
)
def test_room_for_a_tyre(width: int, rim: int, tenths: int, racing: bool) -> None:
    """Tenths of a millimetre of opening, on the measuring rim of the table."""
    measuring = next(
        row["rim"] for row in ROWS["measuring_rim"] if row["section"][0] <= width < row["section"][1] + 1
    )
    told = {"tyre_width": width, "rim_inner": rim, "opening": tenths / 10, "racing": racing}
    assert said("tyre-frame", **told) == plainly.tyre_frame(**told, measuring=measuring)


@settings(max_examples=300, deadline=None)
@given(
    st.booleans(),
    st.data(),
    st.integers(22, 70),
    st.booleans(),
    st.integers(15, 90),
    st.integers(30, 90),
    st.integers(30, 90),
)
def test_a_tyre_on_a_rim_of_the_table(
    hook: bool, data: st.DataObject, width: int, allowed: bool, pressure: int, tyre: int, rim: int
) -> None:
    """Rims that a row names; tenths of a bar."""
    row = data.draw(st.sampled_from(ROWS["tyre_on_hooked_rim" if hook else "tyre_on_hookless_rim"]))
    told = {"rim_inner": row["inner"], "hook": hook, "tyre_width": width, "tyre_allowed_hookless": allowed,
            "pressure_bar": pressure / 10, "tyre_max_bar": tyre / 10, "rim_max_bar": rim / 10}  # fmt: skip
    assert said("tyre-width", **told) == plainly.tyre_width(
        row["inner"],
        hook,
        width,
        allowed,
        pressure / 10,
        (tyre / 10, rim / 10),
        (row["tyre_min"], row["tyre_max"]),
    )


@settings(max_examples=200, deadline=None)
@given(
    st.sampled_from(["presta", "schrader", "dunlop"]),
    st.integers(60, 90),
    st.integers(15, 60),
    st.integers(30, 80),
)
def test_valves_in_rims(kind: str, hole: int, depth: int, stem: int) -> None:
    """Hole and stem to the limit."""
    told = {"valve": kind, "hole": hole / 10, "rim_depth": depth, "stem_length": stem}
    assert said("valve", **told) == plainly.valve(**told)


@settings(max_examples=200, deadline=None)
@given(
    st.integers(-80, 80),
    st.sampled_from(["belt", "single speed", "hub gear", "one ring", "two rings", "three rings"]),
)
def test_chain_lines_of_every_drive(tenths: int, kind: str) -> None:
    """Outward and inward."""
    told = {"front": 47 + tenths / 10, "rear": 47, "kind": kind}
    assert said("chain-line", **told) == plainly.chain_line(**told)


@settings(max_examples=200, deadline=None)
@given(st.sampled_from(["FG2.3", "FG2.6"]), st.integers(-40, 30))
def test_spokes_in_their_nipples(thread: str, tenths: int) -> None:
    """Tenths of a millimetre short and long."""
    told = {
        "spoke_thread": thread,
        "nipple_thread": "FG2.3",
        "length_computed": 290.0,
        "length_stock": 290 + tenths / 10,
    }
    assert said("spoke-nipple", **told) == plainly.spoke_nipple(**told)


@settings(max_examples=300, deadline=None)
@given(
    st.sampled_from([25.4, 28.6, 31.8]),
    st.sampled_from([25.4, 28.6, 31.8]),
    st.integers(150, 200),
    st.integers(0, 40),
)
def test_stems_on_their_steerers(stem: float, steerer: float, length: int, spacers: int) -> None:
    """Every millimetre of steerer and spacers."""
    told = {
        "stem": stem,
        "steerer": steerer,
        "steerer_length": length,
        "head_tube_stack": 133,
        "spacers": spacers,
        "stem_height": 40,
    }
    assert said("stem-steerer", **told) == plainly.stem_steerer(**told)


def test_posts_and_bars_of_every_size() -> None:
    """Every post in every tube, every bar in every stem, of every material."""
    sizes = [25.0, 26.8, 27.0, 27.2, 28.6, 29.8, 30.0, 30.4, 30.9, 31.4, 31.6, 33.9, 34.9]
    shims = ROWS["seat_post"][0]["shims"]
    for post in sizes:
        for tube in sizes:
            assert said("seat-post", post=post, tube=tube) == plainly.seat_post(post, tube, shims), (
                post,
                tube,
            )
    clamps = ROWS["bar_clamp"][0]["shims"]
    for bar in (25.4, 25.8, 26.0, 31.8, 35.0):
        for stem in (25.4, 25.8, 26.0, 31.8, 35.0):
            for material in ("aluminium", "carbon", "steel", "titanium"):
                told = {"bar": bar, "stem": stem, "bar_material": material}
                assert said("bar-stem", **told) == plainly.bar_stem(**told, shims=clamps), told
