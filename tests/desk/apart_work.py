"""Work for a process of its own, as the tests of `desk.apart` ask for it."""

import os
import time
from types import MappingProxyType

from servicedesk.values.trouble import Trouble


def who_and_where(desk, word, *, progress, more=""):
    """Who sits there, in which process, on what day; one step on the way."""
    progress(1, 2, "half")
    print("said on the way, and no answer")
    return desk.who, os.getpid(), desk.today, MappingProxyType({word: more})


def in_trouble(_desk, *, progress):
    """Trouble of the world."""
    raise Trouble("No roads.", means="Times are guessed.", do="Build them.", exit_code=3)


def mistaken(_desk, *, progress):
    """A mistake of ours."""
    return {}["nothing"]


def gone(_desk, *, progress):
    """The process ends without a word."""
    os._exit(7)


def for_ever(_desk, *, progress):
    """Never comes to an end by itself, and never asks whether to stop."""
    progress(0, 1, "begun")
    time.sleep(3600)
