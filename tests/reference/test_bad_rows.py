"""A bad row stops the start: the sentence names file, row, field and what is allowed; all faults are told at once."""

from collections.abc import Callable, Mapping
from pathlib import Path

import pytest

from pinchbolt.errors import InputRefused
from pinchbolt.reference import load

Shop = Callable[..., Path]


def faults(folder: Path) -> Mapping[str, str]:
    """Load and give back each fault by its place, without the folder's name."""
    with pytest.raises(InputRefused) as refused:
        load(folder)
    sentences = refused.value.errors
    return {
        place.removeprefix(f"{folder}/"): text.replace(f"{folder}/", "") for place, text in sentences.items()
    }


def test_a_limit_in_words_is_refused_with_its_unit(shop: Shop) -> None:
    """The one sentence, whole."""
    folder = shop(limits='[[limit]]\nid = "rotor-thickness-1.8"\nlimit = "thin"\n')
    with pytest.raises(InputRefused) as refused:
        load(folder)
    assert refused.value.sentence == (
        f'{folder}/limits.toml, row "rotor-thickness-1.8", field "limit" is "thin": a number in mm. '
        "Correct the file and start again."
    )


def test_all_faults_are_told_at_once(shop: Shop) -> None:
    """Not only the first: a person corrects the file once."""
    found = faults(
        shop(
            limits="""
            [[limit]]
            id = "hub-feel"
            direction = "sideways"
            at_limit = "soon"
            sd = "small"
            [[limit]]
            id = "bb-feel"
            wran = 2
            on = ["bottom bracket", 9]
            when = ["motor", "brake=red"]
            """,
            joints='[[joint]]\nid = "pedal"\ncount = 1.5\nparts = "pedal"\ncritical = "D"\n',
            operations='[[operation]]\nid = "chain"\nminutes = [12, 15]\n',
            parts_prices='[[price]]\nid = "tube"\nprice = "8.005"\n',
            wear_priors='[[prior]]\nid = "chain"\nmedian = { "on the moon" = 3 }\n',
        )
    )
    assert found == {
        "limits.toml/hub-feel/direction": 'limits.toml, row "hub-feel", field "direction" is "sideways": '
        "one of up, down, band, flag.",
        "limits.toml/hub-feel/at_limit": 'limits.toml, row "hub-feel", field "at_limit" is "soon": '
        "one of sound, keep an eye on it, next visit, before it leaves, unsafe to ride.",
        "limits.toml/hub-feel/sd": 'limits.toml, row "hub-feel", field "sd" is "small": a number in step 0-3.',
        "limits.toml/bb-feel/wran": 'limits.toml, row "bb-feel", field "wran" is not known here: was "warn" meant?',
        "limits.toml/bb-feel/on[2]": 'limits.toml, row "bb-feel", field "on[2]" is 9: text in quotes.',
        "limits.toml/bb-feel/when[2]": 'limits.toml, row "bb-feel", field "when[2]" is "brake=red": '
        'a condition such as "rotor", "not chain", "brake.stops_on=disc|rim", ".springing=air", "*.material=carbon", '
        '"bike.kind=kids", "rim brake@".',
        "joints.toml/pedal/count": 'joints.toml, row "pedal", field "count" is 1.5: a whole number.',
        "joints.toml/pedal/parts": 'joints.toml, row "pedal", field "parts" is "pedal": a list in square brackets.',
        "joints.toml/pedal/critical": 'joints.toml, row "pedal", field "critical" is "D": one of A, B, C.',
        "operations.toml/chain/minutes": 'operations.toml, row "chain", field "minutes" is [12, 15]: '
        "a list of 3 in square brackets.",
        "parts-prices.toml/tube/price": 'parts-prices.toml, row "tube", field "price" is "8.005": '
        'a price to the penny in quotes, such as "45.00".',
        "wear-priors.toml/chain/median": 'wear-priors.toml, row "chain", field "median" is "on the moon": '
        "one of dry road, mixed, mud, e-bike, indoor.",
    }


