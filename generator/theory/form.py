"""Forms: kinds of scales and chords laid out as lines, and the ladder of pitches a form makes on a tonic.

A form is a row of data: the intervals of its notes above its root within one octave (the octave itself is
left out), rising, and falling where that differs (melodic minor). Degrees count the notes of the form from 0 at the
root, so a six-note scale has its octave at degree 6 and a four-note chord at degree 4.
"""

from dataclasses import dataclass
from functools import lru_cache
from typing import Literal

from generator.errors import DoesNotFitError
from generator.theory.interval import UNISON, Interval
from generator.theory.key import readable, signature_of
from generator.theory.pitch import NoteName, Pitch, respelled

Way = Literal["up", "down"]
Spelling = Literal["strict", "single", "plain", "chromatic", "rows"]
_BLACK_SHARP = {1: 0, 3: 1, 6: 3, 8: 4, 10: 5}
_WHITE = {0: 0, 2: 1, 4: 2, 5: 3, 7: 4, 9: 5, 11: 6}


@dataclass(frozen=True, slots=True)
class Form:
    """A kind of scale or chord.

    Attributes:
        name: the trade's name, lower case.
        up: intervals of the notes above the root within the octave, rising.
        down: the same for the falling line.
        signature: fifths between its key signature and that of the major key on its tonic; None prints
            no signature and writes accidentals.
        spelling: ``strict`` one letter per interval, double accidentals where the form needs them;
            ``single`` the same but a double accidental is respelt; ``plain`` also respells E-sharp,
            B-sharp, F-flat and C-flat; ``chromatic`` sharps rising, flats falling; ``rows`` takes the one of ``rows``
            that begins on the tonic, else the first that holds it.
        rows: printed spellings of the symmetric collections, each a whole octave.
        chord: whether it is a chord laid out as a line.
        root: interval from the tonic to the first note (a dominant seventh starts on the fifth).
        reads: for a form without a signature, fifths as in ``signature``; where they pass seven the root takes its
            other name.
        resolves: interval from the root to the note on which the line comes to rest, if not the root.
        distinct: how many different collections the form has (whole-tone 2), 12 if it repeats only at the octave.
        heading: how a heading names it on a key, with ``{key}`` in its place, ``{root}`` for its first note and
            ``{home}`` for the key it leads to.
        home: interval from the root to that key.
        said: how a phrase names it on ``{keys}``, where it does so in words of its own.
        symbols: what stands for it in a chord symbol, after the name of its root.
        catalogue: its number, by which the rotation breaks ties; never reused or changed.
        listed: under which heading it stands in a list.
    """

    name: str
    up: tuple[Interval, ...]
    down: tuple[Interval, ...]
    signature: int | None
    spelling: Spelling = "strict"
    rows: tuple[tuple[NoteName, ...], ...] = ()
    chord: bool = False
    root: Interval = UNISON
    resolves: Interval = UNISON
    reads: int | None = None
    distinct: int = 12
    heading: str = "{key} {form}"
    home: Interval = UNISON
    said: str = ""
    aliases: tuple[str, ...] = ()
    symbols: tuple[str, ...] = ()
    catalogue: int = 0
    listed: str = ""

    def __hash__(self) -> int:
        # Rows are keys of caches, and a row is known by its name.
        return hash(self.name)

    @property
    def size(self) -> int:
        """Notes in one octave; also the degree number of the octave."""
        return len(self.up)

    @property
    def differs(self) -> frozenset[int]:
        """Degrees that sound otherwise rising than falling: the sixth and seventh of melodic minor.

        >>> from generator.catalogue.tables import shared_catalogue
        >>> forms = shared_catalogue().forms
        >>> sorted(forms.find("melodic minor").differs), sorted(forms.find("chromatic").differs)
        ([5, 6], [])
        """
        return _differing(self.up, self.down)

    def degree_at(self, steps: int, semitones: int) -> int | None:
        """The degree that lies a named interval above the root, in whatever size the form has it.

        "A fifth" is C-G in a major scale, C-G-sharp in an augmented triad, C-G-flat in a diminished
        seventh; a minor pentatonic scale has no sixth.

        Args:
            steps: letters (a fifth is 4, a twelfth 11).
            semitones: its perfect or major size, which wins where the form has two.

        >>> from generator.catalogue.tables import shared_catalogue
        >>> forms = shared_catalogue().forms
        >>> forms.find("major").degree_at(4, 7), forms.find("major").degree_at(11, 19)  # a fifth, a twelfth
        (4, 11)
        >>> forms.find("major pentatonic").degree_at(3, 5) is None  # C D E G A has no fourth
        True
        """
        octaves, letters = divmod(steps, 7)
        room = semitones - 12 * octaves
        found = [(abs(i.semitones - room), d) for d, i in enumerate(self.up) if i.steps == letters]
        return octaves * self.size + min(found)[1] if found else None

    def readable_tonic(self, tonic: NoteName) -> NoteName:
        """The tonic, respelt when the key would need more than seven signs.

        >>> from generator.catalogue.tables import shared_catalogue
        >>> shared_catalogue().forms.find("major").readable_tonic(NoteName.parse("D#")).words
        'E-flat'
        """
        tonic = readable(tonic, self.signature)
        return tonic if self.reads is None else readable(tonic, self.reads)

    def heading_on(self, tonic: NoteName) -> str:
        """How a page names the form on a tonic.

        >>> from generator.catalogue.tables import shared_catalogue
        >>> forms = shared_catalogue().forms
        >>> for name in ("dominant seventh", "dominant seventh from the root"):
        ...     print(forms.find(name).heading_on(NoteName.parse("G")))
        Dominant seventh of G (on D)
        Dominant seventh on G (in C)
        """
        root = self.root.above_name(tonic)
        home = readable(self.home.above_name(root), 0)
        return self.heading.format(key=tonic.words, form=self.name, root=root.words, home=home.words)

    def signature_on(self, tonic: NoteName) -> int:
        """Signature in fifths on a tonic; 0 for forms without one.

        >>> from generator.catalogue.tables import shared_catalogue
        >>> forms = shared_catalogue().forms
        >>> [forms.find(name).signature_on(NoteName.parse("C")) for name in ("major", "natural minor", "lydian")]
        [0, -3, 1]
        """
        return 0 if self.signature is None else signature_of(tonic, self.signature)


