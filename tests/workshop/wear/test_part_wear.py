"""A part's forecast takes what is on record: earlier parts of the bike, checks of the instrument, the workshop's own lives."""

from copy import deepcopy
from datetime import timedelta
from math import inf

import pytest

from pinchbolt.engines.wear import Forecast, GaugeError
from pinchbolt.errors import InputRefused, NotPossibleNow
from pinchbolt.records.models import Event, Finding, Fitting, Instrument, Part, Tool
from pinchbolt.workshop.bikes.build_sheet import parts_on
from pinchbolt.workshop.common.trade_tables import tables
from pinchbolt.workshop.stays.take_reading import ReadingRequest, ReadingTaken, take_reading
from pinchbolt.workshop.tools.check_instrument import InstrumentCheckRequest, check_instrument
from pinchbolt.workshop.tools.check_tool import ToolCheckRequest, check_tool
from pinchbolt.workshop.tools.gauges import gauge_known
from pinchbolt.workshop.tools.tool_board import torque_tools
from pinchbolt.workshop.wear import part_wear
from pinchbolt.workshop.wear._learned import learned_now, priors_now
from pinchbolt.workshop.wear.learn import LearnRequest, learn
from pinchbolt.workshop.wear.part_wear import forecast_of, wear_law
from tests import story
from tests.story import NOW, TODAY, Story

ROW = "chain-elongation-12to13"


@pytest.fixture
def here(db: None) -> Story:
    """A road bike that was checked in, its chain fitted 200 days ago."""
    at = story.checked_in()
    Fitting.objects.filter(part=chain_of(at)).update(start=TODAY - timedelta(days=200), start_known=True)
    return at


def chain_of(at: Story) -> Part:
    """The chain on the bike."""
    return next(part for part in parts_on(at.record.bike) if part.kind == "chain")


def gauge() -> Instrument:
    """The workshop's two-point gauge."""
    return Instrument.objects.get(table_id="chain-gauge-go-nogo")


def read(at: Story, km: float, low: float | None, high: float | None, days_ago: int = 0) -> ReadingTaken:
    """Take a reading of the chain."""
    asked = ReadingRequest(
        at.job, chain_of(at).pk, ROW, gauge().pk, low=low, high=high, distance_km=km,
        day=TODAY - timedelta(days=days_ago),
    )  # fmt: skip
    return take_reading(asked, by=at.first, key=at.key(), now=NOW)


def earlier_chain(at: Story, km: float, low: float | None, high: float | None) -> None:
    """A chain that was on the bike before, read once at *km* and taken off."""
    before = Part.objects.create(kind="chain", words="the chain before")
    start = TODAY - timedelta(days=700)
    fitting = Fitting.objects.create(part=before, bike=at.record.bike, start=start)
    asked = ReadingRequest(
        at.job, before.pk, ROW, gauge().pk, low=low, high=high, distance_km=km, day=start + timedelta(400)
    )
    take_reading(asked, by=at.first, key=at.key(), now=NOW)
    fitting.end = TODAY - timedelta(days=201)
    fitting.save()


def test_an_earlier_chain_that_went_fast_shortens_the_forecast(here: Story) -> None:
    """0.75 drops in at 1,200 km on the chain before: the next one is expected to last less, and the reason says so."""
    without = read(here, 500, None, 0.5).finding
    earlier_chain(here, 1200, 0.75, None)
    after = read(here, 500, None, 0.5).finding
    assert after.forecast is not None and without.forecast is not None
    assert after.forecast.to_limit.median < 0.8 * without.forecast.to_limit.median
    assert any("1 earlier chain of this bike" in reason.source for reason in after.reasons)


def test_odds_for_the_part_on_record_stand_in_the_finding(here: Story) -> None:
    """One reading gives no odds; a chain that was worn and is like new now gives a doubt that accuses nobody."""
    first = read(here, 2600, 0.75, None, days_ago=60).finding
    assert first.forecast is not None and first.forecast.same is None
    second = read(here, 3000, None, 0.5).finding
    assert second.forecast is not None
    same = second.forecast.same
    assert same is not None and same.odds_same < 1 / 3 and same.reasons
    told = next(doubt for doubt in second.doubts if "another chain than the one on record" in doubt)
    assert "Was it changed elsewhere? It may be misread too: ask the owner" in told


def test_the_reasons_name_the_best_instrument_of_this_board(here: Story) -> None:
    """The two-point gauge is all that reads a chain in percent here; a sliding scale beside it is worth more."""
    before = read(here, 1500, None, 0.5).finding
    assert any(gauge().name in reason.words for reason in before.reasons[-2:])
    Instrument.objects.create(table_id="chain-gauge-variable", name="sliding scale of stand 2")
    after = read(here, 1501, None, 0.5).finding
    assert "sliding scale of stand 2" in after.reasons[-2].words


