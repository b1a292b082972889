"""An address stands in the address list and nowhere else: everybody else names the screen."""

import ast
import re
from collections.abc import Iterator
from pathlib import Path

import pytest
from django.urls import URLResolver, get_resolver

from tests.house.source import SRC, dotted, modules, nodes_of, place

# The lists themselves, and the one place that says where Django's own files lie.
LISTS = {"bench/urls.py", "bench/job_urls.py", "serving/urls.py", "serving/settings.py"}
ROOMS = ("bench", "serving", "paper")
# An address that begins in a template: href="/tools/", x='/tools/', href=/tools/.
_WRITTEN = re.compile(r"""["'=`]/\w[^"'`\s>]*""")
_LEADS = re.compile(
    r'\s(?:href|action|formaction|src|hx-(?:get|post|put|delete|patch))="((?:\{%.*?%\}|[^"])*)"'
)
# What a page fills in; an address is filled in whole, and only a question or a place on the page comes behind it.
_FILLED = re.compile(r"\{%.*?%\}|\{\{.*?\}\}")
_BEHIND = re.compile(r"$|[?#]|data:")
_NAMED = re.compile(r"""\{% url ["'](\w+)["']""")


def in_page(text: str) -> list[str]:
    """Addresses that a template or a script holds by itself."""
    led = [value for value in _LEADS.findall(text) if not _BEHIND.match(_FILLED.sub("", value))]
    return [*led, *_WRITTEN.findall(_LEADS.sub("", text))]


def in_code(tree: ast.Module) -> Iterator[tuple[int, str]]:
    """Lines and literals that are an address, or a piece of one; what a docstring says is no address."""
    said = {id(node.value) for node in nodes_of(tree, ast.Expr)}
    roots = {
        id(arg)
        for call in nodes_of(tree, ast.Call)
        if _asks_for_the_root(call)
        for arg in getattr(call, "args", ())
    }
    aside = said | roots
    firsts = re.compile(f"/(?:{'|'.join(sorted(map(re.escape, first_words())))})(?:/|$)")
    for node in nodes_of(tree, ast.Constant):
        if not isinstance(node.value, str) or id(node) in aside:
            continue
        if node.value == "/" or re.match(r"/\w", node.value) or firsts.search(node.value):
            yield node.lineno, node.value


def _asks_for_the_root(node: ast.AST) -> bool:
    """Where the workshop itself stands, or a slash that is taken off."""
    return isinstance(node, ast.Call) and getattr(node.func, "attr", dotted(node.func)) in (
        "build_absolute_uri",
        "strip",
        "rstrip",
    )


def first_words() -> set[str]:
    """The first word of every address, as the list has it now."""
    routes = {str(one.pattern) for one in get_resolver().url_patterns}
    for one in get_resolver().url_patterns:
        if isinstance(one, URLResolver) and not str(one.pattern):
            routes |= {str(each.pattern) for each in one.url_patterns}
    return {word for route in routes if (word := route.partition("/")[0]) and "<" not in word}


def names() -> set[str]:
    """Every name of the address list."""
    return {str(name) for name in _names(get_resolver())}


def _names(of: URLResolver) -> Iterator[object]:
    for one in of.url_patterns:
        if isinstance(one, URLResolver):
            yield from _names(one)
        else:
            yield one.name


def _pages(*kinds: str) -> list[Path]:
    return sorted(path for kind in kinds for path in (SRC / "bench").rglob(f"*.{kind}"))


def test_no_page_holds_an_address() -> None:
    """A page asks where a screen is, so that an address moves by one line."""
    pages = _pages("html", "js")
    assert len(pages) > 60
    assert [
        (path.name, found) for path in pages if (found := in_page(path.read_text(encoding="utf-8")))
    ] == []


def test_every_screen_that_a_page_names_is_on_the_list() -> None:
    """Where a page keeps an address under a name of its own, Django would leave a wrong name empty and say nothing."""
    named = {name for path in _pages("html") for name in _NAMED.findall(path.read_text(encoding="utf-8"))}
    assert len(named) > 60
    assert named - names() == set()


def test_no_code_holds_an_address() -> None:
    """Of the screens, the sheets on paper and the server; the lists are where addresses stand."""
    found = [
        f"{place(path, line)}: {said}"
        for room in ROOMS
        for path, tree in modules(SRC / room)
        if path.relative_to(SRC).as_posix() not in LISTS
        for line, said in in_code(tree)
    ]
    assert found == []


@pytest.mark.parametrize(
    "page",
    [
        '<a href="/tools/">',
        "<a href=/tools/>",
        '<form action="/job/{{ job }}/work/">',
        '{% include "x.html" with there="/settings/people/" %}',
        """<a href="{% url 'job_sheet' job=job %}../work/">""",
        '<a href="../work/">',
        '<a href="{% if a %}/tools/{{ b }}/{% else %}{% url "kit" %}{% endif %}">',
        '<a href="{{ there }}work/">',
        '<button hx-post="work/line/">',
        'fetch("/kit/")',
    ],
)
def test_an_address_that_is_planted_in_a_page_is_found(page: str) -> None:
    """In quotes or without, whole or a piece, put behind an address that was asked for."""
    assert in_page(page)


@pytest.mark.parametrize(
    "code",
    [
        'x = f"/job/{job}/work/"',
        'x = redirect("/sign-in/")',
        'x = redirect("/")',
        'x = f"{root}/bike/{tag}"',
        'x = path.startswith("/api/")',
    ],
)
def test_an_address_that_is_planted_in_code_is_found(code: str) -> None:
    """Whole, the root alone, or a piece in the middle."""
    assert list(in_code(ast.parse(code)))


def test_what_is_no_address_is_left_alone() -> None:
    """A place on the page, a question, a drawing's own path, a fraction, a template's file, and words about an address."""
    pages = [
        '<a href="#top"><a href="?all"><a href="{{ there }}#x"><path d="M0 0"/>',
        '<a href="{% if a %}{% url "kit" %}{% else %}{% url "bins" %}{% endif %}?x=1"><img src="{% static "a/b.svg" %}">',
    ]
    assert [in_page(page) for page in pages] == [[], []]
    code = '"""Sheets lie below /paper/."""\nx = "work/work.html", "50/34", "per cent/100", base.rstrip("/")'
    assert list(in_code(ast.parse(code))) == []
