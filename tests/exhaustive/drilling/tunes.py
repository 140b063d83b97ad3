"""ABC tunes of the public-domain collections that music21's package carries, against abc2midi (Debian's abcmidi)."""

import re
import subprocess
import tempfile
from collections import Counter
from collections.abc import Iterator
from fractions import Fraction
from importlib.util import find_spec
from pathlib import Path
from random import Random

import mido

from generator.errors import GeneratorError
from generator.passage.abc_reader import read_abc

Row = tuple[str, str, str, bool]
COLLECTIONS = ("airdsAirs", "oneills1850", "ryansMammoth", "nottingham-dataset", "miscFolk")


def tunes() -> Iterator[tuple[str, str]]:
    found = find_spec("music21")
    assert found is not None
    corpus = Path(str(found.origin)).parent / "corpus"
    for name in COLLECTIONS:
        for path in sorted((corpus / name).rglob("*.abc")):
            text = path.read_text("utf-8", "replace")
            for number, tune in enumerate(re.split(r"(?m)^(?=X:)", text)):
                if "K:" in tune and "=20" not in tune:  # a few were spoilt by mail on their way
                    yield f"{path.name}:{number}", tune


def plain(tune: str) -> str | None:
    """What both readers should hear alike: without repeats to play twice, ornaments, chords and words."""
    head, _, body = tune.partition("K:")
    key, _, music = body.partition("\n")
    music = "\n".join(
        line for line in music.splitlines() if line.strip() and not re.match(r"[A-JN-Zmrsw]:|%", line)
    )
    music = re.sub(r'"[^"]*"|![^!]*!|\{[^}]*\}|%.*', "", music)
    if re.search(r"\[[^A-Za-z|]|\[[A-Ga-g^_=]|&|\[V:|\|\s*[12]|\[[12]|^V:", music):
        return None
    music = re.sub(r"[~.]|[H-Wh-w](?!:)", "", music).replace("::", "|").replace("|:", "|").replace(":|", "|")
    fields = [line for line in head.splitlines() if re.match(r"[XML]:", line)]
    return "\n".join(["%abc-2.1", *fields, f"K:{key}", music]) + "\n"


def heard_by_abc2midi(text: str, folder: Path) -> list[tuple[Fraction, int]]:
    source, target = folder / "t.abc", folder / "t.mid"
    target.unlink(missing_ok=True)
    source.write_text(text, "utf-8")
    subprocess.run(["abc2midi", source, "-o", target], capture_output=True, check=False, timeout=20)
    file = mido.MidiFile(target)
    found = []
    for track in file.tracks:
        now = 0
        for message in track:
            now += message.time
            if message.type == "note_on" and message.velocity and message.channel != 9:
                found.append((Fraction(now, 4 * file.ticks_per_beat), message.note))
    return sorted(found)


def heard_by_us(text: str) -> list[tuple[Fraction, int]]:
    place, found, tied = Fraction(0), [], None
    for bar in read_abc(text).bars:
        for note in bar.notes:
            if note.pitch is not None and note.pitch != tied:
                found.append((place, note.pitch.height))
            tied = note.pitch if note.tie else None
            place += note.value.length
    return found


def abc(most: int) -> Row:
    read: Counter[str] = Counter()
    odd: list[str] = []
    with tempfile.TemporaryDirectory() as folder:
        every = list(tunes())
        Random(1).shuffle(every)
        for name, tune in every:
            text = plain(tune)
            if text is None or read.total() >= most:
                continue
            try:
                # abc2midi carries an accidental into all octaves, as the standard has it where nothing is said; we,
                # as printed music does, into its own. Said so, both mean the same.
                ours = heard_by_us("%%propagate-accidentals pitch\n" + text)
                theirs = heard_by_abc2midi(text, Path(folder))
            except GeneratorError as error:
                read["refused"] += 1
                odd.append(f"{name}: {error}")
                continue
            except (OSError, EOFError, ValueError, subprocess.TimeoutExpired):
                continue
            same = [h for _, h in ours] == [h for _, h in theirs] and all(
                abs(a - b) < Fraction(1, 200) for (a, _), (b, _) in zip(ours, theirs, strict=True)
            )
            read["same" if same else "differs"] += 1
            if not same:
                odd.append(f"{name}: {len(ours)} notes, abc2midi {len(theirs)}")
    for line in odd:
        print("   ", line)
    share = read["same"] / max(1, read.total())
    return (
        "ABC tunes as abc2midi plays them",
        ">= 98 %",
        f"{100 * share:.1f} % of {read.total()}",
        share >= 0.98,
    )
