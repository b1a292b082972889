"""Sheets on paper: one folder a sheet, each with a template and the values that it is given."""

from pinchbolt.paper.render import (
    SHEETS,
    bolt_round_sheet,
    hang_tag,
    home_tools_sheet,
    render,
    wheel_sheet_pdf,
)

__all__ = ["SHEETS", "bolt_round_sheet", "hang_tag", "home_tools_sheet", "render", "wheel_sheet_pdf"]
