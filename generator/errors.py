"""Every error this program raises on purpose. This module imports nothing.

GeneratorError
├── RequestError            exit 2: what was asked for cannot be done
│   ├── UnknownNameError    a word that is no name here, with its place and the nearest names
│   ├── PhraseError         a phrase that cannot be carried out as it stands, with the place, and phrases that work
│   │   └── UnknownWordError    the same for a word that means nothing there; also an UnknownNameError
│   ├── DoesNotFitError     the request is clear but the instrument, level or form cannot carry it
│   └── BadFileError        a file the person wrote (plan, section, list, data row) has mistakes
└── MachineError            exit 3: something on this machine is missing or failed
    ├── LilyPondMissingError
    ├── EngravingError      LilyPond ran and did not deliver a sound page
    └── OutputError         a file could not be read or written
"""


class GeneratorError(Exception):
    """Root of all deliberate errors; the message is one line meant for the person."""

    exit_code = 1


class RequestError(GeneratorError):
    """What was asked for cannot be done."""

    exit_code = 2


class UnknownNameError(RequestError):
    """A word that names nothing here.

    Args:
        message: the whole line for the person.
        position: 1-based character position of the word in the text it came from, if known.
        nearest: the nearest valid names, best first.
    """

    def __init__(self, message: str, *, position: int | None = None, nearest: tuple[str, ...] = ()) -> None:
        super().__init__(message)
        self.position = position
        self.nearest = nearest


class PhraseError(RequestError):
    """A phrase that cannot be carried out as it stands.

    Args:
        message: the whole line for the person.
        text: the phrase.
        span: 1-based places of the first and the last character of what is wrong in it.
        expected: kinds of words that could stand there.
        suggestions: whole phrases that work, best first, at most three.
        nearest: the names in them, best first.
    """

    def __init__(
        self,
        message: str,
        *,
        text: str = "",
        span: tuple[int, int] = (1, 1),
        expected: tuple[str, ...] = (),
        suggestions: tuple[str, ...] = (),
        nearest: tuple[str, ...] = (),
    ) -> None:
        super().__init__(message)
        self.text = text
        self.span = span
        self.expected = expected
        self.suggestions = suggestions
        self.nearest = nearest
        self.position: int | None = span[0]


class UnknownWordError(PhraseError, UnknownNameError):
    """A word of a phrase that means nothing where it stands."""


class DoesNotFitError(RequestError):
    """The request is understood, but this instrument, level, form or rhythm cannot carry it."""


class BadFileError(RequestError):
    """A file a person wrote has mistakes; the message lists them, one a line."""


class MachineError(GeneratorError):
    """Something on this machine is missing or failed."""

    exit_code = 3


class LilyPondMissingError(MachineError):
    """No usable LilyPond was found."""


class EngravingError(MachineError):
    """LilyPond ran and did not deliver a sound page."""


class OutputError(MachineError):
    """A file could not be read or written."""


_LONGEST_NUMBER = 10**30


def shown(value: object, most: int = 60) -> str:
    r"""Something a person wrote, as a message quotes it: printable, on one line, and cut where it is long.

    Args:
        value: a text, which gets quotes, or any value of a file.
        most: characters kept, at least 10; what cannot be printed counts as its code.

    >>> shown("minor\nmajor")
    "'minor\\nmajor'"
    >>> shown(16 ** 5000)
    'a number of more than 30 digits'
    """
    if isinstance(value, str):
        text = repr(value[:most])
        whole = len(value) <= most and len(text) <= most + 20
        return text if whole else f"{text[:-1][: most + 1]}\u2026{text[-1]}"
    if isinstance(value, int) and abs(value) >= _LONGEST_NUMBER:
        # Python itself refuses to write out a number of thousands of digits.
        return "a number of more than 30 digits"
    if isinstance(value, list | tuple | dict):
        return "a table" if isinstance(value, dict) else "a list"
    text = str(value)
    return text if len(text) <= most else text[:most] + "\u2026"


def clipped(text: str, most: int = 60) -> str:
    """The same for a text that gets no quotes.

    >>> clipped("2027-02-30")
    '2027-02-30'
    """
    plain = "".join(c if c.isprintable() else repr(c)[1:-1] for c in text[:most])
    return plain if len(text) <= most and len(plain) <= most + 20 else plain[:most] + "\u2026"
