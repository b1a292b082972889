"""The workshop's own tables lie over the trade tables row by row, and say what they changed."""

from collections.abc import Callable
from decimal import Decimal
from pathlib import Path

from pinchbolt.reference import Overlaid, Tables, load
from pinchbolt.reference.rows.drivetrain import CassetteOnBody
from pinchbolt.reference.rows.frame import SeatPost
from pinchbolt.values import Verdict

Shop = Callable[..., Path]


def test_a_row_may_give_only_what_differs(shop: Shop, trade: Tables) -> None:
    """The late school for 12-speed chains: two figures, the rest is the trade's."""
    made = load(shop(limits='[[limit]]\nid = "chain-elongation-12to13"\nwarn = 0.5\nlimit = 0.75\n'))
    row, was = made.limits["chain-elongation-12to13"], trade.limits["chain-elongation-12to13"]
    assert (row.warn, row.limit, row.new, row.how, row.at_limit) == (
        0.5,
        0.75,
        was.new,
        was.how,
        was.at_limit,
    )
    assert row.from_shop and not was.from_shop
    assert row.instead_of == ("warn was 0.4", "limit was 0.5")
    assert made.overlaid == (
        Overlaid("limits.toml", "chain-elongation-12to13", "warn", "0.4 percent", "0.5 percent"),
        Overlaid("limits.toml", "chain-elongation-12to13", "limit", "0.5 percent", "0.75 percent"),
    )


def test_the_trade_tables_stay_as_they_are(shop: Shop, trade: Tables) -> None:
    """Loading a workshop's tables changes nothing for those who ask for the trade's alone."""
    load(shop(limits='[[limit]]\nid = "dish"\nwarn = 0.7\n'))
    assert trade.limits["dish"].warn == 0.5
    assert trade.overlaid == ()
    assert load().limits["dish"] == trade.limits["dish"]


def test_a_changed_figure_no_longer_claims_the_trade_s_source(shop: Shop, trade: Tables) -> None:
    """Whoever changes a figure is its source; what public text agreed with was the other one."""
    assert trade.limits["wheel-clearance"].checked
    row = load(shop(limits='[[limit]]\nid = "wheel-clearance"\nlimit = 5\n')).limits["wheel-clearance"]
    assert (row.source, row.checked) == ("the workshop's own table", "")


def test_the_workshop_may_name_its_own_source(shop: Shop) -> None:
    """Given is given."""
    text = '[[limit]]\nid = "dish"\nwarn = 0.7\nsource = "our wheel book"\ncertain = "high"\n'
    row = load(shop(limits=text)).limits["dish"]
    assert (row.source, row.certain) == ("our wheel book", "high")


def test_a_row_that_says_the_same_changes_nothing(shop: Shop, trade: Tables) -> None:
    """A copied row is no row of the workshop's own."""
    made = load(shop(joints='[[joint]]\nid = "pedal"\nlow = 30.0\nhigh = 42\n'))
    assert made.overlaid == ()
    assert not made.joints["pedal"].from_shop
    assert made.joints["pedal"] == trade.joints["pedal"]


def test_pair_tables_go_by_their_pair(shop: Shop, trade: Tables) -> None:
    """A pair that the trade has is changed, one that it has not is added; the others stay."""
    made = load(
        shop(
            interfaces="""
            [[cassette_on_body]]
            cassette = "c9"
            body = "hg-11"
            behind = [1.85, 0.2]
            [[cassette_on_body]]
            cassette = "c-thick-9to11"
            body = "hg-7"
            verdict = "does not fit"
            because = "tried it"
            source = "our bench"
            certain = "high"
            """
        )
    )
    pairs = {(row.cassette, row.body): row for row in made.interface(CassetteOnBody)}
    assert len(pairs) == len(trade.interface(CassetteOnBody)) + 1
    assert pairs["c9", "hg-11"].behind == (1.85, 0.2)
    assert pairs["c9", "hg-11"].verdict == "fits with"
    assert pairs["c-thick-9to11", "hg-7"].because == "tried it"
    assert made.overlaid[0] == Overlaid("interfaces.toml", "c9 / hg-11", "behind", "[1.85]", "[1.85, 0.2]")
    assert made.overlaid[1] == Overlaid(
        "interfaces.toml", "c-thick-9to11 / hg-7", "", "not in the trade table", "a new row"
    )


def test_a_table_of_one_row_needs_no_name(shop: Shop) -> None:
    """Seat post shims: the one row is the one that is meant."""
    made = load(shop(interfaces='[[seat_post]]\nshims = { "27.2" = [28.6] }\n'))
    (row,) = made.interface(SeatPost)
    assert row.shims == {27.2: (28.6,)}
    assert 27.2 in row.diameters


def test_a_new_row_is_whole_and_comes_last(shop: Shop, trade: Tables) -> None:
    """An operation of the workshop's own."""
    made = load(
        shop(
            operations="""
            [[operation]]
            id = "ultrasonic"
            name = "drive in the ultrasonic bath"
            minutes = [20, 25, 35]
            shares = ["on-stand"]
            steps = ["drive off", "in the bath", "dried, oiled"]
            tools = ["chain-tool"]
            parts = []
            needs = []
            checks = ["no stiff link"]
            next = ""
            source = "our times"
            certain = "medium"
            """
        )
    )
    assert list(made.operations) == [*trade.operations, "ultrasonic"]
    assert made.operations["ultrasonic"].from_shop
    assert made.operations["ultrasonic"].instead_of == ()


def test_prices_are_kept_to_the_penny(shop: Shop) -> None:
    """Money never becomes a float."""
    made = load(shop(parts_prices='[[price]]\nid = "tube"\nprice = "7.10"\n'))
    assert made.prices["tube"].price == Decimal("7.10")
    assert str(made.prices["tube"].price) == "7.10"


def test_home_checks_and_verdicts_can_be_the_workshop_s(shop: Shop) -> None:
    """Rows that go by number, and words that are verdicts."""
    text = '[[home]]\nn = 12\nstop = "Dark: walk."\n[[item]]\nid = "so-seat"\nif_not = "unsafe to ride"\n'
    made = load(shop(signoff=text))
    assert made.home_checks[12].stop == "Dark: walk."
    assert made.signoff["so-seat"].if_not is Verdict.UNSAFE


def test_wear_priors_are_handed_on_as_their_file_says_them(shop: Shop, trade: Tables) -> None:
    """What a row does not say is not there, and a workshop's own life counts."""
    made = load(shop(wear_priors='[[prior]]\nid = "chain"\nlog_sd = 0.3\n'))
    before = next(row for row in trade.wear_priors["prior"] if row["id"] == "chain")
    after = next(row for row in made.wear_priors["prior"] if row["id"] == "chain")
    assert (before["log_sd"], after["log_sd"]) == (0.46, 0.3)
    assert "wear" not in after and "clock" not in after
    assert {"from_shop", "instead_of"}.isdisjoint(after)


def test_an_empty_folder_changes_nothing(tmp_path: Path, trade: Tables) -> None:
    """A workshop without tables of its own works by the trade's."""
    assert load(tmp_path) == trade
