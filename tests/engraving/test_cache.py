"""Finished pages that are kept: whole or not at all, bounded, and never in the way."""

import os
import sys
import threading
import time
from pathlib import Path

import pytest

from generator.engraving.cache import FOLDER, FORM, Cache, CachedPage, key_of, page_key
from generator.engraving.program import Program
from generator.engraving.result import EngravingOrder

ORDER, PDF = EngravingOrder(("pdf", "png")), EngravingOrder()
A, B, SAME = key_of("a"), key_of("b"), key_of("same")
PNG = b"\x89PNG\r\n\x1a\n%sIEND\xaeB`\x82"
KEPT = CachedPage(
    {
        "sheet.pdf": b"%PDF-1" + bytes(range(256)) + b"%%EOF\n",
        "sheet-1.png": PNG % b"1",
        "sheet-2.png": PNG % b"2",
    },
    loose=True,
)


def page(filling: bytes) -> CachedPage:
    return CachedPage({"sheet.pdf": b"%PDF-" + filling + b"%%EOF"})


def entries(folder: Path) -> list[Path]:
    return sorted((folder / FOLDER).glob("*.pages"))


def test_what_was_put_comes_back(tmp_path: Path) -> None:
    cache = Cache(tmp_path)
    assert cache.get(A, ORDER) is None
    cache.put(A, KEPT)
    assert cache.get(A, ORDER) == KEPT
    assert cache.get(B, ORDER) is None
    cache.put(A, page(b"new"))
    assert cache.get(A, PDF) == page(b"new")


def test_a_damaged_entry_counts_as_missing_and_goes(tmp_path: Path) -> None:
    cache = Cache(tmp_path)
    cache.put(A, KEPT)
    (path,) = entries(tmp_path)
    whole = path.read_bytes()
    front = len(FORM) + 1
    damages = [b"", whole[:20], whole[: front + 40], whole[:-1], whole + b"x", b"other" + whole]
    damages += [whole[:at] + bytes([whole[at] ^ 1]) + whole[at + 1 :] for at in range(0, len(whole), 17)]
    for data in damages:
        path.write_bytes(data)
        assert cache.get(A, ORDER) is None, data[:30]
        assert not path.exists()
    path.write_bytes(whole)
    assert cache.get(A, ORDER) == KEPT


def test_it_stays_within_its_size_and_the_longest_unused_go_first(tmp_path: Path) -> None:
    cache = Cache(tmp_path, most=10_000)
    for number in range(9):
        cache.put(key_of(number), page(bytes(900)))
        path = tmp_path / FOLDER / f"{key_of(number)}.pages"
        os.utime(path, (1_000_000 + number, 1_000_000 + number))
    assert len(entries(tmp_path)) == 9
    assert cache.get(key_of(0), PDF) is not None  # used now, so it is the youngest
    cache.put(key_of(9), page(bytes(900)))
    left = {path.stem for path in entries(tmp_path)}
    assert sum(path.stat().st_size for path in entries(tmp_path)) <= 10_000
    assert {key_of(0), key_of(9)} <= left
    assert key_of(1) not in left


@pytest.mark.skipif(sys.platform == "win32", reason="files are locked another way")
def test_drafts_that_a_crash_left_go_and_those_that_somebody_writes_stay(tmp_path: Path) -> None:
    import fcntl  # POSIX only

    cache = Cache(tmp_path)
    cache.put(A, KEPT)
    left, old, held = (tmp_path / FOLDER / f".{digit * 16}.part" for digit in "012")
    for draft in (left, old, held):
        draft.write_bytes(b"half a page")
    os.utime(old, (1, 1))
    with held.open("rb") as writing:
        fcntl.flock(writing, fcntl.LOCK_EX)
        cache.put(B, KEPT)
    assert [draft.exists() for draft in (left, old, held)] == [False, False, True]


def test_making_room_leaves_alone_what_others_put_beside_the_pages(tmp_path: Path) -> None:
    """A word processor keeps documents of its own as `.pages`; browsers download to `.part`."""
    cache = Cache(tmp_path, most=3_000)
    cache.put(A, page(bytes(1000)))
    letters = ("letter.pages", ".letter.part", f"{A}.pages.bak", f"x{A}.pages", f"{A[:-1]}g.pages")
    foreign = [tmp_path / name for name in letters] + [tmp_path / FOLDER / name for name in letters]
    foreign.append(tmp_path / FOLDER / f"{key_of('a folder')}.pages")
    foreign[-1].mkdir()
    for path in foreign[:-1]:
        path.write_bytes(bytes(5_000))
    for path in foreign:
        os.utime(path, (1, 1))
    for number in range(9):
        cache.put(key_of(number), page(bytes(1000)))
    assert all(path.exists() for path in foreign)
    ours = [path for path in entries(tmp_path) if path not in foreign]
    assert 1 <= len(ours) <= 3


def test_an_entry_too_large_for_it_is_not_kept(tmp_path: Path) -> None:
    cache = Cache(tmp_path, most=10_000)
    cache.put(A, page(bytes(20_000)))
    assert cache.get(A, PDF) is None


def test_nothing_is_kept_without_a_folder() -> None:
    cache = Cache.nothing()
    cache.put(A, KEPT)
    assert cache.get(A, ORDER) is None


def test_a_folder_that_cannot_be_used_is_no_fault(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("in the way")
    cache = Cache(tmp_path / "file" / "pages")
    cache.put(A, KEPT)
    assert cache.get(A, ORDER) is None


@pytest.mark.skipif(not hasattr(os, "geteuid") or os.geteuid() == 0, reason="root may write everywhere")
def test_a_folder_that_may_only_be_read_still_serves(tmp_path: Path) -> None:
    Cache(tmp_path).put(A, KEPT)
    (tmp_path / FOLDER).chmod(0o500)
    try:
        assert Cache(tmp_path).get(A, ORDER) == KEPT
        Cache(tmp_path).put(B, KEPT)
    finally:
        (tmp_path / FOLDER).chmod(0o700)


def test_several_writers_and_readers_never_see_half_an_entry(tmp_path: Path) -> None:
    kinds = [page(bytes([number]) * 50_000) for number in range(4)]
    wrong: list[object] = []
    end = time.monotonic() + 1.0

    def work(number: int) -> None:
        cache = Cache(tmp_path, most=400_000)
        while time.monotonic() < end:
            cache.put(SAME, kinds[number])
            found = cache.get(SAME, PDF)
            if found is not None and found not in kinds:
                wrong.append(found)

    threads = [threading.Thread(target=work, args=(number,)) for number in range(4)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert not wrong
    assert Cache(tmp_path).get(SAME, PDF) in kinds


def test_keys_differ_where_anything_does(tmp_path: Path) -> None:
    program = tmp_path / "lilypond"
    program.write_bytes(b"one")
    found = Program(program, "2.24.3")
    keys = {
        page_key(found, {"sheet.ly": "a"}, PDF),
        page_key(found, {"sheet.ly": "b"}, PDF),
        page_key(found, {"other.ly": "a"}, PDF),
        page_key(found, {"sheet.ly": "a"}, ORDER),
        page_key(Program(program, "2.24.4"), {"sheet.ly": "a"}, PDF),
    }
    program.write_bytes(b"another build")
    keys.add(page_key(found, {"sheet.ly": "a"}, PDF))
    assert len(keys) == 6
    program.unlink()
    assert page_key(found, {"sheet.ly": "a"}, PDF) is None


def test_a_key_takes_any_text_a_command_line_can_hold() -> None:
    # What os.fsdecode makes of bytes that are no UTF-8.
    assert key_of(["\udcff"]) != key_of(["\udcfe"])
