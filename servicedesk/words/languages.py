"""The reader's language: gettext catalogues, chosen once at the start."""

import gettext
from typing import Any

from servicedesk.values.resources import resource


class _Reader:
    """The language in use in this process. Set by `use`, read by `say`."""

    catalogue: gettext.NullTranslations = gettext.NullTranslations()


def use(language: str) -> None:
    """Speak `language` (an ISO 639 code such as "en") from now on.

    A missing catalogue, or a sentence missing in it, falls back to English.
    """
    try:
        folder = str(resource("locale"))
    except FileNotFoundError:
        folder = None
    _Reader.catalogue = gettext.translation(
        "servicedesk", localedir=folder, languages=[language], fallback=True
    )


def say(sentence: str, /, **values: Any) -> str:
    """`sentence` in the reader's language, with ``{name}`` replaced by the values given."""
    text = _Reader.catalogue.gettext(sentence)
    return text.format(**values) if values else text


def say_n(one: str, many: str, n: int, /, **values: Any) -> str:
    """The singular or plural sentence for `n`, with ``{n}`` and other names replaced."""
    return _Reader.catalogue.ngettext(one, many, n).format(n=n, **values)
