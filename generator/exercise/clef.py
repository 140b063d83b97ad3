"""Which clef a line is printed in: the usual one unless another spares most of the ledger lines."""

from collections.abc import Sequence

from generator.theory.pitch import Pitch

# Staff place (letters from C0) of the middle line; percussion stands on one line of its own.
MIDDLE = {"treble": 34, "alto": 28, "tenor": 26, "bass": 22, "percussion": 28}


def ledger_lines(pitch: Pitch, clef: str) -> int:
    """Ledger lines a pitch needs in a clef.

    >>> ledger_lines(Pitch.parse("C4"), "treble"), ledger_lines(Pitch.parse("E3"), "treble")
    (1, 3)
    """
    return max(0, (abs(pitch.place - MIDDLE[clef]) - 4) // 2)


def clefs_by_bar(bars: Sequence[Sequence[Pitch]], clefs: Sequence[str]) -> tuple[str, ...]:
    """The clef of each bar: the usual one unless another spares a player most of the ledger lines.

    A change costs reading too, so a passage must gain clearly by it: two lines are free, each one above that
    costs one for each note, another clef than the usual costs a third of a line for each note, a change
    costs five (common practice in kind, the figures are ours).

    Args:
        bars: written pitches by bar.
        clefs: the usual clef first.

    >>> low, high = [Pitch.parse("E2")] * 8, [Pitch.parse("B4")] * 8
    >>> print(*clefs_by_bar([low, high, high, low], ("bass", "tenor")))
    bass tenor tenor bass
    """
    if len(clefs) == 1 or not bars:
        return (clefs[0],) * len(bars)
    best: dict[str, tuple[float, tuple[str, ...]]] = {c: (0.0 if c == clefs[0] else 5.0, ()) for c in clefs}
    for pitches in bars:
        row: dict[str, tuple[float, tuple[str, ...]]] = {}
        for clef in clefs:
            own = sum(max(0, ledger_lines(p, clef) - 2) for p in pitches)
            own_cost = own + (0.34 * len(pitches) if clef != clefs[0] else 0.0)
            # The clef of the first bar is chosen freely; only later ones are changes.
            offers = [
                (cost + (5.0 if path and path[-1] != clef else 0.0), path)
                for c, (cost, path) in best.items()
                if path or c == clef
            ]
            cost, path = min(offers, key=lambda o: o[0])
            row[clef] = (cost + own_cost, (*path, clef))
        best = row
    return min(best.values(), key=lambda o: o[0])[1]


def wants_ottava(pitches: Sequence[Pitch], clef: str) -> bool:
    """Whether a whole line lies so high that an 8va line reads better: more than four ledger lines on average.

    Only for instruments whose players are used to it; wind players else read the real shape (common practice).

    >>> [wants_ottava([Pitch.parse(name)] * 8, "treble") for name in ("C6", "C7", "D7")]
    [False, True, True]
    """
    if clef != "treble":
        return False
    lines = [ledger_lines(p, clef) for p in pitches if p.place > MIDDLE[clef]]
    return len(lines) == len(pitches) and min(lines) >= 2 and sum(lines) > 4 * len(lines)
