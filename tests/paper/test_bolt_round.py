"""The bolt round and the torque sheet on paper."""

from io import BytesIO

import pytest
from pypdf import PdfReader

from pinchbolt.errors import InputRefused, NotFound
from pinchbolt.paper import bolt_round_sheet, render
from pinchbolt.workshop.torque.bolt_round import TickRequest, bolt_round, tick_joint
from pinchbolt.workshop.torque.torque_sheet import torque_sheet
from tests.paper.reading import fonts, words
from tests.story import NOW, STEM, TODAY, Story


def test_every_joint_of_the_round_has_its_tool_setting_and_term(worked: Story) -> None:
    """The use case's own figures, and boxes for what held and what moved."""
    paper = words(bolt_round_sheet(worked.tag, "whole", NOW))
    seen = bolt_round(worked.tag, "whole", NOW)
    assert len(seen.joints) > 10 and "held moved, N·m" in paper
    for one in seen.joints:
        assert one.joint.name in paper
        if one.joint.setting is not None:
            assert f"{one.joint.setting.set:g} {one.joint.tool_name}" in paper
    assert "every 3 months, first after 100 km; last Wed 25 Nov 2026" in paper
    assert "Carbon: look, tap" in paper and "Bar, stem, steerer and post hold" in paper


def test_what_was_ticked_on_the_tablet_is_on_the_paper(worked: Story) -> None:
    """With who and when."""
    asked = TickRequest(worked.tag, STEM, True)
    tick_joint(asked, by=worked.first, key=worked.key(), now=NOW)
    assert "Ines Holloway, Wed 25 Nov 2026, 10:00" in words(bolt_round_sheet(worked.tag, "whole", NOW))


def test_the_round_is_a_sheet_like_the_others(worked: Story) -> None:
    """A4, tagged, its own face, the same bytes twice; the marking wins on every page."""
    pdf = bolt_round_sheet(worked.tag, "whole", NOW)
    assert pdf == bolt_round_sheet(worked.tag, "whole", NOW)
    read = PdfReader(BytesIO(pdf))
    assert round(float(read.pages[0].mediabox.width)) == 595
    assert read.trailer["/Root"]["/MarkInfo"]["/Marked"]  # type: ignore[index]
    assert all(name.startswith("B612-") for name in fonts(pdf))
    for page in range(len(read.pages)):
        assert "The marking on a part and its maker's instructions win" in words(pdf, page)


def test_a_round_of_no_bike_or_of_no_kind_is_refused(worked: Story) -> None:
    """In the use case's own words."""
    with pytest.raises(NotFound, match="No bike has the tag"):
        bolt_round_sheet("XX-9", "", NOW)
    with pytest.raises(InputRefused, match="There is no round"):
        bolt_round_sheet(worked.tag, "yearly", NOW)


def test_the_torque_sheet_by_itself_says_what_the_job_card_says(worked: Story) -> None:
    """Every joint in working order with its setting and the cautions that bite; why stands in the workings."""
    paper = words(render("torque-sheet", worked.job, NOW))
    workings = words(render("workings", worked.job, NOW))
    places = []
    for joint in torque_sheet(worked.record, TODAY):
        places.append(paper.index(joint.name))
        if joint.setting is not None:
            assert f"set {joint.setting.lowest:g} to {joint.setting.highest:g}" in paper
        for reason in joint.reasons:
            assert " ".join(reason.words.split()) in workings
    assert places == sorted(places)
    assert "Bar, stem, steerer and post hold" in paper and "grease; cross, in three passes" in paper
    assert "(trade table)" in paper and "A marking on a part beats the table" in paper
