"""studio.toml and rosters as studios: who is read, who is left out, and how pupils are told apart."""

import pytest

from generator.documents.studio import folder_of
from generator.documents.studio_file import read_studio
from generator.errors import BadFileError, RequestError
from generator.files.text import is_bare_name, slug

STUDIO = """\
title = "Harbour Street studio"
minutes = 20
[[pupil]]
name = "Ada Quill"
instrument = "clarinet"
level = "first notes"
[[pupil]]
name = "Bo Fenn"
instrument = "alto sax"
keep = ["all keys, major", "all keys, major", "chromatic on G"]
week = "E-flat major in thirds"
minutes = 35
[[pupil]]
name = "Zoë Märl"
instrument = "violin"
low = "G3"
high = "D6"
reader = { staff = 26 }
"""


@pytest.fixture
def studio(tmp_path):
    def written(text):
        path = tmp_path / "studio.toml"
        path.write_text(text, "utf-8")
        return path

    return written


def test_what_stands_in_the_file_is_read(studio):
    found = read_studio(studio(STUDIO))
    assert (found.title, found.refused, found.remarks) == ("Harbour Street studio", (), ())
    ada, bo, zoe = found.pupils
    assert (ada.instrument, ada.level, ada.minutes) == ("clarinet in B-flat", "first notes", 20)
    assert (bo.instrument, bo.minutes) == ("alto saxophone", 35)
    assert [keep.phrase for keep in bo.keep] == ["all keys, major", "chromatic on G"]
    assert [(keep.phrase, keep.dressing.every) for keep in bo.week] == [("E-flat major in thirds", 1)]
    assert (zoe.low, zoe.high, zoe.reader.staff) == ("G3", "D6", 26)
    assert [one.label for one in found.pupils] == ["Ada Quill", "Bo Fenn", "Zoë Märl"]


@pytest.mark.parametrize(
    ("row", "words"),
    [
        ('instrument = "clarinett in C-flat"', ["line 5", "instrument"]),
        ('instrument = "flute"\nlevel = "grade nine"', ["line 6", "level"]),
        ('instrument = "flute"\nkeep = ["all kees, major"]', ["line 6", "kees"]),
        ('instrument = "flute"\nminuts = 5', ["line 6", "minutes"]),
        ('instrument = "flute"\nlow = "C9"', ["line 6", "lies above"]),
        ('instrument = "flute"\nplan = "nowhere.toml"', ["line 6", "nowhere.toml"]),
        ('instrument = "flute"\nplan = "a.toml"\nkeep = ["C major"]', ["line 7", "in place of a plan"]),
        ('instrument = "flute"\nfolder = "../../etc"', ["line 6", "folder"]),
        ("minutes = 10", ["instrument: a pupil needs one"]),
    ],
)
def test_a_pupil_with_a_mistake_stops_nobody_else(studio, tmp_path, row, words):
    (tmp_path / "a.toml").write_text('phrases = 2\n[[keep]]\nphrase = "C major"\n', "utf-8")
    text = f'title = "Studio"\n\n[[pupil]]\nname = "Cy Holt"\n{row}\n[[pupil]]\nname = "Di"\ninstrument = "horn"\n'
    found = read_studio(studio(text))
    assert [one.name for one in found.pupils] == ["Di"]
    (one,) = found.refused
    assert one.name == "Cy Holt"
    for word in words:
        assert word in one.reason
    assert "\n" not in one.words
    with pytest.raises(RequestError, match=r"Cy Holt: studio\.toml"):
        found.find("cy holt")


def test_a_file_without_one_good_pupil_is_refused_whole(studio):
    with pytest.raises(BadFileError, match="line 3"):
        read_studio(studio('[[pupil]]\nname = "A"\ninstrument = "no such"\n'))
    with pytest.raises(BadFileError, match="pupil"):
        read_studio(studio('title = "Empty"\n'))


def test_two_of_one_name_are_told_apart_and_nobodys_folder_depends_on_the_others(studio):
    text = "".join(
        f'[[pupil]]\nname = "{name}"\ninstrument = "{instrument}"\n'
        for name, instrument in (
            ("Ada Quill", "flute"),
            ("ada  quill", "tuba"),
            ("Bo", "flute"),
            ("Bo", "flute"),
        )
    )
    found = read_studio(studio(text))
    assert [one.label for one in found.pupils] == [
        "Ada Quill (flute)",
        "ada quill (tuba)",
        "Bo (flute)",
        "Bo (flute) 2",
    ]
    folders = [one.folder for one in found.pupils]
    assert folders == ["ada-quill-flute", "ada-quill-tuba", "bo-flute", "bo-flute-2"]
    (told,) = found.remarks
    assert "folder" in told
    alone = read_studio(studio('[[pupil]]\nname = "Ada Quill"\ninstrument = "flute"\n'))
    assert [(one.label, one.folder) for one in alone.pupils] == [("Ada Quill", "ada-quill-flute")]
    with pytest.raises(RequestError, match="Ada Quill \\(flute\\), ada quill \\(tuba\\)"):
        found.find("ada")
    assert found.find("Ada Quill (TUBA)").folder == "ada-quill-tuba"


@pytest.mark.parametrize(
    "name",
    [
        "李雷",
        "Zoë",
        "Zoe",
        "Zo\u0065\u0308",
        "O'Brien",
        "../../etc/passwd",
        "con",
        "A" * 300,
        "🎺",
        "a/b\\c:d",
        "..",
        "Ωmega",
    ],
)
def test_folders_are_plain_names_on_every_system(name):
    folder = folder_of(name, "flute")
    assert slug(folder, 80) == folder
    assert is_bare_name(f"{folder}.pdf")


def test_names_that_look_alike_in_plain_letters_have_their_own_folders():
    names = ["Zoe", "Zoë", "Zöe", "李雷", "韩梅", "OBrien", "O'Brien"]
    assert len({folder_of(name, "flute") for name in names}) == len(names)
    # One letter with its accent and two signs that make the same are one name (Unicode, canonical equivalence).
    assert folder_of("Zoe\u0308", "flute") == folder_of("Zoë", "flute")


def test_who_types_without_accents_finds_the_name(studio):
    assert read_studio(studio(STUDIO)).find("zoe").label == "Zoë Märl"


def test_a_roster_is_a_studio(tmp_path):
    path = tmp_path / "roster.csv"
    path.write_text(
        "Name;Instrument;Level\nAda Quill;1st Clarinet;beginner\nBo Fenn;kazoo;\nÉli Roc;Alto Sax;\n", "utf-8"
    )
    found = read_studio(path)
    assert [(one.name, one.instrument, one.level) for one in found.pupils] == [
        ("Ada Quill", "clarinet in B-flat", "first notes"),
        ("Éli Roc", "alto saxophone", "standard"),
    ]
    assert "Bo Fenn" in found.refused[0].words


def test_a_plan_names_the_instrument_where_the_studio_does_not(studio, tmp_path):
    plan = 'player = "X"\ninstrument = "oboe"\nphrases = 2\n[[keep]]\nphrase = "C major"\n'
    (tmp_path / "oboe.toml").write_text(plan, "utf-8")
    found = read_studio(studio('plan = "oboe.toml"\n[[pupil]]\nname = "Ed"\n'))
    assert found.pupils[0].instrument == "oboe"
