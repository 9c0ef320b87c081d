"""Names of parts. What they mean to the trade is common practice, no source."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from analytics.records.kinds import KINDS
from analytics.records.vocabulary import kinds
from analytics.records.vocabulary.kinds import kind_of


@pytest.mark.parametrize(
    ("text", "kind"),
    [
        *((text, "bellows") for text in ("bellows", "Shaft bellows 40mm", "face seal bellows")),
        *(
            (text, "bellows")
            for text in ("Bellows, shaft seal", "Faltenbalg", "soufflet", "fuelle")
        ),
        *((text, "bellows") for text in ("soffietto", "rubber gaiter", "seal boot")),
        ("port engine bellows", "bellows"),
        *((text, "face_seal") for text in ("face seal", "carbon face", "mechanical seal")),
        *(
            (text, "face_seal")
            for text in ("face ring set", "Gleitringdichtung", "tenuta meccanica")
        ),
        *((text, "lip_seal") for text in ("lip seal x2", "joint à lèvre", "Wellendichtring")),
        *((text, "packed_gland") for text in ("stuffing box", "packing", "presse-étoupe")),
        *(
            (text, "packed_gland")
            for text in ("Stopfbuchsenpackung", "prensaestopas", "premistoppa")
        ),
        *((text, "gland_hose") for text in ("stern gland hose", "stuffing box hose", "glandslang")),
        *((text, "cutless_bearing") for text in ("Cutless", "cutlass bearing", "shaft bearing")),
        *(
            (text, "cutless_bearing")
            for text in ("stave bearing", "P-bracket bearing", "Wellenlager")
        ),
        *((text, "cutless_bearing") for text in ("bague d'arbre", "cojinete del eje")),
        ("schroefaslager", "cutless_bearing"),
        *((text, "cutless_bearing") for text in ("bague hydrolube", "hydrolube (chaise)")),
        *((text, "cutless_bearing") for text in ("bague hydro", "strut brg", "P bracket brg")),
        *(
            (text, "lip_seal")
            for text in ("joint à lèvres", "joint lèvres", "joint d'arbre à lèvre")
        ),
        *((text, "gland_hose") for text in ("shaft log hose", "manchette de presse-étoupe")),
        *((text, "bellows") for text in ("dripless bellows", "dripless seal bellows")),
        ("bellows & clamps", "bellows"),
        ("cutless replaced, gearbox oil changed", "cutless_bearing"),
        ("oil changed in gearbox, bellows renewed as well", "bellows"),
    ],
)
def test_clear_names(text: str, kind: str) -> None:
    read = kind_of(text)
    assert (read.kind, read.certain, read.foreign) == (kind, True, "")


@pytest.mark.parametrize("name", list(KINDS))
def test_names_of_the_catalogue(name: str) -> None:
    assert kind_of(name).kind == name
    assert kind_of(name).certain


def test_no_kind_outside_the_catalogue() -> None:
    assert set(kinds._CATALOGUE) == set(KINDS)


@pytest.mark.parametrize(
    ("text", "kind"),
    [
        ("gaiter", "bellows"),
        ("boot", "bellows"),
        ("bearing", "cutless_bearing"),
        ("stern gland", "packed_gland"),
        ("belows", "bellows"),
        ("bellws", "bellows"),
        ("cutlss bearing", "cutless_bearing"),
        ("bellows?", "bellows"),
        ("bellows clamps", "bellows"),
        ("hose for packed gland", "gland_hose"),
        ("seal", ""),
        ("shaft seal", ""),
        ("dripless seal", "face_seal"),
        ("dripless", "face_seal"),
        ("manchette PE", "gland_hose"),
        ("Wellendichtung", ""),
        ("packing list", ""),
        ("boot stripe", ""),
        ("parking", ""),
        ("B", ""),
        ("", ""),
    ],
)
def test_names_to_ask_about(text: str, kind: str) -> None:
    read = kind_of(text)
    assert (read.kind, read.certain) == (kind, False)


@pytest.mark.parametrize(
    "text",
    [
        "exhaust bellows",
        "wet exhaust bellows",
        "bellows for exhaust",
        "sterndrive bellows",
        "Outdrive bellows",
        "saildrive bellows",
        "rudder bearing",
        "bearing, lower, rudder",
        "rudder stuffing box",
        "engine bearing",
        "wheel bearing",
        "steering seal",
        "hatch seal",
        "gearbox seal",
        "raw water pump mechanical seal",
        "Ruderlager",
        "porthole seal",
    ],
)
def test_parts_of_something_else(text: str) -> None:
    read = kind_of(text)
    assert read.kind == ""
    assert read.certain
    assert read.foreign


def test_several_parts_in_one_text() -> None:
    read = kind_of("replaced bellows and cutless")
    assert (read.kinds, read.certain) == (("bellows", "cutless_bearing"), False)
    read = kind_of("cutless and rudder bearing")
    assert (read.kind, read.certain, read.foreign) == ("cutless_bearing", False, "")


@pytest.mark.parametrize(
    ("text", "position"),
    [("port seal", "port"), ("both cutless", "both"), ("stbd bellows", "starboard")],
)
def test_side_beside_the_part(text: str, position: str) -> None:
    read = kind_of(text)
    assert read.position == position
    assert read.both == (position == "both")


def test_seals_of_both_sides() -> None:
    assert kind_of("seals p&s").both


def test_words_that_only_look_like_a_part_are_not_mended() -> None:
    for word in ("packaging", "wearing", "hearing", "follows", "cutlery", "fellows"):
        assert kind_of(word).kind == "", word


@given(st.text())
def test_no_text_raises(text: str) -> None:
    assert kind_of(text).kind in ("", *KINDS)


@given(
    st.sampled_from(("exhaust", "rudder", "gearbox", "sterndrive", "hatch", "steering")),
    st.sampled_from(("bellows", "seal", "lip seal", "bearing", "bearings", "gaiter", "packing")),
)
def test_what_stands_before_decides(place: str, part: str) -> None:
    assert kind_of(f"{place} {part}").kind == ""
    assert kind_of(f"{place} {part}").foreign == f"{place} {part}"


@pytest.mark.parametrize(
    ("text", "kind"),
    [
        ("Engine mount renewal: new port dripless bellows fitted while in there", "bellows"),
        ("Rudder bearing fine. Repacked shaft stuffing box", "packed_gland"),
        ("cutless replaced, rudder bearing ok", "cutless_bearing"),
        ("New shaft seal bellows while rudder bearing was renewed", "bellows"),
        ("Water pump replaced; stuffing box repacked", "packed_gland"),
        ("Rudder bearing worn; new cutless as well", "cutless_bearing"),
    ],
)
def test_part_that_is_worked_on_beside_another(text: str, kind: str) -> None:
    read = kind_of(text)
    assert (read.kind, read.certain, read.foreign) == (kind, True, "")


@pytest.mark.parametrize(
    ("text", "kind"),
    [
        ("rudder, cutless", "cutless_bearing"),
        ("Rudder bearing replaced, checked cutless", "cutless_bearing"),
        ("Replaced cutless and rudder bearing", "cutless_bearing"),
        ("Rudder bush worn; new cutless as well", "cutless_bearing"),
        ("Impeller changed, lip seal checked", "lip_seal"),
        ("gearbox, bellows replaced", "bellows"),
        ("Sterndrive replaced bellows", "bellows"),
        ("Exhaust job: new bellows fitted with clamps", "bellows"),
        ("exhaust hose and stern gland hose replaced", "gland_hose"),
    ],
)
def test_part_that_may_only_stand_beside_the_work(text: str, kind: str) -> None:
    read = kind_of(text)
    assert (read.kind, read.certain, read.foreign) == (kind, False, "")


@pytest.mark.parametrize(
    "text",
    [
        "Repack rudder stuffing box, both rudders",
        "Repacked rudder gland",
        "Exhaust: bellows",
        "exhaust, bellows",
        "New engine mounts",
        "Sterndrive bellows renewed",
    ],
)
def test_work_on_something_else_only(text: str) -> None:
    read = kind_of(text)
    assert (read.kind, read.certain) == ("", True)
    assert read.foreign


def test_both_parts_are_not_both_sides() -> None:
    assert kind_of("renewed bellows and cutless, both still good").position == ""
    assert kind_of("renewed bellows and cutless, both sides").both
