"""Names of people in remarks.

Every name is invented. Telephone numbers are of the ranges set aside for fiction or are no
country's (555-01xx in North America, from memory); addresses end in .invalid (RFC 2606 and 6761,
from memory). How people write names, and which words are none: common practice, no source.
"""

import unicodedata

import pytest
from hypothesis import assume, example, given
from hypothesis import strategies as st

from analytics.papers.masking import MASK, masked, people_in

BOATS = frozenset(["Penny Wren", "Quiet Otter", "Swift 43", "North Quay"])
PEOPLE = people_in(["Tamsin Orrery", "Quill, Bartholomew", "Jan van der Hulk / Wim O'Tarn", "KV"])


def test_people_of_a_column() -> None:
    cells = [
        "Tamsin Orrery",
        "Quill, Bartholomew",
        "Bo Tarn & Ida Fell; Mr Sedge",
        "dabney",
        "JORUN VALE",
        "KV",
        "Mechanic Ruben",
        "Jan van der Hulk",
    ]
    assert people_in(cells) == {
        "Tamsin Orrery",
        *("Bartholomew Quill", "Bartholomew", "Quill"),
        *("Bo Tarn", "Ida Fell", "Sedge"),
        *("Dabney", "Jorun Vale", "KV", "Ruben", "Jan van der Hulk"),
    }


NOBODY = """
yard,Yard / diver,Owner,n/a,Tarn Marine Ltd,Bucht GmbH,team 3,x@y.invalid,-,K,2024-05-01,van
seal dripping again at the stern gland"""


@pytest.mark.parametrize("cell", ["", " ", *NOBODY.replace("\n", ",").split(",")])
def test_what_is_nobody(cell: str) -> None:
    assert people_in([cell]) == frozenset()


@pytest.mark.parametrize(
    ("text", "shown"),
    [
        # Known people, however they are written.
        ("seen by Tamsin Orrery, dry", "seen by (name), dry"),
        ("TAMSIN ORRERY: dry", "(name): dry"),
        ("tamsin orrery says dry", "(name) says dry"),
        ("Orrery, Tamsin", "(name)"),
        ("T. Orrery saw it", "(name) saw it"),
        ("T Orrery saw it", "(name) saw it"),
        ("Orrery T. saw it", "(name). saw it"),
        ("Orrery's job", "(name)'s job"),
        ("checked, T.O.", "checked, (name)."),
        ("dry (TO)", "dry ((name))"),
        ("changed by orrery", "changed by (name)"),
        ("O'Tarn and J. van der Hulk", "(name) and (name)"),
        ("KV 12 May", "(name) 12 May"),
        # Whatever is small is a word.
        ("an orrery of worn quill clips, to kv", "an orrery of worn quill clips, to kv"),
        ("TO BE DONE", "TO BE DONE"),
        # Nobody's list.
        ("Mr Sedge says so", "Mr (name) says so"),
        ("mrs. Ida Fell", "mrs. (name)"),
        ("Dr Green Hose checked", "Dr (name) Hose checked"),
        ("Capt. Bo Tarn", "Capt. (name)"),
        ("captain Sedge / Skipper Fell", "captain (name) / Skipper (name)"),
        ("von Herrn Meier Dichtung geprüft", "von Herrn (name) Dichtung geprüft"),
        ("Frau Sedge, M. Fell, Mme Tarn", "Frau (name), M. (name), Mme (name)"),
        ("Sr. Vale y Sra. Fell", "Sr. (name) y Sra. (name)"),
        ("fitted by Bo Tarn. New seal", "fitted by (name). New seal"),
        ("fitted by: B. Tarn", "fitted by: (name)"),
        ("BY BO TARN WITH NEW SEAL", "BY (name) WITH NEW SEAL"),
        ("par Jean-Luc Le Vale", "par (name)"),
        ("por Ida de Fell", "por (name)"),
        ("with Bo, per Ida", "with (name), per (name)"),
        ("ask bo.tarn@boats.invalid, x", "ask (name), x"),
        ("call 555-0134 9921", "call (name)"),
        ("+1 (212) 555-0134", "(name)"),
        ("212-555-0134 or (212) 555-0134", "(name) or (name)"),
        ("0044 20 7946 0001", "(name)"),
        ("01632 960 123", "(name)"),
        ("01 99 00 12 34", "(name)"),
        # Boats and places, and ordinary words where a name could stand.
        ("towed by Penny Wren", "towed by Penny Wren"),
        ("towed by PENNY WREN", "towed by PENNY WREN"),
        ("Skipper Quiet Otter reports", "Skipper Quiet Otter reports"),
        ("by Swift 43 at North Quay", "by Swift 43 at North Quay"),
        ("done by Yard, by Hand, by Friday, by May", "done by Yard, by Hand, by Friday, by May"),
        ("von Welle gelöst, with Grease", "von Welle gelöst, with Grease"),
        ("replaced with PQR kit", "replaced with PQR kit"),
        # Numbers that nobody dials.
        ("on 01.02.2023 14:30, 01/02/2023, 2023-01-02", None),
        ("1234.5 h, 25-30 mm, 1,250.00, 3000 rpm, M 12 bolt, M12", None),
        ("p/n 0123456789, serial no. 0044123456789", None),
        ("bled @ 3 bar, 10 ms Delay", None),
    ],
)
def test_remarks(text: str, shown: str | None) -> None:
    assert masked(text, PEOPLE, BOATS) == (text if shown is None else shown)


