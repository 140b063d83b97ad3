"""Writing a new plan: the head from a person's answers, the rows copied from the starter plan."""

import json
from dataclasses import dataclass

_HEAD = """\
# What you want to keep alive. Change anything; then: scalewright plan check, scalewright plan show.
#   player         printed on each sheet
#   instrument     see: scalewright list instruments
#   level          first notes, standard or extended; or your own lowest and highest written note: low, high
#   minutes        a day, rest included
#   share          share of the playing minutes for whatever has waited longest (usual: "1/2")
#   longest_wait   the longest wait you wish for, in practice days; the program says what it would take
#   names          keys with two names: usual, sharps, flats or alternate
#   together       true: the slowest key sets the tempo of all keys of its row
#   paper, print, show, syllables   as on the command line
"""


@dataclass(frozen=True, slots=True)
class Answers:
    """What a new plan begins with; "" leaves a field out."""

    player: str = ""
    instrument: str = ""
    level: str = ""
    low: str = ""
    high: str = ""
    minutes: int = 20
    paper: str = ""
    print: str = ""


def plan_text(answers: Answers, starter: str) -> str:
    """The text of a new plan.

    Args:
        answers: the head.
        starter: text of the starter plan, whose explanations and rows follow.
    """
    said = [
        f"{field} = {_quoted(value) if isinstance(value, str) else value}"
        for field in Answers.__dataclass_fields__
        if (value := getattr(answers, field)) != ""
    ]
    return "\n".join([_HEAD, *said, "", starter])


def _quoted(text: str) -> str:
    """A TOML basic string; JSON escapes mean the same there, except that TOML wants DEL escaped as well."""
    return json.dumps(" ".join(text.split()), ensure_ascii=False).replace("\x7f", "\\u007f")
