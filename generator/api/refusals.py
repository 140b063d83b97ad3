"""Why a page is refused, where it should do something about it."""

from generator.errors import RequestError


class MovedError(RequestError):
    """What the page means is another by now: it should look again."""


class NotThereError(RequestError):
    """There is no such thing, or none any more."""
