"""Headers in six languages, against what anybody who speaks them would say they head.

The words are common practice, no source; that each is a word of its language can be looked up in
any dictionary.
"""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from analytics.records.mapping.fields import SHAPES
from analytics.records.vocabulary.headers import LEAST, best_score, header_fields, plain_words


@pytest.mark.parametrize("shape", SHAPES.values(), ids=SHAPES)
def test_every_field_is_found_under_its_own_name(shape):
    for name in shape.by_name:
        assert (name, 1.0) in header_fields(name, shape)


@pytest.mark.parametrize(
    ("header", "shape", "field"),
    [
        ("Vessel", "lives", "boat"),
        ("YACHT", "events", "boat"),
        ("Boot", "boats", "boat"),
        ("Schiff", "hours", "boat"),
        ("Bateau", "lives", "boat"),
        ("Barco", "events", "boat"),
        ("Imbarcazione", "lifts", "boat"),
        ("Schip", "readings", "boat"),
        ("boat_name", "lives", "boat"),
        ("Bootsname", "lives", "boat"),
        ("Hull #", "lives", "hull_no"),
        ("Hull No.", "boats", "hull_no"),
        ("Rumpfnummer", "boats", "hull_no"),
        ("Eng hrs", "events", "hours"),
        ("Engine Hours [h]", "hours", "hours"),
        ("Heures moteur", "hours", "hours"),
        ("Zählerstand", "hours", "hours"),
        ("Stbd/Port", "lives", "position"),
        ("Seite", "events", "position"),
        ("Côté", "lives", "position"),
        ("S/N", "lives", "serial"),
        ("P/N", "prices", "part_no"),
        ("Teilenummer", "lives", "part_no"),
        ("Qty", "issued", "quantity"),
        ("Stück", "issued", "quantity"),
        ("Dt fitted", "lives", "fitted_on"),
        ("DateFitted", "lives", "fitted_on"),
        ("Date (fitted)", "lives", "fitted_on"),
        ("Einbaudatum", "lives", "fitted_on"),
        ("Date de pose", "lives", "fitted_on"),
        ("Fecha de montaje", "lives", "fitted_on"),
        ("Data montaggio", "lives", "fitted_on"),
        ("Inbouwdatum", "lives", "fitted_on"),
        ("Removed", "lives", "removed_on"),
        ("REMOVAL_DATE", "lives", "removed_on"),
        ("Ausgebaut am", "lives", "removed_on"),
        ("Déposé le", "lives", "removed_on"),
        ("Verwijderd op", "lives", "removed_on"),
        ("Grund", "lives", "reason"),
        ("Motif", "events", "reason"),
        ("Causa", "lives", "reason"),
        ("Reden", "events", "reason"),
        ("Work done", "events", "action"),
        ("Ausgeführte Arbeiten", "events", "action"),
        ("Travaux effectués", "events", "action"),
        ("Fitted by", "events", "person"),
        ("Invoice date", "lives", "invoice_on"),
        ("Rechnungsdatum", "events", "invoice_on"),
        ("Batch / date code", "lives", "lot"),
        ("Prix unitaire", "prices", "part_price"),
        ("Währung", "prices", "currency"),
        ("MwSt", "prices", "tax"),
        ("Lieferzeit (Tage)", "prices", "lead_time_days"),
        ("Baujahr", "boats", "built_on"),
        ("Home port", "boats", "base"),
        ("Hauled", "lifts", "lifted_on"),
        ("Launch date", "lifts", "launched_on"),
        ("Chantier", "lifts", "yard"),
        ("Clearance (mm)", "readings", "value"),
        ("Bemerkungen", "readings", "note"),
        ("Vesel", "lives", "boat"),
        ("COMP", "lives", "kind"),
        ("COMP_CD", "lives", "kind"),
        ("RSN", "lives", "reason"),
        ("RSN_CD", "lives", "reason"),
        ("INST_DT", "lives", "fitted_on"),
        ("FIT_DT", "lives", "fitted_on"),
        ("REM_DT", "lives", "removed_on"),
        ("INST_MTR", "lives", "fitted_hours"),
        ("REM_MTR", "lives", "removed_hours"),
        ("H. moteur pose", "lives", "fitted_hours"),
        ("H. moteur dépose", "lives", "removed_hours"),
        ("VSL", "events", "boat"),
        ("VSL_NM", "events", "boat"),
        ("POS_CD", "lives", "position"),
        ("ENG_HRS", "events", "hours"),
        ("REC_ID", "lives", "job"),
        ("Record no", "events", "job"),
        ("Entry", "events", "job"),
        ("ID", "events", "job"),
        ("WO #", "events", "job"),
        ("W/O", "events", "job"),
        ("Order no", "events", "job"),
        ("Wo gefunden", "lives", "found"),
        ("Part code", "lives", "part_no"),
        ("Hull ID", "lives", "hull_no"),
        ("ID", "boats", "hull_no"),
        ("Entered by", "events", "person"),
        ("Remarks", "lives", "note"),
    ],
)
def test_headers_as_people_write_them(header, shape, field):
    assert header_fields(header, SHAPES[shape])[0][0] == field


