"""Requests that name many keys or degrees become single ones in a steady order."""

import pytest

from generator.catalogue.tables import Catalogue
from generator.exercise.request import Request, expand_keys, key_set
from generator.theory.pitch import NoteName


def words(text: str) -> list[str]:
    return text.split()


def test_all_keys_go_round_the_circle_of_fourths(names: Catalogue) -> None:
    # Source: the usual drill order C F B-flat E-flat A-flat D-flat G-flat B E A D G (leatham.com.au).
    tonics = key_set(names.forms.find("major"), "all keys", "usual")
    assert [t.name for t in tonics] == words("C F Bb Eb Ab Db Gb B E A D G")


def test_fifteen_keys_under_both_names(names: Catalogue) -> None:
    # Source: Orange County (New York) senior list: all fifteen major scales.
    tonics = key_set(names.forms.find("major"), "all keys", "both")
    assert sorted(t.name for t in tonics) == sorted(words("C F Bb Eb Ab Db C# Gb F# B Cb E A D G"))


def test_sharp_and_flat_keys_part_the_circle(names: Catalogue) -> None:
    for form in ("major", "harmonic minor"):
        row = names.forms.find(form)
        sharps = key_set(row, "all sharp keys", "sharps")
        flats = key_set(row, "all flat keys", "flats")
        assert all(row.signature_on(t) > 0 for t in sharps)
        assert all(row.signature_on(t) < 0 for t in flats)
        # Source: seven sharp keys and seven flat keys, from one sign to seven.
        assert sorted(row.signature_on(t) for t in sharps) == [1, 2, 3, 4, 5, 6, 7]
        assert sorted(row.signature_on(t) for t in flats) == [-7, -6, -5, -4, -3, -2, -1]


@pytest.mark.parametrize(
    ("form", "count"),
    [
        ("whole-tone", 2),
        ("octatonic, half-whole", 3),
        ("chromatic", 1),
        ("augmented arpeggio", 4),
        ("major", 12),
    ],
)
def test_all_keys_print_each_collection_once(form: str, count: int, names: Catalogue) -> None:
    row = names.forms.find(form)
    assert len(expand_keys(Request(row, key_set="all keys"), row)) == count


def test_every_degree_of_every_key(names: Catalogue) -> None:
    row = names.forms.find("major pentatonic")
    request = Request(row, keys=(NoteName.parse("C"), NoteName.parse("D")), degree="every")
    singles = expand_keys(request, row)
    assert [(s.keys[0].name, s.degree) for s in singles] == [(k, d) for k in "CD" for d in range(5)]
    assert all(s.single for s in singles)
