"""Pieces of a page that are drawn once for the same values, and addresses that are put together once.

On every page of the day some fifty lines of jobs and call-backs are the same as a minute ago.
"""

from functools import lru_cache

from django import template
from django.template import Context, Node, NodeList, TemplateSyntaxError
from django.template.base import Parser, Token
from django.template.defaulttags import URLNode
from django.template.defaulttags import url as url_as_written
from django.urls import NoReverseMatch
from django.utils import timezone
from django.utils.html import escape
from django.utils.safestring import SafeString

from pinchbolt.bench.addresses import address_of, where_pages_are
from pinchbolt.values.wording import worded
from pinchbolt.workshop.acts.lookups import as_the_shop_writes
from pinchbolt.workshop.common.trade_tables import tables

register = template.Library()
# A line of a job or of a part's facts is one to three kB: some MB at most. Own choice.
_PIECES = 2000


class KeptPiece(Node):
    """The piece between the tags."""

    child_nodelists = ("nodes",)

    def __init__(self, names: tuple[str, ...], nodes: NodeList) -> None:
        self.names, self.nodes = names, nodes

    def render(self, context: Context) -> SafeString:
        """The piece for the values that stand under its names: kept, or drawn with nothing else in sight."""
        values = tuple(context[name] for name in self.names)
        around = (context.autoescape, timezone.localdate(), where_pages_are(), as_the_shop_writes(), tables())
        place = _place(self, values, around)
        if not place:
            place.append(self.nodes.render(context.new(dict(zip(self.names, values, strict=True)))))
        return place[0]


@lru_cache(_PIECES)
def _place(piece: KeptPiece, values: tuple[object, ...], around: tuple[object, ...]) -> list[SafeString]:
    """Where a piece is kept for these values, by what it may hang on besides: the day, where pages are, how the shop writes, tables."""
    return []


def forget_pieces() -> None:
    """Let go of every piece of this process: an owner was erased, and some may name them."""
    _place.cache_clear()


def kept_pieces() -> int:
    """Return how many pieces are kept."""
    return _place.cache_info().currsize


@register.tag
def kept(parser: Parser, token: Token) -> KeptPiece:
    """A piece that hangs on the named values alone: `{% kept job %}…{% endkept %}`, drawn again only where one of them is another.

    The values can't be changed (frozen, tuples, texts), equal ones read the same, and no form stands inside: its mark is for one
    act. Inside nothing else of the page is there.
    """
    names = tuple(token.split_contents()[1:])
    if not names:
        raise TemplateSyntaxError(worded("kept: name the values on which the piece hangs."))
    nodes = parser.parse(("endkept",))
    parser.delete_first_token()
    return KeptPiece(names, nodes)


class KeptAddress(URLNode):
    """As the framework's own, but that an address is put together once."""

    def render(self, context: Context) -> str:
        """The address; one that can't be is the framework's to say."""
        gaps = {name: one.resolve(context) for name, one in self.kwargs.items()}
        if self.args or not context.autoescape:
            return str(super().render(context))
        try:
            found = address_of(self.view_name.resolve(context), **gaps)
        except NoReverseMatch:
            return str(super().render(context))
        if self.asvar:
            context[self.asvar] = found
            return ""
        return escape(found)


@register.tag
def url(parser: Parser, token: Token) -> KeptAddress:
    """The address of a screen, as everywhere."""
    node = url_as_written(parser, token)
    return KeptAddress(node.view_name, node.args, node.kwargs, node.asvar)
