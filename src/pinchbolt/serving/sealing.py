"""What is served to the network with: vouched for as this machine is called today, and vouched for anew before that ends."""

import ssl
from datetime import datetime

from pinchbolt.serving.authority import Vouched, context_of, vouch
from pinchbolt.serving.this_machine import own_names


class Sealing:
    """The certificate in use. New connections take the newest, those that stand keep theirs."""

    def __init__(self, now: datetime) -> None:
        self.names = own_names(network=True)
        self.vouched: Vouched = vouch(_bare(self.names), now)
        self._context = context_of(self.vouched)

    def context(self) -> ssl.SSLContext:
        """Return what a new connection is wrapped with."""
        return self._context

    def look_again(self, now: datetime, *, away: bool = False) -> bool:
        """See whether the machine has moved to another address, or the certificate is about to end; return whether it is another now.

        Args:
            now: When. [-]
            away: The machine has no network just now: it is still called what it was, so that tablets find it when it is back. [-]
        """
        names = self.names if away else own_names(network=True)
        fresh = vouch(_bare(names), now)
        if fresh == self.vouched:
            return False
        # One name after the other: whoever is answered meanwhile is answered by the old ones or the new.
        self._context = context_of(fresh)
        self.vouched, self.names = fresh, names
        return True


def _bare(names: list[str]) -> list[str]:
    """Names as a certificate says them, without the brackets of an address."""
    return [one.strip("[]") for one in names]
