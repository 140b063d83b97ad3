"""Files made to harm whoever reads them: bombs, nesting, absurd numbers, lies about size, and what is no file."""

import io
import os
import struct
import zipfile
from collections.abc import Callable
from pathlib import Path

from tests.passage.score_text import FLUTE, HEAD, MUSIC, RUN, attributes, bar, note, score

_ENTITIES = "".join(f'<!ENTITY a{n} "{f"&a{n - 1};" * 10 if n else "lol" * 10}">' for n in range(7))
_MANY = "".join(f'<score-part id="Q{n}"><part-name>Kazoo {n}</part-name></score-part>' for n in range(500))
_SIXTEENTH = note("C", 5, 1, "16th")


def _first_bar(inside: str) -> str:
    return score(bar("1", inside, attributes()), FLUTE)


_XML: dict[str, Callable[[], str]] = {
    "entities": lambda: f"<?xml version='1.0'?><!DOCTYPE s [{_ENTITIES}]><score-partwise>&a6;</score-partwise>",
    "external": lambda: (
        "<?xml version='1.0'?><!DOCTYPE s [<!ENTITY x SYSTEM 'file:///etc/passwd'>]><score-partwise>&x;</score-partwise>"
    ),
    "parameter entity": lambda: (
        "<?xml version='1.0'?><!DOCTYPE s [<!ENTITY % x SYSTEM 'file:///dev/zero'> %x;]><score-partwise/>"
    ),
    "deep": lambda: score("<a>" * 500 + "</a>" * 500),
    "deep without end": lambda: HEAD + "<a>" * 400_000,
    "beats": lambda: score(bar("1", RUN, attributes(beats="999999999"))),
    "divisions": lambda: score(bar("1", RUN, attributes(divisions="99999999999"))),
    "divisions nought": lambda: score(bar("1", RUN, attributes(divisions="0"))),
    "bars": lambda: score("".join(bar(str(n), "") for n in range(400_000)), FLUTE),
    "bars before": lambda: score("".join(bar(f"X{n}", RUN) for n in range(25_000)), FLUTE),
    "notes in a bar": lambda: _first_bar(_SIXTEENTH * 150_000),
    "text": lambda: _first_bar(_SIXTEENTH.replace("16th", "x" * 20_000_000)),
    "attribute": lambda: _first_bar(_SIXTEENTH.replace("<note>", f'<note id="{"x" * 20_000_000}">')),
    "many parts": lambda: f"{HEAD}{_MANY}</part-list></score-partwise>",
    "truncated": lambda: MUSIC[:700],
    "binary": lambda: "\0\1\2\3" * 500,
    "html": lambda: "<html><body>404</body></html>",
    "duration": lambda: _first_bar(_SIXTEENTH.replace("<duration>1<", "<duration>1e9<")),
    "long": lambda: _first_bar(_SIXTEENTH.replace("<duration>1<", "<duration>999999999<").replace("16th", "maxima")),
    "tuplet": lambda: _first_bar(
        note("C", 5, 1, "16th", "<time-modification><actual-notes>999999999</actual-notes>"
             "<normal-notes>1</normal-notes></time-modification>")
    ),
    "alter": lambda: _first_bar(_SIXTEENTH.replace("</step>", "</step><alter>999999</alter>")),
    "octave": lambda: score(bar("1", note("C", 55, 4, "quarter") * 2, attributes())),
    "timewise": lambda: MUSIC.replace("score-partwise", "score-timewise"),
    "signature": lambda: score(bar("1", RUN, attributes().replace("<fifths>-1<", "<fifths>999999999<"))),
    "no numbers": lambda: score(bar("", RUN, attributes()), FLUTE),
}  # fmt: skip


def _zipped(entries: dict[str, bytes | str], how: int = zipfile.ZIP_DEFLATED) -> bytes:
    found = io.BytesIO()
    with zipfile.ZipFile(found, "w", how) as archive:
        for name, data in entries.items():
            archive.writestr(name, data)
    return found.getvalue()


def _lied() -> bytes:
    """An archive whose list says that 200 MB are a hundred bytes."""
    data = bytearray(_zipped({"x.xml": b"<a>" + b" " * (200 << 20)}))
    for mark, place in ((b"PK\x01\x02", 24), (b"PK\x03\x04", 22)):
        at = data.find(mark)
        data[at + place : at + place + 4] = struct.pack("<I", 100)
    return bytes(data)


def _encrypted() -> bytes:
    data = bytearray(_zipped({"x.xml": MUSIC}))
    for mark, place in ((b"PK\x01\x02", 8), (b"PK\x03\x04", 6)):
        data[data.find(mark) + place] |= 1
    return bytes(data)


_CONTAINER = "META-INF/container.xml"
_ARCHIVES: dict[str, Callable[[], bytes]] = {
    "zip bomb": lambda: _zipped({"x.xml": b"<a>" + b" " * (200 << 20)}),
    "zip of names": lambda: _zipped({f"{number}.xml": "" for number in range(2000)}),
    "zip traversal": lambda: _zipped({_CONTAINER: '<rootfile full-path="../../../etc/passwd"/>'}),
    "zip of a folder": lambda: _zipped({_CONTAINER: '<rootfile full-path="scores/"/>', "scores/": ""}),
    "zip of itself": lambda: _zipped({_CONTAINER: f'<rootfile full-path="{_CONTAINER}"/>'}),
    "zip in a zip": lambda: _zipped({"x.xml": _zipped({"x.xml": MUSIC})}),
    "zip truncated": lambda: _zipped({"x.xml": MUSIC})[:-30],
    "zip that lies": _lied,
    "zip encrypted": _encrypted,
    "zip of nothing": lambda: _zipped({}),
}


