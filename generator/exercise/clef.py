"""Which clef a line is printed in: the usual one unless another spares most of the ledger lines."""

from collections.abc import Sequence

from generator.theory.pitch import Pitch

# Staff place (letters from C0) of the middle line.
MIDDLE = {"treble": 34, "alto": 28, "tenor": 26, "bass": 22}


def ledger_lines(pitch: Pitch, clef: str) -> int:
    """Ledger lines a pitch needs in a clef.

    >>> ledger_lines(Pitch.parse("C4"), "treble"), ledger_lines(Pitch.parse("E3"), "treble")
    (1, 3)
    """
    return max(0, (abs(pitch.place - MIDDLE[clef]) - 4) // 2)


def choose_clef(pitches: Sequence[Pitch], clefs: Sequence[str]) -> str:
    """The clef for a line.

    Players prefer their usual clef as long as it can be read; it gives way where notes need about two
    ledger lines on the average and another customary clef needs at most half as many (common practice, no
    source for the figures).

    Args:
        pitches: written pitches.
        clefs: the usual clef first.
    """
    usual = clefs[0]
    cost = {clef: sum(ledger_lines(p, clef) for p in pitches) for clef in clefs}
    best = min(clefs, key=lambda clef: cost[clef])
    return best if 2 * cost[best] <= cost[usual] and cost[usual] > 1.75 * len(pitches) else usual
