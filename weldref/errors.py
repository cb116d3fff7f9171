"""Define the errors that weldref raises on purpose."""


class WeldrefError(Exception):
    """A problem that the user can correct; its text is one clear sentence (or a list of them)."""


LONGEST = 1000
"""Characters of a message: untrusted input may have a million, and is then cut in the middle."""


class InputError(WeldrefError, ValueError):
    r"""A value, a unit or a term that weldref does not accept; its text is one line.

    >>> str(InputError("current: '1\n2' is not a number"))
    "current: '1 2' is not a number"
    """

    def __init__(self, message: str) -> None:
        if len(message) > LONGEST:
            message = f"{message[: LONGEST // 2]} ... {message[-LONGEST // 4 :]}"
        super().__init__("".join(c if c.isprintable() else " " for c in message))


class DataError(WeldrefError):
    """A table that does not follow its schema, or a store that cannot be built."""
