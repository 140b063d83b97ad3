"""The score inside an archive of compressed MusicXML, from a stranger."""

import re
import zipfile
from io import BytesIO

from generator.errors import RequestError

MOST_BYTES, MOST_ENTRIES = 32 << 20, 1000
_STEP = 1 << 16
TOO_LONG = "the file unpacks to more than 32 MB; export the one part you play"


def unpacked(data: bytes) -> bytes:
    """The score inside an .mxl archive, found by name; other content as it is.

    Raises:
        RequestError: the archive is broken, too large, or holds no score.
    """
    if not data.startswith(b"PK"):
        return data
    try:
        with zipfile.ZipFile(BytesIO(data)) as archive:
            names = archive.infolist()
            if len(names) > MOST_ENTRIES:
                raise RequestError(
                    f"the archive has {len(names)} entries; at most {MOST_ENTRIES} are looked at"
                )
            return _entry(archive, _score_in(archive))
    except RequestError:
        raise
    except Exception:  # a broken archive raises whatever it likes
        raise RequestError("the .mxl archive is broken; export it again, or as .musicxml") from None


def _score_in(archive: zipfile.ZipFile) -> str:
    names = [info.filename for info in archive.infolist()]
    if "META-INF/container.xml" in names:
        text = _entry(archive, "META-INF/container.xml", 1 << 16)
        found = re.search(rb'full-path\s*=\s*["\']([^"\']{1,500})["\']', text)
        named = found[1].decode("utf-8", "replace") if found else ""
        if named in names:
            return named
    scores = [
        name
        for name in names
        if name.casefold().endswith((".xml", ".musicxml")) and not name.startswith("META-INF/")
    ]
    if len(scores) != 1:
        raise RequestError("the .mxl archive names no score in it; export it again, or as .musicxml")
    return scores[0]


def _entry(archive: zipfile.ZipFile, name: str, most: int = MOST_BYTES) -> bytes:
    found = BytesIO()
    with archive.open(name) as file:
        while step := file.read(_STEP):
            found.write(step)
            if found.tell() > most:
                raise RequestError(TOO_LONG)
    return found.getvalue()
