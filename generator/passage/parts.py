"""A score of several parts, of which one has to be chosen."""

from generator.errors import RequestError


class PartError(RequestError):
    """None of several parts is meant without doubt.

    Attributes:
        parts: their names in order, "" where a part has none.
    """

    def __init__(self, message: str, parts: tuple[str, ...]) -> None:
        super().__init__(message)
        self.parts = parts