def test_ranges_stand_in_order(shop: Shop) -> None:
    """Warning before limit in the sense of wear; least under usual under greatest; tools inside their range."""
    found = faults(
        shop(
            limits="""
            [[limit]]
            id = "rotor-thickness-1.8"
            warn = 1.4
            [[limit]]
            id = "chain-elongation-11"
            warn = 0.6
            [[limit]]
            id = "spoke-tension-high-side"
            limit_low = 950
            [[limit]]
            id = "rim-crack"
            limit = "maybe"
            [[limit]]
            id = "dish"
            unit = "furlongs"
            sd = -0.1
            [[limit]]
            id = "hanger-alignment"
            when = ["*.sprockets_behind=0|10"]
            """,
            joints="""
            [[joint]]
            id = "stem-face-4"
            typical = 7.0
            [[joint]]
            id = "pad-pin"
            low = 0.0
            [[nut_factor]]
            prep = "dry"
            k = 0
            """,
            operations="""
            [[operation]]
            id = "rotor"
            minutes = [8, 30, 18]
            [[operation]]
            id = "chain"
            minutes = [1, 2, 3]
            """,
            tools="""
            [[torque_tool]]
            id = "tq-2-14"
            range = [14, 2]
            [[torque_tool]]
            id = "tq-preset-4-5-6"
            steps = [4, 5, 8]
            [[torque_class]]
            id = "untested"
            deviation = 15
            [[tool]]
            id = "hex-5"
            worn_at = 4.97
            [[socket]]
            drive = "hex-5"
            min = 5.2
            """,
            interfaces="""
            [[tyre_on_hooked_rim]]
            inner = 17
            tyre_max = 20
            [[measuring_rim]]
            rim = 19
            section = [23, 28]
            """,
        )
    )
    told = "\n".join(found.values())
    for sentence in (
        'row "rotor-thickness-1.8", field "warn" is 1.4 mm: not under limit, which is 1.5 mm.',
        'row "chain-elongation-11", field "limit" is 0.5 percent: not under warn, which is 0.6 percent.',
        'row "spoke-tension-high-side", field "warn_low" is 900 N: not under limit_low, which is 950 N.',
        'row "rim-crack", field "limit" is "maybe": the bad answer, "yes" or "no".',
        'row "dish", field "sd" is -0.1: 0 or more.',
        'row "dish", field "unit" is "furlongs": one of Hz, N, N m',
        'row "hanger-alignment", field "when" says "*.sprockets_behind=0|10": whole numbers from 1 to 14',
        'row "stem-face-4", field "high" is 6 N m: not under typical, which is 7 N m.',
        'row "pad-pin", field "low" is 0: above 0.',
        'row "dry", field "k" is 0: above 0.',
        'row "rotor", field "minutes" is 8, 30, 18: low, usual and high minutes, rising, above 0.',
        'row "chain", field "minutes" has 2 usual minutes: 11 at least, the minutes of its shared blocks.',
        'row "tq-2-14", field "range" is 14 to 2 N m: a least above 0, then a greatest not under it.',
        'row "tq-preset-4-5-6", field "steps" holds 8 N m: settings from 4 to 6 N m.',
        'row "untested", field "deviation" is 15: above 0 and under 1; 4 % is 0.04.',
        'row "hex-5", field "size_min" is 4.95 mm: not under worn_at, which is 4.97 mm.',
        'row "hex-5", field "max" is 5.14 mm: not under min, which is 5.2 mm.',
        'row "17", field "tyre_max" is 20 mm: not under tyre_min, which is 22 mm.',
        'row "19", field "section" is 23 to 28 mm: rising, and beside the other rows.',
    ):
        assert sentence in told


