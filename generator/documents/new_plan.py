"""Writing a new plan: the head from a person's answers, the rows copied from the starter plan."""

import json
import re
from dataclasses import dataclass

from generator.phrase.ways import PHRASES

_MINUTES = re.compile(r"^minutes = [0-9]+$", re.MULTILINE)
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
#   theme          what runs through a sheet: "key of the day" (usual), "key of the week" or "scattered"
#   paper, print, show, syllables   as on the command line
#   minor          which minor a phrase means that says only that: harmonic (usual), natural or melodic
#   phrases        2: phrases are in today's words; without this line they are read as in plans of before
# Figures of your own stand below the head, each with its degrees; 7, is the seventh note below the first:
#   [figures]
#   cascade = "1 3 5 3 4 2 7, 1"
"""
_SECTION_HEAD = """\
# What a section keeps alive, in concert keys. Change anything; then: scalewright plan check --section FILE, and show.
#   minutes        of a rehearsal that go to this
#   share          share of the playing minutes for whatever has waited longest (usual: "1/2")
#   longest_wait   the longest wait you wish for, in rehearsals; the program says what it would take
#   together       true: the slowest key sets the tempo of all keys of its row
#   theme          what runs through a sheet: "key of the day" (usual), "key of the week" or "scattered"
#   paper, print   as on the command line
#   minor          which minor a phrase means that says only that: harmonic (usual), natural or melodic
#   phrases        2: phrases are in today's words; without this line they are read as in plans of before
"""
_ROWS = """\
# What is kept alive: one [[keep]] for each kind of exercise.
#   phrase          any request, like "all keys, major in thirds" or "whole-tone on C and D-flat, two octaves"
#   every           the gap you want, in practice days; left out = it follows from how each exercise goes
#   start, goal     beats per minute: where the row of tempi begins, and where it leads
#   climb           true: the row of tempi goes two up and one down
#   articulations   worn in turn, the next each time an exercise returns: names, or the name of a set
#   rhythms         the same
#   minutes         time for each exercise; left out = six careful plays at the start tempo, and half a minute to look
#   heavy           true: high or loud, so that two never stand side by side
#   stage           2, 3 ...: the row joins when all rows of earlier stages have gone round (rounds = so many times)
#   only            names of instruments or families it is for, like ["saxophones"]; left out = all
# [[dress]] says which articulations rows wear that name none. A required list with its date is kept so (see:
# scalewright list lists):
#   [[list]]
#   name = "florida-middle-school"
#   called = "audition"
#   date = 2027-02-06
# [[aim]] says what is to be ready by a day; sheets lean towards it, and what is not reached is carried over by itself:
#   [[aim]]
#   phrase = "E-flat major in thirds"
#   tempo = 96
#   by = 2027-02-12
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
        starter: what follows: the rows of a built-in plan for the instrument.
    """
    said = [
        f"{field} = {_quoted(value) if isinstance(value, str) else value}"
        for field in Answers.__dataclass_fields__
        if (value := getattr(answers, field)) != ""
    ]
    return "\n".join([_HEAD, *said, f"phrases = {PHRASES}", "", _ROWS, starter])


def section_plan_text(starter: str, minutes: int | None) -> str:
    """The text of a new plan of a section.

    Args:
        starter: the built-in plan it begins with.
        minutes: of a rehearsal, in place of those of the built-in plan.
    """
    if minutes:
        starter = _MINUTES.sub(f"minutes = {minutes}", starter, count=1)
    notes, _, rows = starter.partition("\n\n")
    head, _, rows = rows.partition("\n\n")
    return "\n".join([_SECTION_HEAD, head, f"phrases = {PHRASES}", "", notes, "", rows])


def _quoted(text: str) -> str:
    """A TOML basic string; JSON escapes mean the same there, except that TOML wants DEL escaped as well."""
    return json.dumps(" ".join(text.split()), ensure_ascii=False).replace("\x7f", "\\u007f")
