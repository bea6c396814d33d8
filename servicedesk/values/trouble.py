"""Trouble of the world that a person can act on."""


class Trouble(Exception):
    """What happened, what it means, what to do now: three short sentences already in words.

    Raised at the rim, where the cause is known. Every other exception is a mistake of ours.
    `exit_code` is what the command line ends with: 2 wrong use or input, 3 store trouble.
    """

    def __init__(self, what: str, *, means: str = "", do: str = "", exit_code: int = 2) -> None:
        super().__init__(" ".join(part for part in (what, means, do) if part))
        self.what = what
        self.means = means
        self.do = do
        self.exit_code = exit_code


class Stopped(Exception):
    """The person asked to stop. Nothing was changed."""
