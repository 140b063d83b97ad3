"""Which key a player reads for a concert key, and what the concert key is called for a written one.

One rule for sheets, lists, plans and handouts.
"""

from typing import Literal

from generator.errors import DoesNotFitError
from generator.theory.form import Form, Ladder
from generator.theory.interval import UNISON, Interval
from generator.theory.key import both_names
from generator.theory.pitch import NoteName

Keys = Literal["fewest", "sharps", "flats"]
KEYS: tuple[Keys, ...] = ("fewest", "sharps", "flats")
_NAMED = range(-6, 7)  # G-flat to F-sharp on the line of fifths
_WRITTEN = range(-6, 9)  # G-flat to G-sharp


def written_key(asked: NoteName, form: Form, sounds: Interval, keys: Keys = "fewest") -> NoteName:
    """The tonic a chair reads for a concert key: readable, at most seven signs, by default the fewest.

    Between equals the name wins that is spelled like the concert key, and so where no signature is printed.

    Args:
        asked: concert tonic.
        form: its form.
        sounds: interval from written to sounding pitch of who reads it; a unison for the concert key itself.
        keys: ``fewest`` signs, or the sharp or flat name wherever there is one.

    >>> from generator.catalogue.tables import shared_catalogue
    >>> major, clarinet = shared_catalogue().forms.find("major"), Interval.parse("-M2")
    >>> [written_key(NoteName.parse("B"), major, clarinet, keys).words for keys in KEYS]
    ['D-flat', 'C-sharp', 'D-flat']
    """
    exact = (-sounds).above_name(asked)
    if form.signature is None and keys == "fewest" and exact.fifths in _WRITTEN and _spells(form, exact):
        # Without a signature to count, a player reads what stands the interval away.
        return form.readable_tonic(exact)
    names = [n for n in both_names(exact.pitch_class, form.signature) if _spells(form, n)]
    if not names:
        return form.readable_tonic(exact)
    if keys == "sharps":
        return max(names, key=lambda n: n.fifths)
    if keys == "flats":
        return min(names, key=lambda n: n.fifths)
    return min(names, key=lambda n: (_signs(form, n), abs(n.fifths - exact.fifths)))


def sounding_key(written: NoteName, form: Form, sounds: Interval) -> NoteName:
    """What a written key is called in concert: the name it has by the interval, or a more usual one.

    Major and minor keys take the fewest signs. Otherwise the note is named as players call it to one another: D-flat,
    E-flat, A-flat and B-flat, never C-sharp or C-flat, also for a blues (common practice, no source).

    Args:
        written: tonic on the page.
        form: its form.
        sounds: interval from written to sounding pitch.

    >>> from generator.catalogue.tables import shared_catalogue
    >>> forms, alto = shared_catalogue().forms, Interval.parse("-M6")
    >>> [sounding_key(NoteName.parse(key), forms.find("blues"), alto).words for key in ("Bb", "Db", "D#")]
    ['D-flat', 'E', 'F-sharp']
    >>> sounding_key(NoteName.parse("Ab"), forms.find("major"), alto).words
    'B'
    """
    exact = sounds.above_name(written)
    if exact == written:
        return written
    if not _counted(form):
        return exact if exact.fifths in _NAMED else _by_ear(exact.pitch_class)
    names = both_names(exact.pitch_class, form.signature)
    return min(names, key=lambda n: (_signs(form, n), abs(n.fifths - exact.fifths)))


def concert_name(asked: NoteName, form: Form, keys: Keys = "fewest") -> NoteName:
    """What a concert key that was asked for is called beside the written one.

    Args:
        asked: concert tonic.
        form: its form.
        keys: which names are read.

    >>> from generator.catalogue.tables import shared_catalogue
    >>> forms = shared_catalogue().forms
    >>> [concert_name(NoteName.parse("Db"), forms.find(form)).words for form in ("major", "harmonic minor", "dorian")]
    ['D-flat', 'C-sharp', 'D-flat']
    """
    if _counted(form):
        return written_key(asked, form, UNISON, keys)
    return asked if asked.fifths in _NAMED else _by_ear(asked.pitch_class)


def _counted(form: Form) -> bool:
    """Whether a key is named by its signs, as major and minor are; modes, blues and chords are named by ear."""
    return form.signature == 0 or "minor" in form.name


def _by_ear(pitch_class: int) -> NoteName:
    return next(n for n in map(NoteName.from_fifths, _NAMED) if n.pitch_class == pitch_class)


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
