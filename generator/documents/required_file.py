"""Reads a required list: what a board, district or teacher asks for, as data.

One TOML file a list, in shared/lists or anywhere. At the top:

    title        what it is
    source       where the requirements were read
    year         of the source, such as 2015 or "2014-15"
    instruments  whom it is for; left out = every instrument
    order        "as listed" where the order is part of the requirement, else "any" (usual)
    note         one line for the player
    phrases      2: its phrases are in today's words, in which "G dominant seventh" is the chord on G; left out = in the
                 older ones, in which it is the chord of the key of G

Then one [[item]] for each requirement; all but the phrase may stand at the top as well, for every item:

    phrase       any request, in written keys or with "concert"
    octaves      a span;  complete = true: complete octaves only, fewer where the instrument has no more
    low, high    lowest and highest written note: an exercise is asked for in the register that lies between
    rhythm       a rhythm
    up, down     articulation of the rising and of the falling half; up alone counts for both
    articulations  each of these is asked for, one at a time
    tempo        beats a minute, at the least; by instrument: { others = 100, trombone = 72 }
    unit         note value that the tempo counts (usual: quarter)
    memory       true: from memory
    instruments  whom this item is for
"""

from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

from generator.catalogue.tables import Catalogue
from generator.documents import fields
from generator.documents.fields import Field
from generator.documents.marked_file import MarkedFile
from generator.documents.reader import Values, read_head, read_tables
from generator.documents.required_list import OTHERS, RequiredItem, RequiredList
from generator.exercise.articulation import Articulation
from generator.exercise.request import Request
from generator.exercise.routine import Routine
from generator.phrase.vocabulary import UNIT_NAMES
from generator.phrase.ways import PHRASES, Ways, words_of_file

ORDERS = ("any", "as listed")
NEEDED = "a text in quotes is needed"
HEAD_FIELDS = (
    Field("title", fields.text, "", NEEDED),
    Field("source", fields.text, "", NEEDED),
    Field("year", fields.year, "", 'a required list needs the year of its source, like 2015 or "2014-15"'),
    Field("order", fields.among(ORDERS), ORDERS[0]),
    Field("note", fields.text, ""),
    Field("phrases", fields.whole(1, PHRASES), 1),
)
WHOM = Field("instruments", fields.instruments, ())
SHARED_FIELDS = (
    Field("octaves", fields.span),
    Field("complete", fields.flag, False),
    Field("low", fields.pitch),
    Field("high", fields.pitch),
    Field("rhythm", fields.dressing("rhythm")),
    Field("up", fields.dressing("articulation")),
    Field("down", fields.dressing("articulation", single=True)),
    Field("articulations", fields.dressings("articulation", '["all tongued", "all slurred"]'), ()),
    Field("tempo", fields.tempos, ()),
    Field("unit", fields.among(UNIT_NAMES), "quarter"),
    Field("memory", fields.flag, False),
)


def read_list(path: Path, catalogue: Catalogue) -> RequiredList:
    """Read a list.

    Raises:
        BadFileError: every mistake, one a line, with line number, reason and nearest name.
        OutputError: the file cannot be read.
    """
    file = MarkedFile.read(path)
    head = read_head(file, (*HEAD_FIELDS, WHOM, *SHARED_FIELDS), ("item",), catalogue)
    items = tuple(_items(file, head, catalogue))
    file.refuse()
    return RequiredList(
        name=path.stem,
        title=head["title"],
        source=head["source"],
        year=head["year"],
        instruments=head["instruments"],
        ordered=head["order"] == ORDERS[1],
        note=head["note"],
        items=items,
    )


def _items(file: MarkedFile, head: Values, catalogue: Catalogue) -> Iterator[RequiredItem]:
    """The items; what stands at the top of the file counts for each that does not say it itself."""
    shared = [replace(field, default=head[field.name]) for field in SHARED_FIELDS]
    phrase = fields.phrase_in(Ways(words=words_of_file(head["phrases"])))
    item_fields = (Field("phrase", phrase, needed=NEEDED), *shared, WHOM)
    nothing = "it asks for nothing; write an [[item]] with a phrase"
    for place, row in read_tables(file, "item", item_fields, catalogue, needed=nothing):
        if not row["phrase"]:
            continue
        said, requests = row["phrase"]
        for request in requests:
            tempos, unit = row["tempo"], row["unit"]
            if request.tempo:
                tempos = ((OTHERS, request.tempo.bpm),)
                unit = next(name for name, value in UNIT_NAMES.items() if value == request.tempo.unit)
            yield RequiredItem(
                request=_dressed(replace(request, tempo=None, goal=None, step=None), row, catalogue),
                tempos=tempos,
                unit=unit,
                memory=row["memory"],
                complete=row["complete"],
                low=row["low"],
                high=row["high"],
                articulations=row["articulations"],
                instruments=row["instruments"],
                phrase=said,
                line=file.line(place, "phrase"),
            )


def _dressed(request: Request, row: Values, catalogue: Catalogue) -> Request:
    """With the span, rhythm and articulations that stand beside the phrase."""
    if isinstance(request.form, Routine):
        return request  # it has none of these; what stands at the top of the file is for the other items
    up, down = row["up"], row["down"]
    dressed = replace(
        request,
        span=row["octaves"] or request.span,
        rhythm=row["rhythm"] or request.rhythm,
        articulation=up or request.articulation,
        articulation_down=(down if down != up else None) or request.articulation_down,
    )
    # The rhythm that comes unasked is not said, so that headings stay short.
    figure = request.figure or catalogue.straight
    worn = (dressed.articulation, dressed.articulation_down)
    own = any(isinstance(one, Articulation) and one.rhythm for one in worn)
    return replace(dressed, rhythm=None) if dressed.rhythm == figure.rhythm and not own else dressed
