"""The entry point: chooses between the window and the work without a screen."""

import importlib
import sys
from collections.abc import Callable, Sequence
from multiprocessing import freeze_support
from typing import Any

from servicedesk.values.trouble import Trouble

# options that stand before a verb and take a value; everything else is understood by `cli`
_WITH_VALUE = frozenset({"--store", "--today", "--who"})
_ASK_ONLY = frozenset({"-h", "--help", "--version"})


def main(argv: Sequence[str] | None = None) -> int:
    """Run the program; the exit code: 0 done, 1 look at something, 2 wrong use, 3 store trouble.

    A verb goes to the command line. Without one the window opens on the store; where no window
    can open, a sentence says why and the morning's work is done without it.
    """
    try:
        return _main(list(sys.argv[1:] if argv is None else argv))
    except KeyboardInterrupt:  # while something was still being loaded
        return 1


def _main(words: Sequence[str]) -> int:
    if has_verb(words):
        return _cli_main(words)
    from servicedesk.window.screen_check import why_no_window

    trouble = why_no_window()
    if trouble is None:
        try:
            app = importlib.import_module("servicedesk.window.app")
        except ImportError as missing:
            trouble = _import_trouble(missing)
    if trouble is not None:
        return _without_screen(words, trouble)
    return _with_window(app, words)


def has_verb(words: Sequence[str]) -> bool:
    """Whether the command line is asked: by a verb, or for help or the version."""
    waiting = iter(words)
    for word in waiting:
        if word in _ASK_ONLY:
            return True
        if word in _WITH_VALUE:
            next(waiting, None)
        elif not word.startswith("-"):
            return True
    return False


def _with_window(app: Any, words: Sequence[str]) -> int:
    cli = importlib.import_module("servicedesk.cli")
    opener: Callable[[], Any] = cli.office_opener(words)
    try:
        return int(app.run(opener, words, log_folder=cli.log_folder()))
    except Trouble as trouble:
        print(trouble, file=sys.stderr)  # noqa: T201
        return trouble.exit_code


def _without_screen(words: Sequence[str], trouble: Trouble) -> int:
    from servicedesk.words import say

    cli = importlib.import_module("servicedesk.cli")
    wrong: int | None = cli.wrong_use(words)
    if wrong is not None:
        return wrong
    print(trouble, file=sys.stderr)  # noqa: T201
    print(  # noqa: T201
        say("The morning's work is done without a window; servicedesk --help lists the verbs."),
        file=sys.stderr,
    )
    return _cli_main(words)  # without a verb it does the morning's work


def _cli_main(words: Sequence[str]) -> int:
    cli = importlib.import_module("servicedesk.cli")
    return int(cli.main(words))


def _import_trouble(missing: ImportError) -> Trouble:
    from servicedesk.window.screen_check import import_trouble

    return import_trouble(missing)


if __name__ == "__main__":
    freeze_support()  # a built program: the search for the weeks begins it a second time
    sys.exit(main())