def test_every_row_that_is_named_is_there(shop: Shop) -> None:
    """Ids that lead nowhere are found in every table that names rows of another."""
    found = faults(
        shop(
            limits="""
            [[limit]]
            id = "dish"
            instrument = "crystal ball"
            on = ["flux"]
            [[limit]]
            id = "rotor-heat"
            on = []
            station = "moon"
            [[limit]]
            id = "brake-hose"
            when = [".brake_line=string", ".colour=red", ".pads=resin", "flux", "bike.kind=cargo"]
            """,
            part_kinds="""
            [[kind]]
            id = "bell"
            station = "moon"
            facts = ["colour"]
            fitted_by = "luck"
            stands_for = ["bell", "wheel"]
            always = { pads = "resin" }
            """,
            bike_kinds="""
            [[bike_kind]]
            id = "tandem"
            again = { stoker = ["flux"], rear = ["chain"], "behind the second stoker" = ["bell"] }
            """,
            joints='[[joint]]\nid = "pedal"\ndrive = ["hex-7"]\n[[joint]]\nid = "cleat"\ndrive = []\n',
            operations='[[operation]]\nid = "chain"\nshares = ["teas"]\njoints = ["glue"]\ntools = ["spoon"]\n',
            signoff='[[item]]\nid = "so-bar"\njoints = ["glue"]\n',
            rules="""
            [[rule]]
            id = "cassette-body"
            table = "cassette_on_moon"
            [[rule]]
            id = "wheel-swap"
            rules = ["luck"]
            """,
            tools="""
            [[torque_tool]]
            id = "tq-2-14"
            class = "type-IX"
            [[kit]]
            id = "travel"
            tools = ["spoon"]
            [[screw_head]]
            thread = "M5"
            cap = "hex-7"
            """,
            interfaces="""
            [[cassette_on_body]]
            cassette = "c99"
            body = "hgx"
            verdict = "fits"
            source = "from memory"
            certain = "low"
            [[spindle_in_shell]]
            shell = "bsa"
            ok = ["sp99"]
            """,
            walk_round='[[place]]\nid = "headset"\nlimits = ["headset-play", "ghost", "bar-damage"]\n',
            templates="""
            [[template]]
            id = "track"
            parts = [
              { part = "chain", facts = { colour = "red", chain = "chx" } },
              { part = "flux capacitor" },
            ]
            """,
        )
    )
    told = "\n".join(found.values())
    for sentence in (
        'row "dish", field "instrument" is "crystal ball": an id under [[instrument]] or [[tool]], or one of ear, eye',
        'row "pedal", field "drive" holds "hex-7": a drive that some tool of tools.toml covers.',
        'row "cleat", field "drive" is empty',
        'row "chain", field "shares" names "teas": an id that stands under [[block]].',
        'row "chain", field "joints" names "glue": an id that stands under [[joint]].',
        'row "chain", field "tools" names "spoon": an id that stands under [[tool]] or [[instrument]] or',
        'row "so-bar", field "joints" names "glue"',
        'row "cassette-body", field "table" is "cassette_on_moon": a kind of row in interfaces.toml.',
        'row "wheel-swap", field "rules" names "luck": an id that stands under [[rule]].',
        'row "tq-2-14", field "class" names "type-IX": an id that stands under [[torque_class]].',
        'row "travel", field "tools" names "spoon"',
        'row "M5", field "cap" is "hex-7"',
        'row "c99 / hgx", field "cassette" names "c99": an id that stands under [[cassette]].',
        'row "c99 / hgx", field "body" names "hgx": an id that stands under [[freehub]].',
        'row "bsa", field "ok" names "sp99": an id that stands under [[spindle]].',
        'row "headset", field "limits" names "ghost": an id that stands under [[limit]].',
        'row "headset", field "limits" holds "bar-damage" again: each limit once at each end of the bike.',
        'row "dish", field "on" names "flux": an id that stands under [[kind]].',
        'row "rotor-heat", field "on" is empty: the kinds of part that it belongs to.',
        'row "rotor-heat", field "station" names "moon": an id that stands under [[place]].',
        'row "brake-hose", field "when" says ".brake_line=string": words of "brake_line": cable, hose, none, rod.',
        'row "brake-hose", field "when" says ".colour=red": a fact that stands under [[fact]].',
        'row "brake-hose", field "when" says ".pads=resin": a fact of "brake": stops_on,',
        'row "brake-hose", field "when" says "flux": a kind of part or a feature that is there.',
        'row "brake-hose", field "when" says "bike.kind=cargo": kids or tandem; everything else is asked of the parts.',
        'row "bell", field "station" names "moon": an id that stands under [[place]].',
        'row "bell", field "facts" names "colour": an id that stands under [[fact]].',
        'row "bell", field "fitted_by" names "luck": an id that stands under [[operation]] or [[block]].',
        'row "bell", field "stands_for" names itself: other kinds.',
        'row "bell", field "stands_for" names "wheel": a kind that stands for no other.',
        'row "bell", field "always" settles "pads": one of its own facts.',
        'row "tandem", field "again (stoker)" names "flux": an id that stands under [[kind]].',
        'row "tandem", field "again" names "rear": a place that no part has without it, 20 letters at most.',
        'row "tandem", field "again" names "behind the second stoker": a place that no part has without it,',
        'row "track", field "parts (chain)" holds the fact "colour": one of chain, chain_pitches.',
        'row "track", field "parts (chain) chain" names "chx": an id that stands under [[chain]].',
        'row "track", field "parts (flux capacitor)" is no kind of part: an id that stands under [[kind]].',
    ):
        assert sentence in told


