"""MusicXML as short texts, for tests: parts, bars and notes put together by hand."""

HEAD = '<?xml version="1.0" encoding="UTF-8"?>\n<score-partwise version="4.0"><part-list>'
FLUTE = '<score-part id="P1"><part-name>Flute</part-name></score-part>'
PARTS = FLUTE + '<score-part id="P2"><part-name>Clarinet in Bb</part-name></score-part>'


def note(step: str, octave: int, duration: int, kind: str, more: str = "") -> str:
    return (
        f"<note><pitch><step>{step}</step><octave>{octave}</octave></pitch><duration>{duration}</duration>"
        f"<type>{kind}</type>{more}</note>"
    )


def attributes(beats: str = "2", divisions: str = "4") -> str:
    return (
        f"<attributes><divisions>{divisions}</divisions><key><fifths>-1</fifths></key><time><beats>{beats}</beats>"
        "<beat-type>4</beat-type></time></attributes>"
    )


def score(measures: str, parts: str = PARTS) -> str:
    body = f'<part id="P1">{measures}</part>' + (f'<part id="P2">{measures}</part>' if "P2" in parts else "")
    return f"{HEAD}{parts}</part-list>{body}</score-partwise>"


def bar(number: str, notes: str, head: str = "") -> str:
    return f'<measure number="{number}">{head}{notes}</measure>'


RUN = "".join(note(step, 5, 1, "16th") for step in "FGAB")
SLURRED = note("C", 5, 2, "eighth", '<notations><slur type="start" number="1"/></notations>') + note(
    "D", 5, 2, "eighth", '<notations><slur type="stop" number="1"/></notations>'
)
MUSIC = score(bar("1", RUN + RUN, attributes()) + bar("2", SLURRED + RUN) + bar("3", note("C", 5, 8, "half")))
