"""Log lines that tell what went wrong and where, and nothing of whom it was about."""

import logging
import re
import traceback

# What follows these in an address opens something to whoever holds it.
SECRET_IN_PATH = re.compile(r"(/join/|/report/|/password/new/|/sign-in/address/)[^/\s?]+")
QUERY = re.compile(r"(/[^\s?]*)\?\S*")
ADDRESS = re.compile(r"[^\s'\"<>]+@[^\s'\"<>]+")
UNSEEN = re.compile(r"[^\x20-\x7e\xa0-\U0010ffff]")  # with a line break in it a text would forge a line


class WithoutPersonalData(logging.Formatter):
    """Pages without what was asked of them, no e-mail address, and errors without their texts, which quote
    what was typed."""

    def __init__(self):
        super().__init__("{asctime} {levelname} {name} {message}", style="{")

    def format(self, record):
        record.exc_text = None  # as another formatter may have left it
        return super().format(record)

    def formatMessage(self, record):
        line = SECRET_IN_PATH.sub(r"\1…", super().formatMessage(record))
        return UNSEEN.sub("�", ADDRESS.sub("…", QUERY.sub(r"\1", line)))

    def formatException(self, exc_info):
        kind, _, trace = exc_info
        frames = [f"{frame.filename}:{frame.lineno} in {frame.name}" for frame in traceback.extract_tb(trace)]
        return "\n".join([*frames, f"{kind.__module__}.{kind.__name__}"])