@pytest.mark.parametrize(
    ("file", "row", "said", "allowed"),
    [
        ("limits", "hanger-alignment", "*.sprockets_behind=many", "whole numbers from 1 to 14"),
        ("limits", "hanger-alignment", "*.sprockets_behind=10|10.5", "whole numbers from 1 to 14"),
        ("limits", "hanger-alignment", "*.sprockets_behind=0|10", "whole numbers from 1 to 14"),
        ("limits", "hanger-alignment", "*.sprockets_behind=010", "in their shortest form"),
        ("limits", "rotor-heat", ".rotor=160.0", "in their shortest form"),
        ("limits", "rotor-heat", ".rotor=big", "numbers from"),
        ("limits", "rotor-heat", ".rotor=1800", "numbers from"),
        ("joints", "caliper-post-mount", ".caliper=pots", 'words of "caliper"'),
        ("joints", "rotor-6-bolt", ".rotor_kind=seven-bolt", "an id that stands under [[rotor_mount]]"),
        ("joints", "caliper-adapter", ".caliper_adapter=perhaps", 'words of "caliper_adapter": no, yes'),
        ("parts-prices", "chain-11", "*.sprockets_behind=eleven", "whole numbers from 1 to 14"),
    ],
)
def test_a_word_that_a_fact_never_has_is_refused_in_a_condition(
    tmp_path: Path, file: str, row: str, said: str, allowed: str
) -> None:
    """Else the row would never come up and nobody would know: figures, words, ids, and those of the fit rules."""
    table = {"limits": "limit", "joints": "joint", "parts-prices": "price"}[file]
    (tmp_path / f"{file}.toml").write_text(
        f'[[{table}]]\nid = "{row}"\nwhen = ["{said}"]\n', encoding="utf-8"
    )
    told = faults(tmp_path)[f"{file}.toml/{row}/when"]
    assert allowed in told
    assert said in told or "names" in told


def test_what_is_read_on_no_part_asks_no_part_of_its_own(shop: Shop) -> None:
    """A sign-off item, a caution and a home check stand for the bike: before the dot a kind is needed."""
    found = faults(
        shop(
            signoff="""
            [[item]]
            id = "so-pads"
            applies = [".pads=resin"]
            [[caution]]
            id = "carbon"
            when = [".material=carbon"]
            """
        )
    )
    assert len(found) == 2
    assert all("a kind of part before the dot" in told for told in found.values())


def test_the_first_twenty_faults_are_shown_and_the_rest_counted(shop: Shop) -> None:
    """A long list does not run off the screen; nothing is lost, every fault is in `errors`."""
    rows = "".join(f'[[limit]]\nid = "own-{number}"\n' for number in range(5))
    with pytest.raises(InputRefused) as refused:
        load(shop(limits=rows))
    lines = refused.value.sentence.splitlines()
    assert len(refused.value.errors) == 55
    assert lines[0] == "55 faults in the tables:"
    assert len(lines) == 1 + 20 + 2
    assert lines[-2:] == ["and 35 more.", "Correct them and start again."]


def test_a_row_without_its_name_is_told_by_its_number(shop: Shop) -> None:
    """The second row of the file, where nobody gave it an id."""
    found = faults(shop(limits='[[limit]]\nid = "dish"\n[[limit]]\nlimit = 3\n'))
    assert (
        found["limits.toml/limit 2/id"]
        == 'limits.toml, row "limit 2", field "id" is missing: text in quotes.'
    )


