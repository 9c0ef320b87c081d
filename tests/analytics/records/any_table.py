"""Tables of any text under mappings of any shape: what slips into exports, and what does not."""

from __future__ import annotations

from hypothesis import strategies as st

from analytics.records.mapping.fields import SHAPES, Field, Shape
from analytics.records.mapping.meanings import meanings
from analytics.records.mapping.model import SourceMapping
from tests.analytics.records.mapped_folder import Export, as_csv

BOATS = [
    "Penny Wren",
    "Penny Wren",
    "Penny Wren",
    "Penny Wren",
    "penny wren",
    "Quiet Otter",
    "Tin Lantern",
    "H1",
    "",
]

_CELLS = {
    "text": ["", "x", "J1", "J2", "S1", "=1+1", "30 mm", "renewed, was leaking", "two\nlines"],
    "date": [
        *("03/04/2019", "05/04/2019", "25/04/2019", "2020-06-01", "2016-06-01", "2018", "05/2017"),
        *("spring 18", "n/a", "?", "original", "01/01/1900", "43586", "03/04/19", "31/02/2019"),
        *("still in", "2014..2016", "11.6.2021", "1/2/2024", "2031-01-01", "", ""),
    ],
    "number": ["", "12", "1.200", "1.200,5", "1,200.5", "-3", "1e400", "eleven", "2", "9" * 400],
    "size": ["", "30 mm", '1 1/4"', "M30"],
    "kind": [
        *(
            "bellows",
            "bellows",
            "bellows",
            "bellows",
            "bellows",
            "shaft bellows",
            "cutless bearing",
            "exhaust bellows",
            "seal",
            "lip seal",
        ),
        *("", "impeller", "belows", "heart", "seal P", "bellows both sides"),
    ],
    "position": [*[""] * 8, "P", "stbd", "port", "both", "1", "2", "single", "P?", "x"],
    "reason": ["", "leaking", "no leak", "by age", "line round prop", "qqq", "sold", "warranty"],
    "action": [
        *(
            "fitted",
            "replaced",
            "removed",
            "fitted",
            "replaced",
            "removed",
            "inspected",
            "greased",
            "moved",
            "leaking",
            "qqq",
            "",
        ),
        *("not replaced", "new engine", "new hour meter", "sold", "bought", "refurbished"),
    ],
    "condition": ["", "sound", "worn", "leaking", "no leak", "qqq"],
    "found": ["", "ashore", "afloat", "qqq"],
    "lay_up": ["", "ashore", "afloat", "qqq"],
    "water": ["", "salt", "qqq"],
}
_ODD = st.text(st.sampled_from("aé0./-,;= \t\n\"'\x1b‮１"), max_size=6)
_USUAL = {
    "lives": (["fitted_on", "removed_on", "reason"], ["position", "found", "last_sound_on"]),
    "events": (["on", "action", "position"], ["on", "action", "reason", "job"]),
}
"""Fields that most lists of a shape have."""


def _cell(field: Field) -> st.SearchStrategy[str]:
    usual = BOATS if field.name in ("boat", "to_boat", "was_named") else _CELLS[field.holds]
    return st.integers(0, 11).flatmap(lambda odd: _ODD if odd == 11 else st.sampled_from(usual))


@st.composite
def tables(draw: st.DrawFn, shape: Shape, file: str, most_rows: int = 8) -> Export:
    """An export of a shape: some of its fields, one header each, and rows of any text."""
    names = [field.name for field in shape.fields]
    chosen = set(draw(st.sets(st.sampled_from(names), max_size=6)))
    for group in shape.needed:
        chosen.add(draw(st.sampled_from(group)))
    if shape.name in _USUAL and draw(st.integers(0, 7)):
        chosen |= {"boat", *draw(st.sampled_from(_USUAL[shape.name]))}
    fixed: dict[str, str] = {}
    if draw(st.integers(0, 4)) == 4:
        name = draw(st.sampled_from(sorted(chosen)))
        fixed[name] = draw(_cell(shape.by_name[name])) or "x"
    words = {}
    for name in sorted(chosen):
        holds = shape.by_name[name].holds
        if (allowed := meanings(holds)) and draw(st.integers(0, 3)) == 3:
            words[name] = {"qqq": draw(st.sampled_from(allowed))}
    columns = {name: name.upper() for name in sorted(chosen - fixed.keys())}
    header = [*columns.values(), "Other"]
    row = st.tuples(*(_cell(shape.by_name[name]) for name in columns), st.just("o"))
    rows = [list(cells) for cells in draw(st.lists(row, max_size=most_rows))]
    short = draw(st.integers(0, 9))
    if rows and short == 0:
        rows[0] = rows[0][:1]
    if rows and short == 1:
        rows[0] = [*rows[0], "beyond"]
    source = SourceMapping(
        file,
        shape.name,
        headers=tuple(header),
        columns=columns,
        fixed=fixed,
        words=words,
        order=draw(st.sampled_from(["", "", "day", "month"])),
        as_built=draw(st.booleans()),
    )
    return Export(file, as_csv([header, *rows]), source)


@st.composite
def folders(draw: st.DrawFn) -> list[Export]:
    """A list of lives or of jobs, and up to three other exports."""
    about = draw(st.sampled_from(["lives", "events", "lives and events"]))
    shapes = about.split(" and ")
    shapes += draw(st.lists(st.sampled_from(sorted(SHAPES)), max_size=3))
    return [
        draw(tables(SHAPES[shape], f"{number} {shape}.csv")) for number, shape in enumerate(shapes)
    ]
