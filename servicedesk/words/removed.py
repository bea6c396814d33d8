"""Why a unit came out, in words."""

from collections.abc import Mapping

from servicedesk.words.languages import say

_FAILED = "failed: "


def removed_text(why: str, causes: Mapping[str, str]) -> str:
    """The reason as written; of a failure by a cause that has a name (`causes` by id), the name.

    A write-up notes a failure with the id of the cause that its job found: "failed: pump-worn".
    """
    cause = why.removeprefix(_FAILED)
    if why.startswith(_FAILED) and cause in causes:
        return say("failed: {cause}", cause=causes[cause])
    return why
