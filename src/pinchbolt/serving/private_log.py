"""Logs of the home folder: for this user alone, and kept in size."""

import logging
import os
from io import TextIOWrapper
from logging.handlers import RotatingFileHandler
from pathlib import Path

from pinchbolt.serving.home import home_folder


class PrivateLog(RotatingFileHandler):
    """A log for this user alone: five files of 2 MB, the oldest goes. Where it can't be written, work goes on without."""

    def __init__(self, name: str) -> None:
        super().__init__(
            home_folder() / "logs" / name, maxBytes=2_000_000, backupCount=4, encoding="utf-8", delay=True
        )

    def _open(self) -> TextIOWrapper:
        Path(self.baseFilename).parent.mkdir(parents=True, exist_ok=True, mode=0o700)
        handle = os.open(self.baseFilename, os.O_WRONLY | os.O_CREAT | os.O_APPEND, 0o600)
        return TextIOWrapper(os.fdopen(handle, "ab"), encoding=self.encoding)

    def handleError(self, record: logging.LogRecord) -> None:
        """Say nothing: a full disk is said at the act that it stopped."""