def test_a_worn_rotor_is_worth_the_micrometer_of_this_board(here: Story) -> None:
    """A caliper's jaws bridge the lip of a worn track: the micrometer, when there is one in use, is what would tell more."""
    rotor = next(part for part in parts_on(here.record.bike) if part.kind == "rotor")
    row = "rotor-thickness-1.8"

    def reasons() -> str:
        caliper = Instrument.objects.get(table_id="caliper").pk
        asked = ReadingRequest(here.job, rotor.pk, row, caliper, value=1.68, distance_km=6000)
        found = take_reading(asked, by=here.first, key=here.key(), now=NOW).finding
        return found.reasons[-2].words

    assert "micrometer" in reasons()
    Instrument.objects.filter(table_id="micrometer").update(in_use=False)
    after = reasons()
    assert "micrometer" not in after and "caliper" in after


def test_a_good_check_makes_a_gauge_better_known(here: Story) -> None:
    """Shown 0.10 on a new chain of 0.02: the bias moves to 0.08 from the table's 0.12, and its doubt shrinks."""
    limit = tables().limits[ROW]
    before = gauge_known(gauge(), limit).error
    asked = InstrumentCheckRequest(gauge().pk, "a new chain", value=0.10)
    assert check_instrument(asked, by=here.first, key=here.key(), now=NOW).good
    after = gauge_known(gauge(), limit).error
    assert 0.08 < after.bias < before.bias == 0.12
    assert after.bias_sd < before.bias_sd


def test_a_gauge_found_bad_casts_doubt_on_readings_since_its_last_good_check(here: Story) -> None:
    """Good 100 days ago, read 50 days ago, bad today: off the board, and the older reading is in doubt, not the one before."""
    limit = tables().limits[ROW]
    good = InstrumentCheckRequest(gauge().pk, "a new chain", high=0.5, day=TODAY - timedelta(days=100))
    check_instrument(good, by=here.first, key=here.key(), now=NOW)
    read(here, 1500, None, 0.5, days_ago=50)
    bad = InstrumentCheckRequest(gauge().pk, "a new chain", low=0.5, high=0.75)
    found = check_instrument(bad, by=here.first, key=here.key(), now=NOW)
    assert (found.good, gauge().in_use) == (False, False)
    assert found.words.endswith("wrong, taken off the board.")
    known = gauge_known(gauge(), limit)
    assert known.on(TODAY - timedelta(days=120))[1] == ""
    assert known.on(TODAY)[1] and not known.on(TODAY + timedelta(days=1))[1]
    wider, doubt = known.on(TODAY - timedelta(days=50))
    assert wider.bias_sd > 2 * known.error.bias_sd and "last found good on" in doubt
    other = Instrument.objects.create(table_id="chain-gauge-three-point", name="three-point")
    asked = ReadingRequest(here.job, chain_of(here).pk, ROW, other.pk, high=0.5, distance_km=2000)
    again = take_reading(asked, by=here.first, key=here.key(), now=NOW).finding
    assert any("bad on" in told for told in again.doubts)


@pytest.mark.parametrize(
    ("asked", "said"),
    [
        ({"value": 0.1, "low": 0.0}, "one value, or one interval"),
        ({}, "one value, or one interval"),
        ({"low": 0.5, "high": 0.2}, "the low end must be below"),
        ({"value": inf}, "-5 to 20 percent is possible"),
    ],
)
def test_a_check_that_cannot_be_is_refused(here: Story, asked: dict[str, float], said: str) -> None:
    """Nothing is written, the gauge stays where it hangs."""
    with pytest.raises(InputRefused, match=said):
        check_instrument(
            InstrumentCheckRequest(gauge().pk, "a new chain", **asked), by=here.first, key=here.key(), now=NOW
        )
    assert gauge().in_use and not Event.objects.filter(kind="instrument checked").exists()


def test_a_caliper_needs_the_true_size(here: Story) -> None:
    """In mm a new chain says nothing: the block's size is asked for; 0.2 mm too much on a block takes it off."""
    caliper = Instrument.objects.get(table_id="caliper")
    with pytest.raises(InputRefused, match="the true size is needed"):
        check_instrument(
            InstrumentCheckRequest(caliper.pk, "a block", value=25.0), by=here.first, key=here.key(), now=NOW
        )
    asked = InstrumentCheckRequest(caliper.pk, "a block", known=25.0, value=25.2)
    assert not check_instrument(asked, by=here.first, key=here.key(), now=NOW).good


