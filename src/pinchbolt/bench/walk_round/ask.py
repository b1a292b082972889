"""What must be known before a place is read: a card for each question, and the answer as it is sent."""

from dataclasses import dataclass

from pinchbolt.bench.bench_form import BenchForm
from pinchbolt.bench.fields import Picked, Whole, Words
from pinchbolt.errors import InputRefused
from pinchbolt.values.wording import worded
from pinchbolt.workshop.bikes.change_build import DescribeRequest
from pinchbolt.workshop.bikes.corners import Answered
from pinchbolt.workshop.bikes.part_questions import QuestionOfPart
from pinchbolt.workshop.common.trade_tables import tables
from pinchbolt.workshop.stays.walk_round import PlaceDue

NOT_KNOWN_AFTER_ALL = "not known"


class ToldForm(BenchForm):
    """The answer to a question about a part: one of its buttons, or what was typed."""

    part = Whole(worded("The part"), "numbers")
    fact = Picked(worded("The question"))
    answer = Words(worded("The answer"))

    @property
    def about(self) -> str:
        """The card that it came from."""
        return card_id(str(self.data.get("part", "")), str(self.data.get("fact", "")))

    def asked(self) -> DescribeRequest:
        """Return it as the use case takes it.

        Raises:
            InputRefused: Nothing was answered.
        """
        said = self.checked()
        if said["part"] is None or not said["fact"]:
            raise InputRefused(
                worded("This answer names no part and no question. Reload the page and answer again.")
            )
        if not said["answer"].strip():
            raise InputRefused(
                worded("Nothing was answered: choose or type an answer, or leave the question open.")
            )
        answer = None if said["answer"] == NOT_KNOWN_AFTER_ALL else said["answer"]
        return DescribeRequest(part=said["part"], facts={said["fact"]: answer})


@dataclass(frozen=True, slots=True)
class AskCard:
    """A question on the page. `given`: the answer just given, or the one that was refused with its `sentence`."""

    id: str
    part: int
    part_words: str
    question: QuestionOfPart
    given: str = ""
    sentence: str = ""

    @property
    def is_text(self) -> bool:
        """Whether the answer is words as printed on the part, not a figure."""
        row = tables().facts.get(self.question.fact)
        return row is not None and row.text

    @property
    def usual(self) -> tuple[float | None, float | None]:
        """The least and greatest figure that it can be."""
        row = tables().facts.get(self.question.fact)
        return (row.number or row.whole or (None, None)) if row is not None else (None, None)


def card_id(part: object, fact: str) -> str:
    """Return the name of a card on the page."""
    return f"ask-{part}-{fact}"


def cards_of(place: PlaceDue, refused: BenchForm | None) -> tuple[AskCard, ...]:
    """Return the cards of a place; what was refused stands in its own card."""
    cards = []
    for due in place.asks:
        name = card_id(due.part, due.question.fact)
        is_here = isinstance(refused, ToldForm) and refused.about == name and refused.refusal is not None
        given = str(refused.data.get("answer", "")) if is_here and refused is not None else ""
        sentence = refused.refusal.sentence if is_here and refused is not None and refused.refusal else ""
        cards.append(AskCard(name, due.part, due.part_words, due.question, given, sentence))
    return tuple(cards)


def card_again(told: Answered) -> AskCard:
    """Return the card of a question that was answered just now."""
    name = card_id(told.part, told.question.fact)
    return AskCard(name, told.part, told.part_words, told.question, told.value)
