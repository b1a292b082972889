"""The one thing to do next on a job: a code that programs go by, and the words of its button."""

from enum import StrEnum

from pinchbolt.values.wording import worded


class NextStep(StrEnum):
    """What is done next. The value is the code, which never changes; `words` is what a person reads."""

    WALK_ROUND = "walk-round"
    ESTIMATE = "estimate"
    OWNER = "ask the owner"
    ANSWER = "write down the answer"
    START = "start the work"
    GO_ON = "go on with the work"
    PART = "wait for the part"
    SIGN_OFF = "sign off"
    HAND_OVER = "hand over"
    HANDED_OVER = "handed over"
    CALLED_OFF = "called off"
    NOT_COLLECTED = "not collected"
    LEAVE_OUTSIDE = "leave it outside"
    BIKE = "wait for the bike"

    @property
    def words(self) -> str:
        """The words of the button: a verb and its thing."""
        return _WORDS.get(self, self.value)


_WORDS = {
    NextStep.WALK_ROUND: worded("start the walk-round"),
    NextStep.ESTIMATE: worded("write the estimate"),
    NextStep.GO_ON: worded("carry on"),
    NextStep.PART: worded("is the part here?"),
    NextStep.BIKE: worded("is the bike back?"),
}