@lru_cache(maxsize=256)
def _differing(up: tuple[Interval, ...], down: tuple[Interval, ...]) -> frozenset[int]:
    pairs = enumerate(zip(up, down, strict=True))
    return frozenset(d for d, (rising, falling) in pairs if rising.semitones != falling.semitones)


class Ladder:
    """The endless row of pitches a form makes on a tonic, up and down.

    Degree 0 is the root in octave 0; every ``form.size`` degrees lie an octave apart. Pitches have no
    frame of their own: they are written or sounding as the tonic was.
    """

    __slots__ = ("_base", "_heights", "_known", "form", "size", "tonic")

    def __init__(self, form: Form, tonic: NoteName) -> None:
        self.form = form
        self.tonic = tonic
        self.size = form.size
        self._base, self._heights, self._known = _octave(form, tonic)

    def pitch(self, degree: int, way: Way = "up") -> Pitch:
        """The pitch on a degree, as the rising or the falling form spells it.

        >>> ladder = Ladder(Form("major", *([tuple(map(Interval.parse, "P1 M2 M3 P4 P5 M6 M7".split()))] * 2), 0),
        ...                 NoteName.parse("Ab"))
        >>> [ladder.pitch(d).name for d in range(28, 31)]
        ['Ab4', 'Bb4', 'C5']
        """
        known = self._known[way]
        pitch = known.get(degree)
        if pitch is None:
            octave, index = divmod(degree, self.size)
            pitch = known[degree] = self._base[way][index].octaves_up(octave)
        return pitch

    def degrees_between(self, low: int, high: int, way: Way = "up") -> range:
        """Degrees whose pitch lies in a range of heights, both ends included.

        >>> from generator.catalogue.tables import shared_catalogue
        >>> ladder = Ladder(shared_catalogue().forms.find("major"), NoteName.parse("Bb"))
        >>> inside = ladder.degrees_between(Pitch.parse("B3").height, Pitch.parse("F4").height)
        >>> print(*[ladder.pitch(degree) for degree in inside])
        C4 D4 Eb4 F4
        """
        # One octave of heights answers for all.
        heights = self._heights[way]
        octaves, rest = divmod(low - heights[0], 12)
        first = octaves * self.size + sum(h - heights[0] < rest for h in heights)
        octaves, rest = divmod(high - heights[0], 12)
        return range(first, max(first, octaves * self.size + sum(h - heights[0] <= rest for h in heights)))