def test_what_it_cannot_catch_is_as_its_documentation_says() -> None:
    for text in ("Tamsin says dry", "Sedge says dry", "bo tarn says dry", "done TO"):
        assert masked(text, PEOPLE, BOATS) == text


def test_a_longer_name_goes_before_a_shorter_one() -> None:
    people = frozenset(["Ida Wren", "Penny"])
    keep = frozenset(["Penny Wren", "Wren"])
    assert masked("Ida Wren on Penny Wren, Penny on Wren", people, keep) == (
        "(name) on Penny Wren, (name) on Wren"
    )


def test_letters_with_marks_however_they_are_stored() -> None:
    people = people_in([unicodedata.normalize("NFD", "Zoë Müllak")])
    for form in ("NFC", "NFD"):
        text = unicodedata.normalize(form, "von Zoë Müllak. Müllak war da")
        assert masked(text, people) == "von (name). (name) war da"


WORDS = st.text(st.sampled_from("abcdeëlmorst"), min_size=2, max_size=8).map(str.capitalize)
NAMES = st.builds(" ".join, st.lists(WORDS, min_size=1, max_size=3))
REMARKS = st.text(st.sampled_from("abdeosy ABTJ.,-'(@)/+0123456789\n\u0308"), max_size=40)
PIECES = st.one_of(
    REMARKS, NAMES, st.sampled_from([" by ", " Mr ", "M. ", " with ", "von ", "tel ", MASK, " "])
)


@given(st.sets(NAMES, min_size=1, max_size=4), st.lists(PIECES, max_size=5), st.data())
def test_no_learnt_name_survives(names: set[str], around: list[str], data: st.DataObject) -> None:
    people = people_in(names)
    assume(people)
    name = data.draw(st.sampled_from(sorted(people)))
    for written in (name, name.upper()) if len(name) > 3 else (name,):
        text = " ".join([*around, written, *reversed(around)])
        shown = masked(text, people)
        assert f" {written} " not in f" {shown} "
        assert MASK in shown


@given(NAMES, st.data())
def test_no_form_of_a_learnt_name_survives(name: str, data: st.DataObject) -> None:
    people = people_in([name])
    assume(people == {name} and " " in name and len(name.split()[-1]) >= 4)
    first, *_, surname = name.split()
    form = data.draw(
        st.sampled_from(
            [surname, f"{first[0]}. {surname}", f"{surname}, {name.removesuffix(surname).strip()}"]
        )
    )
    assert masked(f"dry, {form}: ok", people) == f"dry, {MASK}: ok"


@given(st.lists(PIECES, max_size=8), st.sets(NAMES, max_size=3), st.sets(NAMES, max_size=3))
@example(["by ", "Ida ", "@b.invalid"], set(), set())
def test_masking_twice_is_masking_once(pieces: list[str], people: set[str], keep: set[str]) -> None:
    once = masked("".join(pieces), frozenset(people), frozenset(keep))
    assert masked(once, frozenset(people), frozenset(keep)) == once


@given(st.text())
def test_a_text_without_capitals_digits_and_at_is_left_alone(text: str) -> None:
    assume(
        not any(mark.isupper() or mark.istitle() or mark.isdigit() or mark == "@" for mark in text)
    )
    assert masked(text) == text
    # Nor does a known surname take small letters away.
    assert masked(text, frozenset(["Sedge"])) == text


@given(st.sets(NAMES, min_size=1, max_size=3), st.lists(PIECES, max_size=5), st.data())
def test_boats_and_places_survive(boats: set[str], around: list[str], data: st.DataObject) -> None:
    boat = data.draw(st.sampled_from(sorted(boats)))
    assume("@" not in "".join(around))
    before = " by " if data.draw(st.booleans()) else " ; "
    text = "; ".join(around) + before + boat + " ; " + "; ".join(around)
    assert f" {boat} " in masked(text, frozenset(), frozenset(boats))