def test_what_a_date_is_of_depends_on_the_rows():
    best = {name: header_fields("Date", SHAPES[name])[:1] for name in ("events", "hours", "lives")}
    assert best["events"] == [("on", 1.0)]
    assert best["hours"] == [("read_on", 1.0)]
    assert best["lives"][0][1] < 0.9


def test_invoice_dates_are_never_surest_as_fitting_dates():
    found = dict(header_fields("Invoice date", SHAPES["lives"]))
    assert found["invoice_on"] > found.get("fitted_on", 0)


def test_a_misspelt_header_is_less_sure_than_a_right_one():
    assert dict(header_fields("Vesel", SHAPES["lives"]))["boat"] < 1


@pytest.mark.parametrize("text", ["", "Corrigan", "12.5", "x", "???", "03/04/2019"])
def test_texts_that_are_no_headers(text):
    assert best_score(text) == 0


def test_sentences_are_no_headers():
    assert best_score("The boat was lifted and the port bellows found split by the fitter") == 0


def test_plain_words_are_alike_across_languages():
    assert plain_words("Ausgebaut am") == plain_words("Déposé le") == plain_words("Removed on")


@given(st.text(max_size=60), st.sampled_from(sorted(SHAPES)))
def test_any_text_has_scores_in_range_best_first(header, name):
    found = header_fields(header, SHAPES[name])
    scores = [score for _, score in found]
    assert scores == sorted(scores, reverse=True)
    assert all(LEAST <= score <= 1 for score in scores)
    assert len({field for field, _ in found}) == len(found)
    assert {field for field, _ in found} <= SHAPES[name].by_name.keys()


@given(st.sampled_from(["Date fitted", "Engine hours", "Hull no", "Work done", "Home port"]))
def test_case_underscores_and_blanks_make_no_difference(header):
    for shape in SHAPES.values():
        plain = header_fields(header, shape)
        assert header_fields(header.upper(), shape) == plain
        assert header_fields(header.replace(" ", "_"), shape) == plain
        assert header_fields(f"  {header} ", shape) == plain
        assert header_fields(header.title().replace(" ", ""), shape) == plain


@pytest.mark.parametrize("header", ["ID", "REC_ID", "Entry", "Record no"])
@pytest.mark.parametrize("real", ["Job", "WO #", "W/O", "Order no", "Hull no", "Boat ID"])
def test_numbers_of_rows_give_way_to_real_numbers(header, real):
    for name in ("lives", "events"):
        found = header_fields(header, SHAPES[name])
        assert [field for field, _ in found] == ["job"]
        assert found[0][1] < header_fields(real, SHAPES[name])[0][1]
