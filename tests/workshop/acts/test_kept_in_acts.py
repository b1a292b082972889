"""What an act keeps past a write is what the records say: each kept answer is asked again and compared, row by row."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import fields, is_dataclass

import pytest
from django.db import connection
from django.db.models import Model

from pinchbolt.records.models import Event, Person, Tool
from pinchbolt.workshop.acts import one_look
from pinchbolt.workshop.acts.one_look import kept_until_written, once_a_look
from pinchbolt.workshop.came_up.undo_act import UndoRequest, undo_act
from tests.kept_stages import ANEW
from tests.story import NOW, answered, checked_in, handed_over, priced, signed_off, walked_round, worked


def told(answer: object, further: int = 3) -> object:
    """An answer down to the columns of its rows, also of those that were read beside them, *further* rows away at most."""
    if isinstance(answer, Model):
        own = {field.attname: answer.__dict__.get(field.attname) for field in answer._meta.concrete_fields}
        near = answer._state.fields_cache.items() if further else ()
        return (own, {name: told(row, further - 1) for name, row in near if isinstance(row, Model)})
    if is_dataclass(answer) and not isinstance(answer, type) and type(answer).__name__ != "Tables":
        return {one.name: told(getattr(answer, one.name), further) for one in fields(answer)}
    if isinstance(answer, Mapping):
        return {key: told(one, further) for key, one in answer.items()}
    if isinstance(answer, Sequence) and not isinstance(answer, str):
        return [told(one, further) for one in answer]
    return answer


@pytest.fixture
def compared(monkeypatch: pytest.MonkeyPatch) -> Iterator[list[str]]:
    """The questions whose kept answers were compared with the records of that moment, by name."""
    asked: list[str] = []
    plain = once_a_look.__call__

    def call(self: once_a_look[..., object], *args: object) -> object:
        kept, key = one_look._KEPT.get(), (self.question, args)
        if (
            kept is not None
            and one_look._ACTING.get()
            and key in kept
            and self.question in one_look._RESTS_ON
        ):
            asked.append(self.question.__name__)
            before = one_look._KEPT.set({})
            try:
                now = self.question(*args)
            finally:
                one_look._KEPT.reset(before)
            assert told(kept[key]) == told(now), self.question.__qualname__
        return plain(self, *args)

    monkeypatch.setattr(once_a_look, "__call__", call)
    yield asked


@pytest.mark.django_db
def test_what_acts_keep_is_what_stands(compared: list[str], monkeypatch: pytest.MonkeyPatch) -> None:
    """A whole stay, and its last act taken back: readings, findings, lines, parts, joints, looks, signatures."""
    monkeypatch.setenv(ANEW, "1")
    story = checked_in()
    for stage in (walked_round, priced, answered, worked, signed_off, handed_over):
        stage(story)
    last = Event.objects.filter(job=story.job, kind="handed over").latest("pk")
    undo_act(UndoRequest(story.job, last.pk), by=story.first, key=story.key(), now=NOW)
    assert {"_fittings", "sheet_of_bike", "fittings_of", "readings_of", "_counts_for", "terms"} <= set(
        compared
    )
    assert len(compared) > 300


def rests_on_tools(name: str) -> int:
    """How many tools have this name."""
    return Tool.objects.filter(name=name).count()


@pytest.mark.django_db
def test_a_write_lets_go_of_what_rests_on_its_table() -> None:
    """Of what rests on another it does not; what does not say on what it rests is let go of with every write."""
    asked: list[str] = []

    def counted(name: str) -> int:
        asked.append(name)
        return rests_on_tools(name)

    of_tools = once_a_look.of(Tool)(counted)
    of_people = once_a_look.of(Person)(lambda name: counted(f"{name}, people"))
    of_any = once_a_look(lambda name: counted(f"{name}, any"))
    with kept_until_written():
        for question in (of_tools, of_people, of_any) * 2:
            question("a key")
        assert asked == ["a key", "a key, people", "a key, any"]
        Tool.objects.create(table_id="hex", name="a key")
        assert [question("a key") for question in (of_tools, of_people, of_any)] == [1, 0, 0]
        assert asked[3:] == ["a key", "a key, any"]


@pytest.mark.django_db
@pytest.mark.parametrize("how", ["an act that corrects", "an act", "by hand", "many"])
def test_what_is_not_plain_lets_go_of_all(how: str) -> None:
    """An act that puts another right changes what stands everywhere; a statement that is not read lets go as well."""
    asked: list[int] = []
    question = once_a_look.of(Tool)(lambda: asked.append(1))
    person = Person.objects.create(sign_in="oyelaran", name="Oyèlárán")
    Tool.objects.create(table_id="hex", name="a key")
    first = Event.objects.create(at=NOW, by=person, kind="noted", key="a mark of one act")
    with kept_until_written():
        question()
        if how == "by hand":
            with connection.cursor() as cursor:
                cursor.execute("UPDATE records_tool SET name = %s", ["another"])
        elif how == "many":
            Tool.objects.all().delete()
        else:
            corrects = first if how == "an act that corrects" else None
            Event.objects.create(at=NOW, by=person, kind="noted", key="a mark of another", corrects=corrects)
        question()
    assert len(asked) == (1 if how == "an act" else 2)
