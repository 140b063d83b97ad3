"""The files of a handout: whole or not at all, in score order, with bookmarks and copies."""

import csv
from collections.abc import Callable
from dataclasses import replace
from io import BytesIO
from pathlib import Path

import pytest
from pypdf import PdfReader, PdfWriter

from generator.api.handouts import prepared
from generator.documents.section import Section
from generator.engraving import lilypond
from generator.engraving.bind import Leaf, bind, page_count
from generator.errors import EngravingError
from generator.files.resources import data_folder
from generator.pages.paper import Paper
from generator.pages.reader import ReaderNeeds
from generator.publish import handout
from generator.publish.handout import HandoutOrder, export_given, hand_out
from generator.publish.handout_parts import lay_out_parts
from generator.publish.handout_words import Wording
from generator.section.rehearsal import Rehearsal, rehearse
from generator.section.rehearsal_plan import RehearsalPlan
from tests.fixtures.command import run_here

BAND = data_folder("shared") / "examples" / "harbour-street.toml"


def one_page(pages: int = 1) -> bytes:
    writer = PdfWriter()
    for _ in range(pages):
        writer.add_blank_page(200, 300)
    found = BytesIO()
    writer.write(found)
    return found.getvalue()


def outline(data: bytes) -> list[tuple[str, int]]:
    reader = PdfReader(BytesIO(data))
    return [(str(item.title), reader.get_destination_page_number(item)) for item in reader.outline]  # type: ignore[union-attr, misc]


def text_of(path: Path) -> str:
    return " ".join(page.extract_text() for page in PdfReader(path).pages)


@pytest.mark.lilypond
def test_a_handout_is_a_folder_of_parts_a_score_a_cover_and_everything_bound(
    seated: Callable[..., Section], tmp_path: Path
) -> None:
    section = seated("tuba, 2 flute, horn, snare drum")
    rehearsal = rehearse(section, RehearsalPlan(("concert B-flat major in thirds", "concert E-flat major")))
    seen: list[tuple[int, int]] = []
    done = hand_out(
        HandoutOrder(out=tmp_path, formats=("pdf", "musicxml", "json")),
        rehearsal,
        lambda a, b: seen.append((a, b)),
    )
    names = [path.name for path in done.paths]
    assert names[:7] == [
        "everything.pdf", "cover.pdf", "score.pdf", "01-flute.pdf", "02-horn-in-f.pdf", "03-tuba.pdf",
        "04-snare-drum.pdf",
    ]  # fmt: skip
    assert {"score.musicxml", "01-flute.musicxml", "03-tuba.json"} <= set(names)
    assert {name for name in names[7:] if name.startswith("04")} == {
        "04-snare-drum.musicxml",
        "04-snare-drum.json",
    }
    bound = done.paths[0].read_bytes()
    assert [title for title, _ in outline(bound)] == [
        "Who plays what", "Score", "Flute", "Horn in F", "Tuba", "Snare Drum",
    ]  # fmt: skip
    # One cover, one score, two flutes, one of each other.
    assert page_count(bound) == 2 + 2 + 1 + 1 + 1
    assert seen[0] == (0, 6)
    assert seen[-1] == (6, 6)
    folder = done.paths[0].parent
    # Both keys on the part; the music font's flat is not text, so that the letters are looked for.
    horn = text_of(folder / "02-horn-in-f.pdf")
    assert "F major in thirds" in horn
    assert "Horn in F" in horn
    assert "Name" in horn
    score = text_of(folder / "score.pdf")
    assert [score.index(word) for word in ("Flute", "Horn in F", "Tuba", "Snare Drum")] == sorted(
        score.index(word) for word in ("Flute", "Horn in F", "Tuba", "Snare Drum")
    )
    target = export_given(done.given, tmp_path / "who.csv")
    rows = list(csv.DictReader(target.read_text("utf-8").splitlines()))
    assert [(r["instrument"], r["written key"], r["file"], r["pages"], r["copies"]) for r in rows] == [
        ("flute", "B-flat, E-flat", "01-flute.pdf", "1", "2"), ("horn in F", "F, B-flat", "02-horn-in-f.pdf", "1", "1"),
        ("tuba", "B-flat, E-flat", "03-tuba.pdf", "1", "1"), ("snare drum", "", "04-snare-drum.pdf", "1", "1"),
    ]  # fmt: skip