def test_a_torque_tool_that_deviates_too_much_goes_off_the_board(here: Story) -> None:
    """3 % stays; 30 % goes, and no torque sheet offers it; the same request again changes nothing."""
    tool = Tool.objects.get(pk=int(torque_tools()[0].id))
    before = tool.checks.count()
    assert check_tool(ToolCheckRequest(tool.pk, 0.03), by=here.first, key=here.key(), now=NOW).good
    key = here.key()
    for _ in range(2):
        assert not check_tool(ToolCheckRequest(tool.pk, 0.30), by=here.first, key=key, now=NOW).good
    assert tool.checks.count() == before + 2
    assert str(tool.pk) not in {one.id for one in torque_tools()}


def test_nothing_read_teaches_nothing(here: Story) -> None:
    """Learning without a reading is refused and says what to do."""
    with pytest.raises(NotPossibleNow, match="Take readings first"):
        learn(LearnRequest(), by=here.first, key=here.key(), now=NOW)


def test_what_was_learned_is_used_and_changes_no_finding_of_before(here: Story) -> None:
    """Eight chains past 0.75 at 700 km: the life here comes out shorter, versioned; old findings keep their forecast."""
    bike = here.record.bike
    for k in range(8):
        part = Part.objects.create(kind="chain")
        # Each on a bike of its own, so that no bike's memory explains it.
        own = type(bike).objects.create(
            tag=f"X{k}", owner=bike.owner, kind=bike.kind, words="road", use_class=bike.use_class
        )
        Fitting.objects.create(part=part, bike=own, start=TODAY - timedelta(days=100))
        sprockets = Part.objects.create(kind="cassette", start_facts={"sprockets_behind": [12, "measured"]})
        Fitting.objects.create(part=sprockets, bike=own, start=TODAY - timedelta(days=100))
        job = type(here.record).objects.create(bike=own, opened_at=NOW)
        asked = ReadingRequest(job.pk, part.pk, ROW, gauge().pk, low=0.75, distance_km=700.0 + 10 * k)
        take_reading(asked, by=here.first, key=here.key(), now=NOW)
    before = read(here, 500, None, 0.5).finding
    kept = deepcopy(Finding.objects.get(pk=before.id).forecast)
    shares: list[float] = []
    told = learn(LearnRequest(), by=here.first, key=here.key(), now=NOW, progress=shares.append)
    assert shares == sorted(shares) and shares[-1] == 1.0
    assert told == learned_now() and told.parts == 9
    assert "shorter than the trade prior" in " ".join(told.words)
    assert priors_now()["version"] == told.version and told.version.startswith("trade ")
    assert Finding.objects.get(pk=before.id).forecast == kept
    after = read(here, 501, None, 0.5).finding
    assert after.forecast is not None and kept is not None
    assert after.forecast.to_limit.median < kept["to_limit"]["median"]
    assert any("learned from" in reason.source for reason in after.reasons)


def test_a_kept_forecast_is_what_the_engine_says_anew(here: Story) -> None:
    """Asked again it is the same at no cost, forgotten and worked out anew too; a further reading and another day give another."""
    read(here, 1200, 0.25, 0.5, days_ago=30)
    part, limit = chain_of(here), tables().limits[ROW]
    law = wear_law(limit, here.record.bike, None)
    assert law is not None

    def asked(days: int = 0) -> Forecast:
        return forecast_of(part, limit, law, here.record.bike, TODAY + timedelta(days=days))

    first = asked()
    hits = part_wear._judge.cache_info().hits
    assert asked() == first and part_wear._judge.cache_info().hits == hits + 1
    part_wear._judge.cache_clear(), part_wear._law_on_this_bike.cache_clear()
    assert asked() == first
    assert asked(days=90) != first
    read(here, 1900, 0.5, 0.75)
    assert asked() != first


@pytest.mark.parametrize(
    ("learned", "bias", "bias_sd"),
    [
        (None, 0.01, 0.02),
        ((0.04, 0.005), 0.04, 0.005),
        ((0.04, 0.03), 0.01, 0.02),
        ((0.04, 0.02), 0.01, 0.02),
    ],
)
def test_what_ones_own_parts_say_of_a_gauge_counts_where_it_is_surer_than_its_check(
    learned: tuple[float, float] | None, bias: float, bias_sd: float
) -> None:
    """A check left 0.01 to 0.02; what was learned with half a hundredth takes its place, with three hundredths it does not."""
    error = part_wear._as_learned(GaugeError(bias=0.01, bias_sd=0.02, sd=0.03), learned)
    assert (error.bias, error.bias_sd, error.sd) == (bias, bias_sd, 0.03)
