"""A cache in which somebody else put something: nothing of it reaches a page, and no file is written but the page."""

import hashlib
import json
import os
import stat
import sys
from collections.abc import Mapping
from pathlib import Path
from types import SimpleNamespace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from generator.engraving.cache import FOLDER, FORM, Cache, CachedPage, key_of
from generator.engraving.result import EngravingOrder
from generator.files.own_folder import MARKER, TAG
from tests.fixtures.command import run_here

KEY, ORDER = key_of("a page"), EngravingOrder(("pdf", "png"))
PDF, PNG = b"%PDF-1.5 %%EOF", b"\x89PNG\r\n\x1a\nIEND\xaeB`\x82"
PAGE = CachedPage({"sheet.pdf": PDF, "sheet.png": PNG})
posix = pytest.mark.skipif(
    sys.platform == "win32" or os.environ.get("SCALEWRIGHT_TESTS_ELSEWHERE") == "windows",
    reason="owners, permission bits and folders by number are POSIX",
)


def sealed(head: bytes, body: bytes = b"") -> bytes:
    """An entry with the right digest."""
    inside = len(head).to_bytes(8, "big") + head + body
    return FORM.encode() + b"\n" + hashlib.sha256(inside).digest() + inside


def entry(files: Mapping[str, bytes], **more: object) -> bytes:
    sizes = [[name, len(data)] for name, data in files.items()]
    return sealed(json.dumps({"files": sizes, "loose": False, **more}).encode(), b"".join(files.values()))


def planted(folder: Path, data: bytes) -> Path:
    """The place of the one entry, with this in it."""
    Cache(folder).put(KEY, PAGE)
    (path,) = (folder / FOLDER).glob("*.pages")
    path.write_bytes(data)
    return path


def counts_as_none(folder: Path, data: bytes) -> bool:
    """Whether an entry is passed over and taken away, and the page kept in its place."""
    path = planted(folder, data)
    cache = Cache(folder)
    found = cache.get(KEY, ORDER)
    gone = not path.exists()
    cache.put(KEY, PAGE)
    return found is None and gone and cache.get(KEY, ORDER) == PAGE


def listed(folder: Path) -> list[tuple[Path, int]]:
    """Everything below a folder, with the time of its last change."""
    return sorted((path, path.stat(follow_symlinks=False).st_mtime_ns) for path in folder.rglob("*"))


NAMES = (
    "../../x.pdf", "/etc/x.pdf", "..", ".", "", "a/b.pdf", "a\\b.pdf", "C:x.pdf", "\\\\server\\share\\x.pdf", "x.pdf:y",
    "nul.pdf", "con.png", "aux.pdf", "com1.pdf", "sheet.pdf\0", "sheet.pdf\n", "sheet.pdf.", "sheet.pdf ", "SHEET.PDF",
    "sheet", ".pdf", "-rf.pdf", "sheet-1.pdf", "other.pdf", "sheet.exe", "s" * 300 + ".pdf",
    "\u0455heet.pdf", "\ud800.pdf",
)  # fmt: skip


@pytest.mark.parametrize("name", NAMES)
def test_a_name_that_was_not_asked_for_counts_as_no_entry(tmp_path: Path, name: str) -> None:
    assert counts_as_none(tmp_path, entry({name: PDF, "sheet.png": PNG}))
    assert counts_as_none(tmp_path, entry({"sheet.pdf": PDF, "sheet.png": PNG, name: PDF}))


@pytest.mark.parametrize(
    "data",
    [
        sealed(b""),
        sealed(b"no JSON"),
        sealed(b"[" * 200_000),
        sealed(b"[" * 60_000),
        sealed(b'{"files":' * 6_000),
        sealed(b"\xff\xfe"),
        sealed(b"null"),
        sealed(b"{}"),
        sealed(b'{"files": []}'),
        sealed(b'{"files": [], "loose": false}'),
        sealed(b'{"files": {}, "loose": false}'),
        sealed(b'{"files": [["sheet.pdf"]], "loose": false}'),
        sealed(b'{"files": [["sheet.pdf", 1' + b"0" * 5_000 + b']], "loose": false}'),
        sealed(b'{"files": [["sheet.pdf", 1e400]], "loose": false}'),
        sealed(b'{"files": [["sheet.pdf", NaN]], "loose": false}'),
        sealed(b'{"files": [["sheet.pdf", -5], ["sheet.png", 5]], "loose": false}'),
        sealed(b'{"files": [["sheet.pdf", true]], "loose": false}', b"x"),
        sealed(b'{"files": [["sheet.pdf", 3]], "loose": false}', b"xy"),
        sealed(b'{"files": [["sheet.pdf", 2]], "loose": false}', b"xyz"),
        entry({"sheet.pdf": PDF, "sheet.png": PNG}, loose=1),
        entry({"sheet.pdf": PDF, "sheet.png": PNG}, loose="no"),
        entry({"sheet.pdf": PDF, "sheet.png": PNG}, more=1),
        entry({"sheet.pdf": PDF}),
        entry({"sheet.png": PNG, "sheet.pdf": PDF}),
        entry({"sheet.pdf": PDF, "sheet-1.png": PNG}),
        entry({"sheet.pdf": PDF, "sheet-1.png": PNG, "sheet-3.png": PNG}),
        entry({"sheet.pdf": PNG, "sheet.png": PDF}),
        entry({"sheet.pdf": PDF[:-1], "sheet.png": PNG}),
        sealed(b'{"files": [["sheet.pdf", 14], ["sheet.pdf", 14]], "loose": false}', PDF + PDF),
        FORM.encode() + b"\n" + hashlib.sha256(b"\xff" * 8).digest() + b"\xff" * 8,
        b"",
    ],
    ids=lambda data: repr(data[-40:]),
)
def test_whatever_an_entry_holds_the_page_is_made_anew(tmp_path: Path, data: bytes) -> None:
    assert counts_as_none(tmp_path, data)