def test_a_row_stands_once(shop: Shop) -> None:
    """Two rows of one id in one file: nobody knows which counts."""
    found = faults(shop(limits='[[limit]]\nid = "dish"\nwarn = 0.6\n[[limit]]\nid = "dish"\nwarn = 0.7\n'))
    assert found == {"limits.toml/dish": 'limits.toml, row "dish" stands twice: one row for each id.'}


def test_a_table_or_file_that_nobody_knows_is_said(shop: Shop) -> None:
    """A slip in a name would otherwise leave the workshop's limits unread."""
    folder = shop(limits='[[limits]]\nid = "dish"\n', limit='[[limit]]\nid = "dish"\n')
    (folder / "notes.txt").write_text("not a table", encoding="utf-8")
    found = faults(folder)
    assert found["limit.toml"] == 'limit.toml is no table that is known here: was "limits.toml" meant?'
    assert found["limits.toml/limits"] == 'limits.toml, field "limits" is not known here: was "limit" meant?'
    assert len(found) == 2


def test_a_source_is_never_empty(shop: Shop) -> None:
    """Silence about where a figure comes from is a fault like any other."""
    found = faults(
        shop(limits='[[limit]]\nid = "dish"\nsource = " "\n[[limit]]\nid = "hub-feel"\ncertain = "very"\n')
    )
    assert "a source, 'common practice, no source' or 'from memory'" in found["limits.toml/dish/source"]
    assert "one of high, medium, low" in found["limits.toml/hub-feel/certain"]


def test_an_operation_that_takes_a_wheel_out_and_does_not_say_so_is_refused(shop: Shop) -> None:
    """The axle would reach no torque sheet: told with the blocks that would bring it."""
    row = """
        [[operation]]
        id = "look-at-hub"
        name = "hub looked at"
        minutes = [5, 8, 12]
        shares = ["on-stand"]
        steps = ["wheel out", "axle turned by hand"]
        tools = []
        parts = []
        needs = []
        checks = []
        next = ""
        source = "ours"
        certain = "low"
        """
    assert faults(shop(operations=row)) == {
        "operations.toml/look-at-hub/steps": 'operations.toml, row "look-at-hub", field "steps" says "wheel out" and shares '
        "none of rear-wheel-out, front-wheel-out: that block under shares, so that its joints are done to their value."
    }
    on_both = row.replace('["on-stand"]', '["on-stand", "{end}-wheel-out"]')
    assert faults(shop(operations=on_both)) == {
        "operations.toml/look-at-hub/at_place": 'operations.toml, row "look-at-hub", field "at_place" is false: '
        "true, since {end}-wheel-out is done at one end of the bike."
    }


def test_a_part_that_would_be_left_out_of_the_estimate_is_refused(shop: Shop) -> None:
    """No price, a count that is none, a fact that is none: told before anybody is asked for money."""
    for parts, wrong in (
        ('["hinge"]', 'names "hinge": a kind of part with a row under [[price]]'),
        ('["chain x some"]', 'holds "chain x some": KIND, KIND x 2 or KIND x FACT|2, counted from 1'),
        ('["chain x 0"]', 'holds "chain x 0": KIND, KIND x 2 or KIND x FACT|2, counted from 1'),
        ('["spoke x spokes|32"]', 'counts by "spokes": an id that stands under [[fact]]'),
    ):
        found = faults(shop(operations=f'[[operation]]\nid = "wash"\nparts = {parts}\n'))
        assert found == {"operations.toml/wash/parts": f'operations.toml, row "wash", field "parts" {wrong}.'}


def test_a_limit_that_leads_nowhere_is_refused(shop: Shop) -> None:
    """Taking the last row away that names it would leave a finding without a line; the workshop's own limits may have none."""
    found = faults(shop(proposals='[[proposal]]\nid = "pedals"\nlimits = []\n'))
    assert found == {
        "limits.toml/pedal-play/id": 'limits.toml, row "pedal-play", field "id" leads nowhere: a row of proposals.toml '
        "that names it, from its verdict on."
    }
    found = faults(shop(proposals='[[proposal]]\nid = "crank-damage"\noperation = ""\n'))
    assert found == {
        "limits.toml/crank-arm-damage/id": 'limits.toml, row "crank-arm-damage", field "id" is unsafe and leads to words '
        "alone: an operation or a refusal in proposals.toml."
    }