@pytest.mark.lilypond
def test_the_score_read_by_another_program_sounds_in_unison(
    seated: Callable[..., Section], tmp_path: Path
) -> None:
    # music21 reads the MusicXML score and transposes by itself.
    music21 = pytest.importorskip("music21")
    section = seated("flute, E-flat clarinet, clarinet, alto saxophone, horn, trombone, euphonium TC, tuba")
    rehearsal = rehearse(
        section, RehearsalPlan(("concert A-flat major in fourths", "concert C melodic minor"))
    )
    xml = handout.score_as_musicxml("Test", rehearsal)
    score = music21.converter.parseData(xml.decode(), format="musicxml").toSoundingPitch()
    heard = []
    for part in score.parts:
        notes = part.flatten().notes
        heard.append(
            [(float(n.offset), n.pitch.pitchClass) for n in notes if n.tie is None or n.tie.type == "start"]
        )
    assert len(heard) == 8
    assert all(line == heard[0] for line in heard)
    assert len(heard[0]) > 40
    assert len({len(part.getElementsByClass("Measure")) for part in score.parts}) == 1


@pytest.mark.lilypond
def test_names_and_notes_of_people_reach_the_page_as_words(
    written: Callable[[str, str], Path], tmp_path: Path
) -> None:
    text = '[[chair]]\nname = "1st \\" #(exit 3)"\ninstrument = "flute"\nplayer = "Ada \\\\ $Quill % {"\n'
    path = written("s.toml", 'title = "B # \\" Band"\n' + text)
    words = ("handout", "C major", "-s", str(path), "-o", str(tmp_path), "--note", '" } \\book', "--quiet")
    said = run_here(*words)
    paths = [Path(line) for line in said.succeeds()]
    assert said.err == []
    assert all(path.is_file() for path in paths)
    assert "Ada \\ $Quill % {" in text_of(paths[-1])


def test_when_one_page_fails_nothing_is_written(
    seated: Callable[..., Section], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    real = lilypond.engrave
    calls: list[str] = []

    def breaks_at_the_parts(files: dict[str, str], **options: object) -> object:
        outputs = options["outputs"]
        calls.append(str(outputs))
        if "cover" not in str(outputs):
            raise EngravingError("LilyPond stopped")
        return type("R", (), {"files": {"cover.pdf": one_page()}, "warnings": (), "overfull": False})()

    monkeypatch.setattr(lilypond, "engrave", breaks_at_the_parts)
    assert real is not lilypond.engrave
    rehearsal = rehearse(seated("flute, tuba"), RehearsalPlan(("concert F major",)))
    with pytest.raises(EngravingError, match="LilyPond stopped"):
        hand_out(HandoutOrder(out=tmp_path / "out"), rehearsal)
    assert calls
    assert not (tmp_path / "out").exists()


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (["C major"], "say who plays with one of"),
        (["C major", "-s", str(BAND), "--instruments", "flute"], "say who plays with one of"),
        (["-s", str(BAND)], "say what to play"),
        (["C major", "-s", str(BAND), "--keys", "many"], "unknown --keys"),
        (
            ["C major", "-s", str(BAND), "--test", "--own-range"],
            "each plays a test alone, in their own notes",
        ),
        (["buzzing", "-s", str(BAND)], "differ from instrument to instrument"),
        (["C major", "-s", str(BAND), "--levels", "easy"], "unknown level"),
        (["C major", "-s", str(BAND), "--format", "doc"], "unknown format"),
        (["C major", "-s", str(BAND), "--two-up", "--print", "large"], "half sheets stand upright"),
        (["C major", "-s", str(BAND), "--warm-up", "2"], "takes 4 to 60 minutes"),
        (["C mayor", "-s", str(BAND)], "nearest: "),
    ],
)
def test_what_cannot_be_done_is_said_in_one_line_and_nothing_is_written(
    arguments: list[str],
    words: str,
    tmp_path: Path,
) -> None:
    run_here("handout", *arguments, folder=tmp_path).fails(2, words)
    assert list(tmp_path.iterdir()) == []


def test_a_bad_section_file_writes_nothing(written: Callable[[str, str], Path], tmp_path: Path) -> None:
    path = written("s.toml", '[[chair]]\ninstrument = "flut"\n[[chair]]\ninstrument = "tubba"\n')
    said = run_here("handout", "C major", "-s", str(path), "-o", str(tmp_path / "out"))
    assert (said.code, len(said.err)) == (2, 2)
    assert not (tmp_path / "out").exists()


