"""Where sound input has no safe torque, and how a figure is written in a sentence."""

from collections.abc import Mapping
from typing import TYPE_CHECKING

from pinchbolt.errors import NoSafeAnswer
from pinchbolt.values.wording import worded

if TYPE_CHECKING:
    from pinchbolt.engines.torque.torque_types import Setting


class ConflictInJoint(NoSafeAnswer):
    """What one source asks for at least is more than another allows at most; a person decides."""


class NoSafeSetting(NoSafeAnswer):
    """No tool at hand is sure to stay inside the joint's window.

    `finest` is the greatest deviation that a tool for this window may have [-]; `upper_guarded` is a setting that
    keeps the upper limit only, where there is one. It is offered to a person and never taken by itself.
    """

    def __init__(
        self,
        sentence: str,
        errors: Mapping[str, str] | None = None,
        *,
        finest: float = 0.0,
        upper_guarded: "Setting | None" = None,
    ) -> None:
        super().__init__(sentence, errors)
        self.finest = finest
        self.upper_guarded = upper_guarded


def figure(torque: float) -> str:
    """Write a torque for a sentence: at most two decimals, no idle zeros, no unit. Torque in N·m."""
    if 0 < torque < 0.005:
        return worded("under 0.01")
    return f"{torque:.2f}".rstrip("0").rstrip(".")
