"""What most tests of exercises need: the names, a way to build one, and the notes as they are heard."""

from collections.abc import Callable
from typing import Any

import pytest

from generator.catalogue.players import player_named
from generator.catalogue.tables import Catalogue, shared_catalogue
from generator.exercise.records import Exercise, Note
from generator.phrase import expand

MakeOne = Callable[..., Exercise]


@pytest.fixture(scope="session")
def names() -> Catalogue:
    return shared_catalogue()


@pytest.fixture(scope="session")
def make() -> MakeOne:
    """One exercise from a phrase; flute unless told otherwise, so that written and sounding notes agree."""

    def make_one(
        phrase: str,
        low: str | None = None,
        high: str | None = None,
        instrument: str = "flute",
        level: str = "standard",
        **options: Any,
    ) -> Exercise:
        who = player_named(instrument, level, low, high)
        made = expand.exercises([phrase], who, **options).exercises
        assert len(made) == 1
        return made[0]

    return make_one


@pytest.fixture(scope="session")
def attacks() -> Callable[[Exercise], list[Note]]:
    """The notes that are begun: rests and tied continuations left out."""

    def begun(exercise: Exercise) -> list[Note]:
        found: list[Note] = []
        held = False
        for bar in exercise.bars:
            for note in bar.notes:
                if note.pitch is not None and not held:
                    found.append(note)
                held = note.tie
        return found

    return begun


@pytest.fixture(scope="session")
def heard(attacks: Callable[[Exercise], list[Note]]) -> Callable[[Exercise], list[str]]:
    """Names of the notes that are begun."""
    return lambda exercise: [n.pitch.name for n in attacks(exercise) if n.pitch is not None]
