"""What others put where finished pages are kept: the page comes out as ever, and no other file is touched."""

import hashlib
import json

import pytest

from generator.engraving.cache import FORM

# Its page tells how often it was engraved.
COUNTS = """
count = open(os.environ["TMPDIR"] + "/../../count", "a+")
count.write("x")
count.seek(0)
open("sheet.pdf", "w").write("%PDF-1.5 " + count.read() + " %%EOF")
"""
HEADS = {
    "an absolute path": '{"files": [["ROOT/private/x", 7]], "loose": false}',
    "a path that climbs": '{"files": [["../../private/x", 7]], "loose": false}',
    "an entry of earlier programs": '{"files": [["ROOT/private/x", 7]], "words": {"loose": false}}',
    "no key": "{}",
    "no JSON": "JSON",
    "brackets": "[" * 200_000,
    "another size": '{"files": [["sheet.pdf", 99]], "loose": false}',
    "another type": '{"files": 7, "loose": null}',
}


def plant(person, head: str, files: bytes = b"planted") -> int:
    """Put this with a right digest in place of every page that is kept; how many there were."""
    text = head.replace("ROOT", str(person.root)).encode()
    body = len(text).to_bytes(8, "big") + text + files
    entries = list(person.cache.rglob("*.pages"))
    for path in entries:
        form = path.read_bytes().partition(b"\n")[0]
        path.write_bytes(form + b"\n" + hashlib.sha256(body).digest() + body)
    return len(entries)


@pytest.mark.parametrize("how", HEADS)
def test_a_planted_entry_writes_nothing_and_is_replaced(person, fake, how):
    setting = fake(COUNTS)
    private = person.root / "private"
    private.mkdir()
    (path,) = person.run(*person.SHEET, setting=setting).succeeds()
    assert plant(person, HEADS[how]) == 1
    for engraved in (b" xx ", b" xx "):  # once more, then from the cache
        assert person.run(*person.SHEET, setting=setting).succeeds() == [path]
        assert engraved in (person.here / path).read_bytes()
    assert list(private.iterdir()) == []
    assert person.is_clean(path)


@pytest.mark.lilypond
def test_pages_of_a_handout_that_nobody_can_read_are_made_anew(person):
    """They have their names, sizes and both ends, and nothing sound between."""
    paths = person.run(*person.HANDOUT).succeeds()
    entries = list(person.cache.rglob("*.pages"))
    for entry in entries:
        data = entry.read_bytes()
        start = len(FORM) + 1 + 32 + 8
        size = int.from_bytes(data[start - 8 : start], "big")
        files = json.loads(data[start : start + size])["files"]
        text = json.dumps({"files": [[name, 15] for name, _ in files], "loose": False}).encode()
        body = len(text).to_bytes(8, "big") + text + b"%PDF-1.5\n\n%%EOF" * len(files)
        entry.write_bytes(data[: start - 40] + hashlib.sha256(body).digest() + body)
    assert entries
    assert person.run(*person.HANDOUT).succeeds() == paths
    assert all((person.here / path).stat().st_size > 1_000 for path in paths)
    assert person.is_clean(*paths)


@pytest.mark.parametrize("quiet", [False, True])
def test_a_cache_that_others_may_write_is_not_used_and_one_line_says_so(person, fake, quiet):
    setting = fake(COUNTS)
    words = (*person.SHEET, *(["--quiet"] if quiet else []))
    person.run(*words, setting=setting).succeeds()
    (own,) = person.cache.iterdir()
    own.chmod(0o777)
    said = person.run(*words, setting=setting)
    (path,) = said.succeeds()
    assert b" xx " in (person.here / path).read_bytes()
    told = (
        f"finished pages are not kept: {own} may be written to by others (mode 777); SCALEWRIGHT_CACHE names"
    )
    assert [line.startswith(told) for line in said.err] == [True] * (not quiet)


def test_cleaning_the_cache_takes_nothing_that_others_put_there(person, fake):
    """Documents of a word processor are called `.pages` too, half-done downloads `.part`."""
    foreign = [person.cache / name for name in ("thesis.pages", "film.part", ".0123456789abcdef.part")]
    for path in foreign:
        with path.open("wb") as file:
            file.truncate(200 << 20)
    person.run(*person.SHEET, setting=fake(COUNTS)).succeeds()
    person.run(*person.SHEET, "--title", "Another", setting=fake(COUNTS)).succeeds()
    assert all(path.exists() for path in foreign)
    for path in foreign:
        path.unlink()