@lru_cache(maxsize=4096)
def _octave(
    form: Form, tonic: NoteName
) -> tuple[dict[Way, tuple[Pitch, ...]], dict[Way, tuple[int, ...]], dict[Way, dict[int, Pitch]]]:
    """One octave of pitches each way, their heights, and the pitches of other degrees as they are asked for."""
    root = form.root.above(Pitch(tonic.step, tonic.alter, 0))
    root = Pitch(root.step, root.alter, 0)
    up, down = _spell(form, root, "up"), _spell(form, root, "down")
    heights: dict[Way, tuple[int, ...]] = {
        "up": tuple(p.height for p in up),
        "down": tuple(p.height for p in down),
    }
    return {"up": up, "down": down}, heights, {"up": {}, "down": {}}


def _spell(form: Form, root: Pitch, way: Way) -> tuple[Pitch, ...]:
    intervals = form.up if way == "up" else form.down
    exact = [interval.above(root) for interval in intervals]
    if form.spelling == "strict":
        return tuple(exact)
    if form.spelling == "rows":
        return _from_rows(form, root, exact)
    if form.spelling == "chromatic":
        return (root, *(_chromatic(p.height, way) for p in exact[1:]))
    if form.spelling == "single":
        return tuple(respelled(p) for p in exact)
    return (root, *(_plain(p) for p in exact[1:]))


def _from_rows(form: Form, root: Pitch, exact: list[Pitch]) -> tuple[Pitch, ...]:
    needed = {p.height % 12 for p in exact}
    rows = [r for r in form.rows if root.note in r and {n.pitch_class for n in r} == needed]
    row = next((r for r in rows if r[0] == root.note), rows[0] if rows else None)
    if row is None:
        raise DoesNotFitError(f"{form.name} has no readable spelling on {root.note.words}")
    by_class = {note.pitch_class: note for note in row}
    return tuple(_named(by_class[p.height % 12], p.height) for p in exact)


def _named(note: NoteName, height: int) -> Pitch:
    octave = (height - NoteName(note.step).pitch_class - note.alter) // 12 - 1
    return Pitch(note.step, note.alter, octave)


def _plain(pitch: Pitch) -> Pitch:
    if abs(pitch.alter) <= 1 and pitch.height % 12 not in _WHITE:
        return pitch
    if pitch.height % 12 in _WHITE:
        return _named(NoteName(_WHITE[pitch.height % 12]), pitch.height)
    return respelled(pitch)


def _chromatic(height: int, way: Way) -> Pitch:
    pitch_class = height % 12
    if pitch_class in _WHITE:
        return _named(NoteName(_WHITE[pitch_class]), height)
    sharp = _BLACK_SHARP[pitch_class]
    note = NoteName(sharp, 1) if way == "up" else NoteName(sharp + 1, -1)
    return _named(note, height)
