"""The signs of a line of ABC 2.1: notes, rests, lengths, bars, ties, slurs, tuplets, grace notes and decorations."""

import re
from collections.abc import Callable, Iterator

SIGNS = {"^": 1, "^^": 2, "_": -1, "__": -2, "=": 0}
DECORATIONS = {
    ".": "staccato", "~": "turn", "H": "fermata", "L": "accent", "M": "mordent", "P": "inverted mordent", "T": "trill",
}  # fmt: skip
USUAL_SYMBOLS = frozenset(".~HLMOPSTuv")  # section 4.14; others are defined by a field U
NAMED_DECORATIONS = {
    "staccato": "staccato", ".": "staccato", "tenuto": "tenuto", "accent": "accent", ">": "accent",
    "emphasis": "accent", "marcato": "marcato", "^": "marcato", "fermata": "fermata", "breath": "breath",
    "trill": "trill", "turn": "turn", "mordent": "mordent", "lowermordent": "mordent",
    "uppermordent": "inverted mordent", "pralltriller": "inverted mordent",
}  # fmt: skip
_TOKEN = re.compile(
    r"""
      (?P<field>   \[ [A-Za-z] : [^\]]* \] )
    | (?P<ending>  [|:]* [|\]] :* \s* \[? [1-9] (?:[,-][1-9])* (?![\d/]) | \[ [1-9] | \[" )
    | (?P<bar>     :* \|\] | :* \[?\|+ \]? :* | :: )
    | (?P<tuplet>  \( [1-9]\d{0,2} (?: : \d{0,3} (?: : \d{0,3} )? )? )
    | (?P<grace>   \{ [^}]* \} )
    | (?P<named>   ! [^!\n|]* ! | \+ [a-z0-9.^>]+ \+ )
    | (?P<quoted>  " [^"]* " )
    | (?P<note>    (?P<sign> \^\^ | \^ | __ | _ | = )? (?P<letter> [A-Ga-g] ) (?P<marks> [,']* )
                   (?P<length> \d* /* \d* ) )
    | (?P<rest>    [zx] (?P<rlength> \d* /* \d* ) )
    | (?P<bars>    [ZX] (?P<count> \d* ) )
    | (?P<broken>  <+ | >+ )
    | (?P<tie>     - )
    | (?P<open>    \( )
    | (?P<close>   \) )
    | (?P<chord>   \[ )
    | (?P<mark>    [.~H-Wh-w] )
    | (?P<space>   [\s`y\\*$]+ )
    """,
    re.VERBOSE,
)
_KINDS = (
    "field", "ending", "bar", "tuplet", "grace", "named", "quoted", "note", "rest", "bars", "broken", "tie", "open",
    "close", "chord", "mark", "space",
)  # fmt: skip


_FIELD = re.compile(r"\[[A-Za-z]:[^\[\]]{0,200}\]")


def tokens(line: str, odd: Callable[[str], None], start: int = 0) -> Iterator[tuple[str, re.Match[str]]]:
    """The signs of a line, each with its kind.

    Args:
        line: music.
        odd: told of what is no sign; unless it raises, that is passed over.
        start: where to begin.

    >>> [kind for kind, _ in tokens("(c2 z)|", print)]
    ['open', 'note', 'space', 'rest', 'close', 'bar']
    """
    at = start
    while at < len(line):
        match = _TOKEN.match(line, at)
        if match is None:
            odd(line[at : at + 12])
            at += 1
            continue
        at = match.end()
        # A note is made of smaller named parts; the first of the kinds is what it is.
        yield next(name for name in _KINDS if match[name] is not None), match


def next_field(line: str, start: int) -> re.Match[str] | None:
    """The next field in brackets, whatever stands before it."""
    return _FIELD.search(line, start)
