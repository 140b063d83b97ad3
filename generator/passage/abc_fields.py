"""Keys, metres and units of ABC 2.1, as its fields K, M and L say them."""

import re
from dataclasses import dataclass
from fractions import Fraction

from generator.errors import RequestError, shown
from generator.theory.duration import Metre
from generator.theory.key import MOST_SIGNS, signature_alter
from generator.theory.pitch import LETTERS, NoteName

# How far the signature of a mode lies from that of the major key on its tonic; names count by three letters.
_MODES = {
    "": 0, "maj": 0, "ion": 0, "m": -3, "min": -3, "aeo": -3, "mix": -1, "dor": -2, "phr": -4, "lyd": 1, "loc": -5,
}  # fmt: skip
_KEY = re.compile(r"([A-G])([#b]?)\s*([A-Za-z]*)(.*)", re.DOTALL)
_SIGN = re.compile(r"(?<!\S)(\^\^|\^|__|_|=)([A-Ga-g])(?!\S)")
_OCTAVE = re.compile(r"octave\s*=\s*([+-]?\d)\b")


@dataclass(frozen=True, slots=True)
class AbcKey:
    """A key of ABC.

    Attributes:
        signature: in fifths.
        own: letters, 0 = C, with a sign of their own beside the signature.
        octave: octaves by which the notes are read higher.
    """

    signature: int
    own: tuple[tuple[int, int], ...]
    octave: int

    def alter(self, step: int) -> int:
        """What it does to a letter.

        >>> AbcKey(-1, ((5, 1),), 0).alter(6), AbcKey(-1, ((5, 1),), 0).alter(5)
        (-1, 1)
        """
        return dict(self.own).get(step, signature_alter(self.signature, step))


def key_of(text: str, before: AbcKey, where: str) -> AbcKey:
    """The key that a field K names.

    Args:
        text: after ``K:``.
        before: the key so far, which a field with nothing but a clef leaves as it is.
        where: bar, for the message.

    Raises:
        RequestError: no such key.

    >>> key_of("D dor", AbcKey(0, (), 0), "bar 1").signature
    0
    >>> key_of("G bass octave=-2", AbcKey(0, (), 0), "bar 1")
    AbcKey(signature=1, own=(), octave=-2)
    """
    said = text.strip()
    octave = _OCTAVE.search(said)
    shift = int(octave[1]) if octave else before.octave if not _KEY.match(said) else 0
    own = tuple(
        (LETTERS.index(letter.upper()), {"^": 1, "^^": 2, "_": -1, "__": -2, "=": 0}[sign])
        for sign, letter in _SIGN.findall(said)
    )
    if said.casefold().startswith(("none", "hp")) or not said:
        pipes = said == "HP"
        return AbcKey(2 if said == "Hp" else 0, own if not pipes else (), shift)
    match = _KEY.match(said)
    if match is None or match[3].casefold()[:3] in ("ass", "lef"):
        if match is None and not re.match(
            r"(clef|treble|bass|alto|tenor|octave|perc|middle|stafflines|[\^_=])", said
        ):
            raise RequestError(f"{where} has the key {shown(text)}; write one like K:F, K:Bb or K:F#m")
        return AbcKey(before.signature, own or before.own, shift)
    letter, sign, mode = match[1], match[2], match[3].casefold()
    if mode in ("treble", "bass", "alto", "tenor", "clef", "octave", "exp", "perc", "none", "middle"):
        mode, explicit = "", mode == "exp"
    else:
        explicit = "exp" in said.split()
    short = mode if mode in ("", "m") else mode[:3]
    if short not in _MODES:
        raise RequestError(f"{where} has the key {shown(text)}; modes are maj, m, dor, phr, lyd, mix, loc")
    signature = NoteName.parse(letter + sign).fifths + _MODES[short]
    if explicit:
        return AbcKey(0, own, shift)
    if abs(signature) > MOST_SIGNS:
        raise RequestError(f"{where} has the key {shown(text)} of {abs(signature)} signs; at most 7 are read")
    return AbcKey(signature, own, shift)


def metre_of(text: str, where: str) -> Metre | None:
    """The metre that a field M names; None for none.

    Raises:
        RequestError: no such metre.

    >>> metre_of("C|", "bar 1").name, metre_of("none", "bar 1")
    ('2/2', None)
    """
    said = text.strip().casefold()
    if said in ("none", ""):
        return None
    said = {"c": "4/4", "c|": "2/2"}.get(said, said)
    grouped = re.fullmatch(r"\(?((?:\d{1,2}\+)+\d{1,2})\)?/(\d{1,2})", said.replace(" ", ""))
    if grouped:
        count = sum(int(part) for part in grouped[1].split("+"))
        said = f"{count}/{grouped[2]} {grouped[1]}"
    try:
        return Metre.parse(said)
    except RequestError:
        raise RequestError(f"{where} has the metre {shown(text)}; write one like M:4/4 or M:6/8") from None


def unit_for(metre: Metre | None) -> Fraction:
    """The unit of length where no field L says it: a sixteenth under three quarters, else an eighth (section 3.1.7).

    >>> print(unit_for(Metre.parse("2/4")), unit_for(Metre.parse("6/8")))
    1/16 1/8
    """
    return Fraction(1, 16) if metre is not None and metre.length < Fraction(3, 4) else Fraction(1, 8)
