"""What other programs may rely on: the names, that they load when used, and that the README's example runs."""

import datetime as dt
import doctest
import subprocess
import sys
from pathlib import Path

import pytest

import generator
from generator import (
    HandoutOrder,
    PlayerOptions,
    RequestError,
    SheetOrder,
    handout,
    pictures,
    player,
    sheet,
    today,
)

ROOT = Path(__file__).parents[1]
# Added names are an addition; a name that goes is a breach.
PROMISED = {
    "GeneratorError", "HandoutOrder", "MachineError", "Player", "PlayerOptions", "RequestError", "Sheet", "SheetOrder",
    "Today", "book", "exercises", "handout", "pictures", "player", "sheet", "today",
}  # fmt: skip


def test_the_promised_names_are_there() -> None:
    assert set(generator.__all__) >= PROMISED
    for name in generator.__all__:
        assert getattr(generator, name)
        assert name in dir(generator)


def test_an_unknown_name_is_told_as_python_tells_it() -> None:
    with pytest.raises(AttributeError, match="has no attribute 'sheeet'"):
        _ = generator.sheeet  # type: ignore[attr-defined]


def test_importing_the_package_loads_nothing_of_it() -> None:
    code = "import generator, sys; print(sorted(n for n in sys.modules if n.startswith('generator.')))"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "['generator.files', 'generator.files.version']"


@pytest.mark.lilypond
def test_the_example_of_the_readme_runs(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    text = (ROOT / "README.md").read_text("utf-8")
    blocks = [
        block.removeprefix("python\n") for block in text.split("```")[1::2] if block.startswith("python\n")
    ]
    test = doctest.DocTestParser().get_doctest("\n".join(blocks), {}, "README", "README.md", 0)
    assert len(test.examples) >= 5
    assert doctest.DocTestRunner(optionflags=doctest.NORMALIZE_WHITESPACE).run(test).failed == 0


def test_a_sheet_tells_what_did_not_fit(tmp_path: Path) -> None:
    order = SheetOrder(out=tmp_path, formats=("json",))
    done = sheet("all keys, major, three octaves", player=player("horn"), order=order, exact=False)
    assert len(done.exercises) == 12
    assert [path.suffix for path in done.paths] == [".json"]
    with pytest.raises(RequestError, match="does not fit"):
        sheet("C major, three octaves", player=player("horn"), order=order, exact=True)


def test_pictures_are_pictures(tmp_path: Path) -> None:
    with pytest.raises(RequestError, match="--crop makes pictures"):
        pictures("F major", player=player("tuba"), order=SheetOrder(out=tmp_path, formats=("midi",)))
    assert not list(tmp_path.iterdir())


def test_a_section_is_named_by_a_line_a_file_or_a_roster(tmp_path: Path) -> None:
    file, roster = tmp_path / "band.toml", tmp_path / "class.csv"
    file.write_text(
        'title = "Harbour Street"\n[[chair]]\ninstrument = "flute"\n[[chair]]\ninstrument = "tuba"\n', "utf-8"
    )
    roster.write_text("name,instrument\nAda,flute\nBo,tuba\n", "utf-8")
    order = HandoutOrder(out=tmp_path / "out", formats=("json",))
    given = [
        [
            one.chair.player.instrument.name
            for one in handout("concert F major", section=named, order=order).given
        ]
        for named in ("flute, tuba", file, roster)
    ]
    assert given == [["flute", "tuba"]] * 3


def test_a_day_is_chosen_once(tmp_path: Path) -> None:
    now = dt.datetime(2027, 2, 6, 8, tzinfo=dt.UTC)
    order = SheetOrder(out=tmp_path / "out", formats=("json",))
    options = PlayerOptions(instrument="tuba")
    first = today(now, home=tmp_path, folder=tmp_path, player=options, order=order)
    again = today(now, home=tmp_path, folder=tmp_path, player=options, order=order)
    assert first.page.sheet == again.page.sheet
    assert (first.page.again, again.page.again) == (False, True)
    assert first.printed.paths == again.printed.paths
