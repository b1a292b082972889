"""Room for calls within calls, taken once: a page, a command or an act is some fifty functions deep.

CPython lays the calls of a thread into pieces of 16 kB. The call that does not fit takes a new piece from the system, and gives it
back as it returns. A loop that happens to stand at such an edge takes and gives back with each of its calls, which may double what a
page takes (`docs/size.md`). One call that says it needs much gets one large piece, and all that it calls lie in the rest of it.
"""

from collections.abc import Callable
from functools import update_wrapper
from typing import ParamSpec, TypeVar

Asked = ParamSpec("Asked")
Answer = TypeVar("Answer")
# In words of eight bytes. A piece is the next power of two: here one megabyte, of which half is left for the calls within, which is
# more than Python lets them take. It is more than half of it: room within room would else stand at the end of the outer one's piece.
# What is not written to takes no memory.
_SAID_TO_NEED = 66_000


def with_room(call: Callable[Asked, Answer]) -> Callable[Asked, Answer]:
    """Return *call*, with room for all that it calls; what it answers and raises stays the same.

    Args:
        call: Any function. [-]

    Returns:
        A function of the same arguments. [-]
    """

    def roomy(*given: Asked.args, **named: Asked.kwargs) -> Answer:
        return call(*given, **named)

    roomy.__code__ = roomy.__code__.replace(co_stacksize=_SAID_TO_NEED)
    return update_wrapper(roomy, call)