def _midi(*events: bytes, tracks: int = 1, ticks: int = 480, length: int | None = None) -> bytes:
    body = b"".join(events) + b"\x00\xff\x2f\x00"
    head = b"MThd" + struct.pack(">IHHH", 6, 1, tracks, ticks)
    return head + b"MTrk" + struct.pack(">I", len(body) if length is None else length) + body


_KEY, _NOTE = b"\x00\xff\x59\x02\x00\x00", b"\x00\x90\x40\x40\x60\x80\x40\x00"
_MIDI: dict[str, Callable[[], bytes]] = {
    "midi of one note for ever": lambda: _midi(_KEY, b"\x00\x90\x40\x40\xff\xff\xff\x7f\x80\x40\x00"),
    "midi of a metre": lambda: _midi(b"\x00\xff\x58\x04\xff\xff\x18\x08", _KEY, _NOTE * 4),
    "midi that lies": lambda: _midi(_KEY, _NOTE, length=0x7FFFFFFF),
    "midi of tracks": lambda: _midi(_KEY, _NOTE, tracks=65535),
    "midi without ticks": lambda: _midi(_KEY, _NOTE, ticks=0),
    "midi of frames": lambda: _midi(_KEY, _NOTE, ticks=0xE250),
    "midi of a million": lambda: _midi(_KEY, _NOTE * 250_000),
    "midi of many notes": lambda: _midi(_KEY, _NOTE * 100_000),
    "midi truncated": lambda: _midi(_KEY, _NOTE)[:20],
    "midi of nothing": lambda: b"MThd",
    "midi of rubbish": lambda: b"\x4d\x54\x68\x64" + bytes(range(256)) * 2000,
}
_ABC: dict[str, Callable[[], bytes]] = {
    "abc too long": lambda: b"K:C\n" + b"c|" * 60_000,
    "abc of bars": lambda: b"K:C\nM:1/64\nL:1/64\n" + b"c|" * 30_000,
    "abc of signs": lambda: b"K:C\n" + b"(" * 60_000,
    "abc of braces": lambda: b"K:C\nV:1\nV:2\n[V:2]" + b"{" * 60_000,
    "abc of fields": lambda: b"K:C\nV:1\nV:2\n[V:2]" + b"[K:" * 20_000,
    "abc of quotes": lambda: b"K:C\n" + b'"' * 60_001,
    "abc of a number": lambda: b"K:C\nc" + b"9" * 60_000,
    "abc of rests": lambda: b"K:C\nZ9999|" + b"Z999|" * 9000,
    "abc of octaves": lambda: b"K:C\nc" + b"'" * 60_000,
    "abc in another writing": lambda: "K:C\nT:\xe9\ncdef|".encode("utf-16"),
}
_OTHER: dict[str, tuple[str, Callable[[], bytes]]] = {
    "krn of rubbish": (".krn", lambda: b"**kern\t" * 20_000),
    "krn of splits": (
        ".krn",
        lambda: b"**kern\n" + b"\n".join(b"\t".join([b"*^"] * 2**n) for n in range(13)),
    ),
    "mei deep": (".mei", lambda: b"<mei xmlns='http://www.music-encoding.org/ns/mei'>" + b"<a>" * 50_000),
    "mei of entities": (".mei", f"<!DOCTYPE s [{_ENTITIES}]><mei>&a6;</mei>".encode),
    "empty": (".mxl", lambda: b""),
    "too large": (".musicxml", lambda: b" " * (33 << 20)),
    "encoding": (".musicxml", lambda: MUSIC.replace("UTF-8", "no-such").encode()),
    "wrong bytes": (".musicxml", lambda: MUSIC.replace("Flute", "Fl\xfcte").encode("latin-1")),
    "entities in UTF-16": (".musicxml", lambda: _XML["entities"]().encode("utf-16")),
}


def _folder(path: Path) -> None:
    path.mkdir()


def _loop(path: Path) -> None:
    path.symlink_to(path.name)


_THINGS: dict[str, Callable[[Path], None]] = {"folder": _folder}
if hasattr(os, "mkfifo"):
    _THINGS |= {
        "loop of links": _loop,
        "pipe": os.mkfifo,
        "device": lambda path: path.symlink_to("/dev/zero"),
        "terminal": lambda path: path.symlink_to("/dev/tty"),
    }

HOSTILE = (*_XML, *_ARCHIVES, *_MIDI, *_ABC, *_OTHER, *_THINGS)


def hostile_file(folder: Path, name: str) -> Path:
    """One of them, in a folder."""
    if name in _THINGS:
        path = folder / "bad.mxl"
        _THINGS[name](path)
        return path
    if name in _XML:
        path = folder / "bad.musicxml"
        path.write_text(_XML[name](), "utf-8")
        return path
    ending, made = _OTHER.get(name) or next(
        (ending, made[name])
        for ending, made in ((".mxl", _ARCHIVES), (".mid", _MIDI), (".abc", _ABC))
        if name in made
    )
    path = folder / f"bad{ending}"
    path.write_bytes(made())
    return path