JSON = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | st.text(max_size=8) | st.sampled_from(NAMES),
    lambda inside: (
        st.lists(inside, max_size=4)
        | st.dictionaries(st.sampled_from(["files", "loose", "words", ""]), inside, max_size=4)
    ),
    max_leaves=12,
)
SIZED = st.lists(
    st.tuples(st.sampled_from(["sheet.pdf", "sheet.png"]) | JSON, st.integers(-9, 40) | JSON), max_size=3
)
HEADS = JSON | st.fixed_dictionaries({"files": SIZED | JSON, "loose": st.booleans() | JSON})


@given(HEADS, st.binary(max_size=64))
def test_no_head_under_a_right_digest_raises(
    tmp_path_factory: pytest.TempPathFactory, head: object, body: bytes
) -> None:
    folder = tmp_path_factory.getbasetemp() / "drawn"
    path = planted(folder, sealed(json.dumps(head).encode(), body))
    found = Cache(folder).get(KEY, ORDER)
    assert found is None
    assert not path.exists()


@given(st.binary(max_size=300), st.integers(0, 2**64 - 1))
def test_no_bytes_under_a_right_digest_raise(
    tmp_path_factory: pytest.TempPathFactory, inside: bytes, size: int
) -> None:
    body = size.to_bytes(8, "big") + inside
    folder = tmp_path_factory.getbasetemp() / "drawn"
    path = planted(folder, FORM.encode() + b"\n" + hashlib.sha256(body).digest() + body)
    assert Cache(folder).get(KEY, ORDER) is None
    assert not path.exists()


def test_an_entry_larger_than_any_is_not_even_read(tmp_path: Path) -> None:
    path = planted(tmp_path, b"")
    with path.open("wb") as file:
        file.truncate(1 << 40)  # a hole, which takes no room on the disk
    assert Cache(tmp_path).get(KEY, ORDER) is None


@posix
@pytest.mark.parametrize("kind", ["link", "link to nothing", "pipe", "folder"])
def test_what_is_no_plain_file_is_no_entry(tmp_path: Path, kind: str) -> None:
    path = planted(tmp_path, b"")
    path.unlink()
    victim = tmp_path / "victim"
    victim.write_bytes(entry(PAGE.files))
    if kind.startswith("link"):
        path.symlink_to(victim if kind == "link" else tmp_path / "nothing")
    else:
        os.mkfifo(path) if kind == "pipe" else path.mkdir()
    cache = Cache(tmp_path)
    assert cache.get(KEY, ORDER) is None
    cache.put(KEY, PAGE)
    assert cache.get(KEY, ORDER) == (None if kind == "folder" else PAGE)
    assert victim.read_bytes() == entry(PAGE.files)
    assert not (tmp_path / "nothing").exists()


@posix
def test_the_folder_is_the_persons_alone_and_is_marked(tmp_path: Path) -> None:
    before = os.umask(0)
    try:
        Cache(tmp_path / "named" / "deeper").put(KEY, PAGE)
    finally:
        os.umask(before)
    own = tmp_path / "named" / "deeper" / FOLDER
    assert [stat.S_IMODE(path.stat().st_mode) for path in (own, own.parent)] == [0o700, 0o700]
    assert {stat.S_IMODE(path.stat().st_mode) for path in own.iterdir()} == {0o600}
    # https://bford.info/cachedir/: the first line is this word and the MD5 of ".IsCacheDirectory".
    first = (own / MARKER).read_text("ascii").splitlines()[0]
    assert first == f"Signature: {hashlib.md5(b'.IsCacheDirectory', usedforsecurity=False).hexdigest()}"


