"""Where the files that travel with the program lie: icons, fonts, tokens, trade knowledge."""

from functools import cache
from importlib.resources import files
from importlib.resources.abc import Traversable


@cache
def resource(*parts: str) -> Traversable:
    """The bundled file or folder ``resources/part/part/...``.

    In an installed wheel the folder lies inside the package; in a source tree it lies beside it.
    Raises FileNotFoundError, naming the file, if it is in neither place.
    """
    inside = files("servicedesk").joinpath("resources")
    root = inside if inside.is_dir() else files("servicedesk").joinpath("..", "resources")
    found = root.joinpath(*parts)
    if not (found.is_file() or found.is_dir()):
        raise FileNotFoundError("resources/" + "/".join(parts))
    return found
