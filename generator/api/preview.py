"""A phrase as it is being typed: a picture of what it asks for, or what is wrong with it, as data."""

from typing import Any

from generator.api.desk import Desk
from generator.api.exercise_view import View, exercise_view
from generator.catalogue.players import player_named
from generator.errors import PhraseError, RequestError, UnknownNameError
from generator.exercise.build import Player
from generator.pages.screen import Screen
from generator.phrase import expand
from generator.practice.player_ways import player_ways

LONGEST = 2000
"""Characters a phrase may have."""
MOST = 240
"""Exercises that are counted; beyond them a phrase is for a book."""


def preview_view(
    desk: Desk, phrase: str, screen: Screen, *, instrument: str | None, level: str | None, at: int = 0
) -> View:
    """A picture of one exercise that a phrase asks for.

    Args:
        desk: the desk.
        phrase: as typed.
        screen: the room for music.
        instrument: whose; the player's own by default.
        level: which; the player's own by default.
        at: which of the exercises, from 0; the last where there are fewer.

    Raises:
        RequestError: the phrase cannot be read or nothing of it fits; see `error_view`.
        MachineError: LilyPond failed.
    """
    if len(phrase) > LONGEST:
        raise RequestError(f"a phrase has at most {LONGEST} characters, not {len(phrase)}")
    player = player_of(desk, instrument, level)
    built = expand.exercises(
        [phrase], player, most=MOST, instead="ask for fewer, or print them as a book",
        ways=player_ways(desk.folder, desk.here),
    )  # fmt: skip
    at = min(max(0, at), len(built.exercises) - 1)
    exercise = built.exercises[at]
    pages = desk.press.all_pictures(exercise, screen)
    return {
        "svg": pages[0][0],
        "count": len(built.exercises),
        "at": at,
        "headings": [one.heading for one in built.exercises],
        "left_out": [f"{one}: {reason}" for one, reason in built.refused],
        "instrument": player.instrument.name,
        "level": player.level,
        **exercise_view(exercise, player, desk.settings().a4, *pages),
    }


def player_of(desk: Desk, instrument: str | None, level: str | None) -> Player:
    """The player of the plan, or one who plays something else.

    Raises:
        RequestError: there is no such instrument or level.
    """
    if instrument is None and level is None:
        return desk.session().player
    own = None if instrument and level else desk.session().player
    usual = own.level if own and own.level in ("first notes", "standard", "extended") else "standard"
    return player_named(instrument or (own.instrument.name if own else ""), level or usual)


def error_view(error: RequestError, phrase: str) -> dict[str, Any]:
    """What is wrong with a phrase, as data: the page says it in its own words.

    Places count as JavaScript counts characters, from 0, the end exclusive.
    """
    span, expected, suggestions = (0, len(phrase)), (), ()  # type: tuple[int, int], tuple[str, ...], tuple[str, ...]
    replacements: list[dict[str, Any]] = []
    if isinstance(error, PhraseError):
        first, last = error.span
        span = (max(0, first - 1), min(len(phrase), last))
        expected, suggestions = error.expected, error.suggestions
        replacements = [_changed(phrase, one) for one in suggestions if one != phrase]
    elif isinstance(error, UnknownNameError) and error.position is not None:
        span = (max(0, error.position - 1), len(phrase))
    return {
        "message": str(error).splitlines()[0],
        "span": [_units(phrase, place) for place in span],
        "expected": list(expected),
        "suggestions": list(suggestions),
        "replacements": replacements,
    }


def _changed(phrase: str, better: str) -> dict[str, Any]:
    """What a suggestion puts in place of what: whole words only, so that the person sees a word change."""
    before, after = phrase.split(" "), better.split(" ")
    same = 0
    while same < min(len(before), len(after)) and before[same] == after[same]:
        same += 1
    tail = 0
    while tail < min(len(before), len(after)) - same and before[-1 - tail] == after[-1 - tail]:
        tail += 1
    start = len(" ".join(before[:same])) + (1 if same and same < len(before) else 0)
    text = " ".join(after[same : len(after) - tail])
    end = start + len(" ".join(before[same : len(before) - tail]))
    return {"span": [_units(phrase, start), _units(phrase, end)], "text": text, "phrase": better}


def _units(phrase: str, place: int) -> int:
    return len(phrase[:place].encode("utf-16-le", "surrogatepass")) // 2