@pytest.mark.lilypond
@pytest.mark.parametrize("paper", ["letter", "a4"])
def test_half_sheets_stand_two_to_a_page_and_large_print_stays_whole(
    seated: Callable[..., Section], tmp_path: Path, paper: str
) -> None:
    section = seated("2 flute, 3 clarinet, tuba")
    reader = ReaderNeeds(staff=26)
    chairs = (*section.chairs[:2], replace(section.chairs[2], reader=reader))
    rehearsal = rehearse(
        replace(section, chairs=chairs), RehearsalPlan(("concert B-flat major, one octave",))
    )
    done = hand_out(HandoutOrder(out=tmp_path, paper=Paper.of(paper, "normal"), two_up=True), rehearsal)
    packet = PdfReader(done.paths[0])
    upright = [page.mediabox.width < page.mediabox.height for page in packet.pages]
    # Cover, score and the tuba's large print whole; then five half sheets on three pages.
    assert upright == [True] * 3 + [False] * 3
    assert "cut the landscape pages" in " ".join(packet.pages[0].extract_text().split())
    texts = [page.extract_text() for page in packet.pages[3:]]
    # Flute, flute, clarinet on the left; clarinet, clarinet on the right.
    assert [("Flute" in text, "Clarinet" in text) for text in texts] == [
        (True, True), (True, True), (False, True),
    ]  # fmt: skip
    (flute,) = PdfReader(next(path for path in done.paths if "flute" in path.name)).pages
    assert flute.extract_text().count("Date") == 2


def test_a_warm_up_and_a_scale_are_one_page_for_every_chair_on_paper_of_both_kinds(
    seated: Callable[..., Section],
) -> None:
    section = seated("flute, 2 clarinet, alto saxophone, trumpet, horn, trombone, tuba, snare drum, bassoon")
    for paper in ("letter", "a4"):
        order = HandoutOrder(paper=Paper.of(paper, "normal"))
        full, rehearsal = prepared(section, RehearsalPlan(("concert F major",)), order, 15)
        parts = lay_out_parts(rehearsal, Wording("Warm-up", "", "", "AB12"), full.paper)
        assert {one.sheet.pages for one in parts} == {1}
        assert {one.sheet.paper.staff for one in parts} <= {18.0, 17.1, 16.2, 16.0}
        large = lay_out_parts(rehearsal, Wording("Warm-up", "", "", "AB12"), Paper.of(paper, "large"))
        assert {one.sheet.paper.staff for one in large} == {28.0}, "who asks for large print gets it"


def test_binding_copies_and_bookmarks() -> None:
    data = bind("Band", [Leaf("Flute", one_page(2)), Leaf("Tuba", one_page(1), copies=3)])
    assert outline(data) == [("Flute", 0), ("Tuba", 2)]
    assert page_count(data) == 5
    assert PdfReader(BytesIO(data)).metadata.title == "Band"  # type: ignore[union-attr]


def test_two_sided_printing_begins_every_copy_on_a_new_sheet() -> None:
    data = bind("Band", [Leaf("Flute", one_page(3), 2), Leaf("Tuba", one_page(1))], two_sided=True)
    assert outline(data) == [("Flute", 0), ("Tuba", 8)]
    assert page_count(data) == 10


# Source: OWASP, "CSV Injection": cells that begin with one of these may be taken for formulas.
@pytest.mark.parametrize("name", ["=cmd()", "+1", "-1", "@SUM(A1)", "\tcmd"])
def test_a_spreadsheet_takes_no_name_for_a_formula(
    name: str, rehearsal_of_two: Rehearsal, tmp_path: Path
) -> None:
    chair = rehearsal_of_two.parts[0].chairs[0]
    seat = replace(chair, name=name, copies=1, person=name)
    given = handout.Given(seat, ("C", "=A1"), "a.pdf", 1)
    (row,) = csv.DictReader(export_given([given], tmp_path / "x.csv").read_text("utf-8").splitlines())
    texts = [cell for cell in row.values() if cell.strip("'") == name]
    assert texts == [f"'{name}"] * 2  # of the player and of the chair


def test_the_same_handout_has_the_same_code_and_another_one_another(
    pages: Callable[..., Rehearsal], tmp_path: Path
) -> None:
    def code(*phrases: str, names: str = "flute, tuba", **plan: object) -> str:
        return hand_out(HandoutOrder(out=tmp_path, formats=("json",)), pages(names, *phrases, **plan)).code

    first = code("concert D-flat major")
    assert code("concert D-flat major") == first
    others = [
        code("concert D-flat major", keys="sharps"),
        code("concert C major"),
        code("concert D-flat major", names="flute"),
    ]
    assert len({first, *others}) == 4


@pytest.fixture
def rehearsal_of_two(pages: Callable[..., Rehearsal]) -> Rehearsal:
    return pages("flute, tuba", "concert C major")
