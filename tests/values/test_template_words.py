"""The sentences of a template are found without a mark, and put back with what stands in their gaps."""

import pytest

from pinchbolt.values.sheet_words import reworded_sheet, sheet_messages
from pinchbolt.values.template_words import messages, reworded, with_filter
from tests.house.source import SRC


@pytest.mark.parametrize(
    ("page", "found"),
    [
        ("<p>One.</p>\n<p>Two {{ bike.tag }}.</p>", [(1, "One."), (2, "Two {tag}.")]),
        ("<p>ask <strong>b {{ x.y|figure }}</strong> c</p>", [(1, "ask <strong>b {y}</strong> c")]),
        ("{% if x %}yes{% else %}no{% endif %}", [(1, "yes"), (1, "no")]),
        ('<a class="act" href="{% url "x" %}">save</a> <a href="/">leave</a>', [(1, "save"), (1, "leave")]),
        ("<p>{{ one }} of {{ two.one }}</p>", [(1, "{one} of {one2}")]),
        ("<p>{{ n }} line{{ n|pluralize }}</p>", [(1, "{n} line{s}")]),
        ("<p>by {% guess %} more than {% money price %}</p>", [(1, "by {guess} more than {price}")]),
        (
            '<input placeholder="a name" value="agreed"><input type="submit" value="save it">',
            [(1, "a name"), (1, "save it")],
        ),
        ('{% include "_field.html" with field=form.name note="as it is signed" %}', [(1, "as it is signed")]),
        ('<p>{{ said|default:"nothing said" }}</p>', [(1, "nothing said")]),
        ("<script>say('no')</script><style>p { a: b }</style>{# for the reader #}", []),
        ("<p>{{ a }} · 12 {{ b }}</p>", []),
    ],
)
def test_messages_of_a_page(page, found):
    """A run of text with its values; what decides ends it, attributes that are read out are messages of their own."""
    assert list(messages(page)) == found


def test_a_translation_is_put_back_with_its_values_and_tags():
    """In another order, with quotes that stay signs of text in an attribute."""
    page = '<p title="the {{ x }}">Ask <a href="{% url "o" %}">{{ job.owner|title }}</a> first.</p>'
    instead = {"the {x}": 'das "{x}"', "Ask <a>{owner}</a> first.": "Erst <a>{owner}</a> fragen."}
    assert reworded(page, lambda text, _: instead.get(text, text)) == (
        '<p title="das &quot;{{ x }}&quot;">Erst <a href="{% url "o" %}">{{ job.owner|title }}</a> fragen.</p>'
    )


def test_a_value_that_is_read_may_be_said_too():
    """Only where it is read: what a form sends back stays as the records have it."""
    page = '<input name="how" value="{{ how }}"><p>{{ how|capfirst }}</p>'
    assert reworded(page, lambda text, _: text, lambda value: with_filter(value, "said")) == (
        '<input name="how" value="{{ how }}"><p>{{ how|said|capfirst }}</p>'
    )


@pytest.mark.parametrize(
    ("sheet", "found"),
    [
        ("#let body = [Ask #data.owner first.]", [(1, "Ask {owner} first.")]),
        (
            '#if data.x != "not said" [yes] else [no #data.a.b, no #data.b]',
            [(1, "yes"), (1, "no {b}, no {b2}")],
        ),
        ('[#data.lines.join("; ") and more] // as read', []),
        ("// a note\n#table(columns: 2, [joint], [set, N·m])", [(2, "joint"), (2, "set, N·m")]),
        ("= #data.sheet\n\nNothing yet.", [(3, "Nothing yet.")]),
    ],
)
def test_messages_of_a_sheet(sheet, found):
    """What stands in brackets is printed; programs and notes are none of it."""
    expected = found or [(1, "and more")]
    assert list(sheet_messages(sheet)) == expected


def test_a_value_of_a_sheet_keeps_its_name_before_a_letter():
    """Typst would read the letter as a part of the name."""
    assert reworded_sheet("[#data.many lines]", lambda text, _: "{many}er Zeilen") == "[#data.many;er Zeilen]"


@pytest.mark.parametrize("ending", ["html", "typ"])
def test_every_template_of_ours_stays_itself_where_nothing_is_said_otherwise(ending):
    """So that taking a template apart and putting it together loses nothing."""
    files = sorted(SRC.rglob(f"*.{ending}"))
    assert len(files) > 10
    for path in files:
        text = path.read_text(encoding="utf-8")
        put = reworded if ending == "html" else reworded_sheet
        assert put(text, lambda said, _: said) == text, path