def _others_may_write(own: Path, patch: pytest.MonkeyPatch) -> str:
    own.chmod(0o777)
    return "may be written to by others (mode 777)"


def _a_group_may_write(own: Path, patch: pytest.MonkeyPatch) -> str:
    own.chmod(0o770)
    return "may be written to by others (mode 770)"


def _a_link(own: Path, patch: pytest.MonkeyPatch) -> str:
    own.rename(own.with_name("elsewhere"))
    own.symlink_to("elsewhere")
    return "is a link"


def _a_file(own: Path, patch: pytest.MonkeyPatch) -> str:
    own.rename(own.with_name("elsewhere"))
    own.write_text("mine")
    return "is no folder"


def _not_marked(own: Path, patch: pytest.MonkeyPatch) -> str:
    (own / MARKER).unlink()
    return "holds files of something else"


def _marked_by_another(own: Path, patch: pytest.MonkeyPatch) -> str:
    (own / MARKER).write_bytes(TAG.replace(b"scalewright", b"something"))
    return "holds files of something else"


def _of_another(own: Path, patch: pytest.MonkeyPatch) -> str:
    whose, real = own.stat(), os.fstat

    def fstat(number: int) -> object:
        found = real(number)
        if not os.path.samestat(found, whose):
            return found
        return SimpleNamespace(st_mode=found.st_mode, st_uid=found.st_uid + 1)

    patch.setattr(os, "fstat", fstat)
    return "does not belong to you"


def _behind_a_link_of_another(own: Path, patch: pytest.MonkeyPatch) -> str:
    named, real = own.parent, Path.lstat
    named.rename(named.with_name("elsewhere"))
    named.symlink_to("elsewhere")

    def lstat(path: Path) -> object:
        found = real(path)
        theirs = SimpleNamespace(st_mode=found.st_mode, st_uid=1 + os.geteuid())
        return theirs if path == named else found

    patch.setattr(Path, "lstat", lstat)
    return "lies behind a link that is not yours"


@posix
@pytest.mark.parametrize(
    "spoil",
    [
        _others_may_write, _a_group_may_write, _a_link, _a_file, _not_marked, _marked_by_another, _of_another,
        _behind_a_link_of_another,
    ],
)  # fmt: skip
def test_a_folder_that_is_not_the_persons_alone_is_not_used_and_one_line_says_so(
    tmp_path: Path, tmp_path_factory: pytest.TempPathFactory, monkeypatch: pytest.MonkeyPatch, spoil
) -> None:
    named = tmp_path / "named"
    cache = Cache(named)
    cache.put(KEY, PAGE)
    assert cache.trouble() is None
    words = spoil(named / FOLDER, monkeypatch)
    before = listed(tmp_path)
    assert cache.get(KEY, ORDER) is None
    cache.put(KEY, PAGE)
    line = cache.trouble() or ""
    assert words in line
    assert "SCALEWRIGHT_CACHE names another place" in line
    command = ("sheet", "G major", "-i", "flute", "-f", "json", "-o", str(tmp_path_factory.mktemp("out")))
    said = run_here(*command, setting={"SCALEWRIGHT_CACHE": named})
    assert len(said.succeeds()) == 1
    assert said.err == [line]
    assert run_here(*command, "--quiet", setting={"SCALEWRIGHT_CACHE": named}).err == []
    assert run_here(*command, "--no-cache", setting={"SCALEWRIGHT_CACHE": named}).err == []
    assert listed(tmp_path) == before


@posix
def test_a_person_may_keep_the_cache_elsewhere_by_a_link_of_their_own(tmp_path: Path) -> None:
    (tmp_path / "large-disk").mkdir()
    (tmp_path / "named").symlink_to("large-disk")
    cache = Cache(tmp_path / "named")
    cache.put(KEY, PAGE)
    assert cache.get(KEY, ORDER) == PAGE
    assert cache.trouble() is None


@posix
def test_another_folder_put_in_its_place_while_it_is_used_gets_nothing(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Whoever may write the folder around ours can swap it between our look and our writing."""
    cache = Cache(tmp_path)
    cache.put(KEY, PAGE)
    own, victim = tmp_path / FOLDER, tmp_path / "victim"
    victim.mkdir()
    real = os.open

    def swapped(path, flags, *mode, **more):
        if str(path).endswith(".part") and not own.is_symlink():
            own.rename(tmp_path / "moved")
            own.symlink_to(victim)
        return real(path, flags, *mode, **more)

    monkeypatch.setattr(os, "open", swapped)
    cache.put(key_of("another"), PAGE)
    assert own.is_symlink()
    assert list(victim.iterdir()) == []
    assert (tmp_path / "moved" / f"{key_of('another')}.pages").exists()
