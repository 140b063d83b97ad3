"""Finished pages that are kept: whole or not at all, bounded, and never in the way."""

import os
import threading
import time
from pathlib import Path

import pytest

from generator.engraving.cache import FORM, Cache, CachedPage, key_of, page_key
from generator.engraving.program import Program

KEPT = CachedPage(
    {"sheet.pdf": b"%PDF-1" + bytes(range(256)), "sheet-2.png": b""}, {"loose": False, "lines": [["é", True]]}
)


def test_what_was_put_comes_back(tmp_path: Path) -> None:
    cache = Cache(tmp_path)
    assert cache.get("a") is None
    cache.put("a", KEPT)
    assert cache.get("a") == KEPT
    assert cache.get("b") is None
    cache.put("a", CachedPage({"x": b"new"}))
    assert cache.get("a") == CachedPage({"x": b"new"}, {})


def test_a_damaged_entry_counts_as_missing_and_goes(tmp_path: Path) -> None:
    cache = Cache(tmp_path)
    cache.put("a", KEPT)
    (path,) = tmp_path.iterdir()
    whole = path.read_bytes()
    front = len(FORM) + 1
    damages = [b"", whole[:20], whole[: front + 40], whole[:-1], whole + b"x", b"other" + whole]
    damages += [whole[:at] + bytes([whole[at] ^ 1]) + whole[at + 1 :] for at in range(0, len(whole), 17)]
    for data in damages:
        path.write_bytes(data)
        assert cache.get("a") is None, data[:30]
        assert not path.exists()
    path.write_bytes(whole)
    assert cache.get("a") == KEPT


def test_it_stays_within_its_size_and_the_longest_unused_go_first(tmp_path: Path) -> None:
    cache = Cache(tmp_path, most=10_000)
    for number in range(9):
        cache.put(str(number), CachedPage({"x": bytes(1000)}))
        path = tmp_path / f"{number}.pages"
        os.utime(path, (1_000_000 + number, 1_000_000 + number))
    assert len(list(tmp_path.iterdir())) == 9
    assert cache.get("0") is not None  # used now, so it is the youngest
    cache.put("9", CachedPage({"x": bytes(1000)}))
    left = {path.stem for path in tmp_path.iterdir()}
    assert sum(path.stat().st_size for path in tmp_path.iterdir()) <= 10_000
    assert {"0", "9"} <= left
    assert "1" not in left


def test_drafts_that_a_crash_left_are_cleared_when_room_is_needed(tmp_path: Path) -> None:
    draft = tmp_path / ".0123.part"
    draft.write_bytes(bytes(9_000))
    os.utime(draft, (1, 1))
    Cache(tmp_path, most=10_000).put("a", CachedPage({"x": bytes(2000)}))
    assert not draft.exists()


def test_an_entry_too_large_for_it_is_not_kept(tmp_path: Path) -> None:
    cache = Cache(tmp_path, most=10_000)
    cache.put("a", CachedPage({"x": bytes(20_000)}))
    assert cache.get("a") is None


def test_nothing_is_kept_without_a_folder() -> None:
    cache = Cache.nothing()
    cache.put("a", KEPT)
    assert cache.get("a") is None


def test_a_folder_that_cannot_be_used_is_no_fault(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("in the way")
    cache = Cache(tmp_path / "file" / "pages")
    cache.put("a", KEPT)
    assert cache.get("a") is None


@pytest.mark.skipif(not hasattr(os, "geteuid") or os.geteuid() == 0, reason="root may write everywhere")
def test_a_folder_that_may_only_be_read_still_serves(tmp_path: Path) -> None:
    Cache(tmp_path).put("a", KEPT)
    tmp_path.chmod(0o500)
    try:
        assert Cache(tmp_path).get("a") == KEPT
        Cache(tmp_path).put("b", KEPT)
    finally:
        tmp_path.chmod(0o700)


def test_several_writers_and_readers_never_see_half_an_entry(tmp_path: Path) -> None:
    kinds = [CachedPage({"x": bytes([number]) * 50_000}) for number in range(4)]
    wrong: list[object] = []
    end = time.monotonic() + 1.0

    def work(number: int) -> None:
        cache = Cache(tmp_path, most=400_000)
        while time.monotonic() < end:
            cache.put("same", kinds[number])
            found = cache.get("same")
            if found is not None and found not in kinds:
                wrong.append(found)

    threads = [threading.Thread(target=work, args=(number,)) for number in range(4)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert not wrong
    assert Cache(tmp_path).get("same") in kinds


def test_keys_differ_where_anything_does(tmp_path: Path) -> None:
    program = tmp_path / "lilypond"
    program.write_bytes(b"one")
    found = Program(program, "2.24.3")
    keys = {
        page_key(found, {"sheet.ly": "a"}, ("pdf",)),
        page_key(found, {"sheet.ly": "b"}, ("pdf",)),
        page_key(found, {"other.ly": "a"}, ("pdf",)),
        page_key(found, {"sheet.ly": "a"}, ("pdf", "png")),
        page_key(Program(program, "2.24.4"), {"sheet.ly": "a"}, ("pdf",)),
    }
    program.write_bytes(b"another build")
    keys.add(page_key(found, {"sheet.ly": "a"}, ("pdf",)))
    assert len(keys) == 6
    program.unlink()
    assert page_key(found, {"sheet.ly": "a"}, ("pdf",)) is None


def test_a_key_takes_any_text_a_command_line_can_hold() -> None:
    # What os.fsdecode makes of bytes that are no UTF-8.
    assert key_of(["\udcff"]) != key_of(["\udcfe"])
