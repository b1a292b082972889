"""The command line: the same use cases, words and sentences as the screens.

Exit codes: 0 done; 2 refused (one sentence says what is allowed); 3 no safe answer, or a fact is missing.
"""

from pinchbolt.cli.command_door import main

__all__ = ["main"]
