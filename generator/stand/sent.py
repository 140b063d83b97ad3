"""What a page sends, looked at before it is used: each value is of its kind and in its bounds, or refused."""

import json
import re
from typing import Any, cast

from generator.errors import RequestError, shown
from generator.pages.screen import Screen

UID = re.compile(r"[A-Za-z0-9_-]{8,64}", re.ASCII)
_ENTRY = 120  # letters of an entry's own name


class Sent:
    """The fields of one request.

    Args:
        fields: by name.
    """

    def __init__(self, fields: dict[str, Any]) -> None:
        self._fields = fields

    @classmethod
    def of_body(cls, body: bytes) -> "Sent":
        """The fields of a JSON object.

        Raises:
            RequestError: it is none.
        """
        try:
            found = json.loads(body)
        except (ValueError, RecursionError):
            found = None
        if not isinstance(found, dict):
            raise RequestError("what was sent is no JSON object")
        return cls(found)

    def text(self, name: str, most: int = 2000) -> str:
        """A text that has to be there; errors as `text_or_none`."""
        found = self.text_or_none(name, most)
        if found is None:
            raise RequestError(f"{name} is missing")
        return found

    def text_or_none(self, name: str, most: int = 2000) -> str | None:
        """A text, or None.

        Raises:
            RequestError: it is something else, or too long.
        """
        found = self._fields.get(name)
        if found is None:
            return None
        if not isinstance(found, str):
            raise RequestError(f"{name} is a text, not {shown(found)}")
        if len(found) > most:
            raise RequestError(f"{name} has {len(found)} characters; at most {most} are read")
        return found.encode("utf-16-le", "surrogatepass").decode("utf-16-le", "replace")

    def whole(self, name: str, low: int, high: int, usual: int | None = None) -> int:
        """A whole number.

        Raises:
            RequestError: it is none, lies outside, or is missing and nothing is usual.
        """
        found = self._fields.get(name, usual)
        if isinstance(found, str) and re.fullmatch(r"\d{1,6}", found, re.ASCII):
            found = int(found)
        if isinstance(found, float) and found.is_integer():
            found = int(found)
        if not isinstance(found, int) or isinstance(found, bool) or not low <= found <= high:
            raise RequestError(f"{name} is a whole number from {low} to {high}, not {shown(found)}")
        return found

    def whole_or_none(self, name: str, low: int, high: int) -> int | None:
        """A whole number, or None; errors as `whole`."""
        return None if self._fields.get(name) is None else self.whole(name, low, high)

    def flag(self, name: str, *, usual: bool = False) -> bool:
        """True or false.

        Raises:
            RequestError: it is neither.
        """
        found = self._fields.get(name, usual)
        if found in ("0", "1"):
            return bool(found == "1")
        if not isinstance(found, bool):
            raise RequestError(f"{name} is true or false, not {shown(found)}")
        return found

    def texts(self, name: str, most: int = 40, longest: int = 2000) -> tuple[str, ...]:
        """One text or more.

        Raises:
            RequestError: there is none, or too many, or something else among them.
        """
        found = self._fields.get(name)
        if not isinstance(found, list) or not 1 <= len(found) <= most:
            raise RequestError(f"{name} is a list of 1 to {most} texts")
        return tuple(Sent({name: one}).text(name, longest) for one in found)

    def rows(self, name: str, most: int = 100) -> list[dict[str, Any]]:
        """A list of objects, which may be missing.

        Raises:
            RequestError: it is something else.
        """
        found = self._fields.get(name, [])
        if (
            not isinstance(found, list)
            or len(found) > most
            or not all(isinstance(one, dict) for one in found)
        ):
            raise RequestError(f"{name} is a list of at most {most} objects")
        return cast("list[dict[str, Any]]", found)

    def uid(self) -> str:
        """The name of a note.

        Raises:
            RequestError: it is none.
        """
        found = self.text("uid", _ENTRY)
        if not (UID.fullmatch(found) or found.startswith("play ")):
            raise RequestError("uid is 8 to 64 of the letters A-Z, a-z, 0-9, - and _")
        return found

    def screen(self) -> Screen:
        """The room for music.

        Raises:
            RequestError: it is none.
        """
        return Screen(
            self.whole("w", 1, 100_000), self.whole("h", 1, 100_000), self.text_or_none("size", 20) or "fit"
        )

    def all(self) -> dict[str, Any]:
        """Every field."""
        return self._fields
