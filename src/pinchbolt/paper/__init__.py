"""Sheets on paper: one folder a sheet, each with a template and the values that it is given."""

from pinchbolt.paper.render import SHEETS, hang_tag, render

__all__ = ["SHEETS", "hang_tag", "render"]
