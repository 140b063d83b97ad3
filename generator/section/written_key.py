"""Which key a chair reads for a concert key."""

from typing import Literal

from generator.errors import DoesNotFitError
from generator.theory.form import Form, Ladder
from generator.theory.interval import Interval
from generator.theory.key import both_names
from generator.theory.pitch import NoteName

Keys = Literal["fewest", "sharps", "flats"]
KEYS: tuple[Keys, ...] = ("fewest", "sharps", "flats")


def written_key(asked: NoteName, form: Form, sounds: Interval, keys: Keys = "fewest") -> NoteName:
    """The tonic a chair reads for a concert key: readable, at most seven signs, by default the fewest.

    Between equals the name wins that is spelled like the concert key.

    Args:
        asked: concert tonic.
        form: its form.
        sounds: interval from written to sounding pitch of who reads it; a unison for the concert key itself.
        keys: ``fewest`` signs, or the sharp or flat name wherever there is one.
    """
    exact = (-sounds).above_name(asked)
    names = [n for n in both_names(exact.pitch_class, form.signature) if _spells(form, n)]
    if not names:
        return form.readable_tonic(exact)
    if keys == "sharps":
        return max(names, key=lambda n: n.fifths)
    if keys == "flats":
        return min(names, key=lambda n: n.fifths)
    return min(names, key=lambda n: (_signs(form, n), abs(n.fifths - exact.fifths)))


def _spells(form: Form, tonic: NoteName) -> bool:
    try:
        Ladder(form, tonic)
    except DoesNotFitError:
        return False
    return True


def _signs(form: Form, tonic: NoteName) -> int:
    """Signs to read: the signature's, or the accidentals of one octave where there is none."""
    if form.signature is not None:
        return abs(form.signature_on(tonic))
    ladder = Ladder(form, tonic)
    return sum(abs(ladder.pitch(d, way).alter) for d in range(form.size) for way in ("up", "down"))
