"""The one family of errors that weldref raises on purpose."""


class WeldrefError(Exception):
    """A problem that the user can mend; its text is one clear sentence (or a list of them)."""


class InputError(WeldrefError, ValueError):
    """A value, a unit or a term that weldref does not accept."""


class DataError(WeldrefError):
    """A table that does not follow its schema, or a store that cannot be built."""
