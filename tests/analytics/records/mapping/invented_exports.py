"""Invented exports in several languages, each with the way in which it should be read."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field

from analytics.records.files.grids import AS_DETECTED, FileSettings, Grid


def grid_of(
    text: str,
    file: str = "export.csv",
    sheet: str = "",
    mark: str = ";",
    chosen: FileSettings = AS_DETECTED,
) -> Grid:
    """A grid of lines with a mark between the cells, blanks about them left out."""
    return rows_grid(
        ([cell.strip() for cell in line.split(mark)] for line in text.strip("\n").split("\n")),
        file,
        sheet,
        chosen,
    )


def rows_grid(
    rows: Iterable[list[str]],
    file: str = "export.csv",
    sheet: str = "",
    chosen: FileSettings = AS_DETECTED,
) -> Grid:
    held = list(enumerate(rows, start=1))
    return Grid(file, lambda: iter(held), sheet=sheet, chosen=chosen)


@dataclass(frozen=True)
class Export:
    """An export, and what its columns hold."""

    name: str
    text: str
    shape: str
    columns: dict[str, str]
    file: str = "export.csv"
    sheet: str = ""
    fixed: dict[str, str] = field(default_factory=dict)

    @property
    def grid(self) -> Grid:
        return grid_of(self.text, self.file, self.sheet)


EXPORTS = [
    Export(
        "English register of seals",
        """
Yacht; Hull #; Stbd/Port; Component; Dt fitted; Eng hrs at fit; Removed; Why; Found where; Note
Corrigan; H-101; Port; Bellows; 14/05/2012; 220; 03/04/2019; split; afloat; wet bilge
Corrigan; H-101; Stbd; Bellows; 14/05/2012; 220; ; ; ;
Marlowe; H-102; Port; Lip seal; 21/03/2015; 910; 30/10/2020; by age; ashore;
Marlowe; H-102; Stbd; Lip seal; 21/03/2015; 910; ; ; ; a little rust
Tansy Rose; H-103; Port; Cutless brg; 02/02/2010; 0; 11/11/2018; worn past limit; ashore; rumble
""",
        "lives",
        {
            "boat": "Yacht",
            "hull_no": "Hull #",
            "position": "Stbd/Port",
            "kind": "Component",
            "fitted_on": "Dt fitted",
            "fitted_hours": "Eng hrs at fit",
            "removed_on": "Removed",
            "reason": "Why",
            "found": "Found where",
            "note": "Note",
        },
    ),
    Export(
        "German list of parts",
        """
Schiff; Seite; Bauteil; Einbaudatum; Ausgebaut; Grund; Bemerkung
Seelerche; Backbord; Faltenbalg; 03.05.2011; 12.04.2019; undicht; im Frühjahr entdeckt
Seelerche; Steuerbord; Faltenbalg; 03.05.2011; ; ;
Kornweihe; Backbord; Lippendichtung; 17.03.2014; 20.10.2020; Alter; nach Plan
Kornweihe; Steuerbord; Lippendichtung; 17.03.2014; ; ;
""",
        "lives",
        {
            "boat": "Schiff",
            "position": "Seite",
            "kind": "Bauteil",
            "fitted_on": "Einbaudatum",
            "removed_on": "Ausgebaut",
            "reason": "Grund",
            "note": "Bemerkung",
        },
    ),
    Export(
        "French list of parts",
        """
Bateau   ; Côté    ; Pièce           ; Posé le    ; Déposé le  ; Motif            ; Remarques
Pervenche; bâbord  ; soufflet        ; 12/06/2013 ; 25/09/2019 ; fuite            ; vu au mouillage
Pervenche; tribord ; soufflet        ; 12/06/2013 ;            ;                  ;
Mésange  ; bâbord  ; joint à lèvre   ; 28/03/2016 ; 14/10/2021 ; préventif        ;
Mésange  ; tribord ; joint à lèvre   ; 28/03/2016 ;            ;                  ; rien à signaler
""",
        "lives",
        {
            "boat": "Bateau",
            "position": "Côté",
            "kind": "Pièce",
            "fitted_on": "Posé le",
            "removed_on": "Déposé le",
            "reason": "Motif",
            "note": "Remarques",
        },
    ),
    Export(
        "jobs of a yard",
        """
Job Card No; Vessel; Date In; Date Out; Engine Hrs; Part; Work Done; Reason; Fitted By
10021; Corrigan; 03/04/2019; 05/04/2019; 1460; bellows port; replaced; leaking; J. Able
10022; Marlowe; 28/04/2019; 28/04/2019; 2010; lip seal stbd; greased; service; K. Boon
10023; Tansy Rose; 11/11/2018; 20/11/2018; 3120; cutless bearing; renewed; worn past limit; J. Able
10024; Corrigan; 04/11/2019; 06/11/2019; 1610; bellows stbd; inspected; annual service; K. Boon
""",
        "events",
        {
            "job": "Job Card No",
            "boat": "Vessel",
            "on": "Date In",
            "until": "Date Out",
            "hours": "Engine Hrs",
            "kind": "Part",
            "action": "Work Done",
            "reason": "Reason",
            "person": "Fitted By",
        },
    ),
    Export(
        "Spanish jobs",
        """
Fecha; Barco; Banda; Pieza; Trabajo realizado; Causa; Horas motor; Observaciones
13/05/2018; Gaviota; babor; fuelle; sustituido; fuga; 1200; con agua en la sentina
21/06/2019; Gaviota; estribor; fuelle; sustituido; edad; 1500; según plan
30/09/2020; Albatros; babor; retén de labio; engrasado; ; 800;
""",
        "events",
        {
            "on": "Fecha",
            "boat": "Barco",
            "position": "Banda",
            "kind": "Pieza",
            "action": "Trabajo realizado",
            "reason": "Causa",
            "hours": "Horas motor",
            "note": "Observaciones",
        },
    ),
    Export(
        "Italian jobs under titles",
        """
Lavori eseguiti ; ; ; ; ;
stampato il 31/10/2020 ; ; ; ; ;
Data       ; Imbarcazione ; Lato     ; Componente          ; Lavoro     ; Motivo
13/05/2018 ; Rondine      ; sinistra ; soffietto           ; sostituito ; perdita
21/06/2019 ; Rondine      ; dritta   ; soffietto           ; sostituito ; preventivo
30/09/2020 ; Allodola     ; sinistra ; premistoppa         ; regolato   ;
""",
        "events",
        {
            "on": "Data",
            "boat": "Imbarcazione",
            "position": "Lato",
            "kind": "Componente",
            "action": "Lavoro",
            "reason": "Motivo",
        },
    ),
    Export(
        "parts issued by the stores",
        """
Job No ; Issue Date ; Stock No ; Description      ; Qty ; Batch ; Unit Price ; Ccy ; Issued To
10021  ; 03/04/2019 ; B-3045   ; bellows 30 mm    ; 1   ; 18-22 ; 85.50      ; EUR ; J. Able
10023  ; 12/11/2018 ; C-3040   ; cutless bearing  ; 1   ; 17-40 ; 120.00     ; EUR ; J. Able
10030  ; 13/12/2019 ; L-3050   ; lip seal 30 mm   ; 2   ; 19-02 ; 41.20      ; EUR ; K. Boon
""",
        "issued",
        {
            "job": "Job No",
            "on": "Issue Date",
            "part_no": "Stock No",
            "kind": "Description",
            "quantity": "Qty",
            "lot": "Batch",
            "price": "Unit Price",
            "currency": "Ccy",
            "person": "Issued To",
        },
    ),
    Export(
        "Dutch list of boats",
        """
Schip    ; Rompnummer ; Bouwjaar ; Thuishaven ; Model      ; Motoren ; Asmaat
Grutto   ; NL-11      ; 2004     ; Oosthaven  ; Kruiser 34 ; 1       ; 30 mm
Kievit   ; NL-12      ; 2007     ; Oosthaven  ; Kruiser 40 ; 2       ; 35 mm
Tureluur ; NL-13      ; 2011     ; Westhaven  ; Kruiser 34 ; 1       ; 30 mm
""",
        "boats",
        {
            "boat": "Schip",
            "hull_no": "Rompnummer",
            "built_on": "Bouwjaar",
            "base": "Thuishaven",
            "model": "Model",
            "shafts": "Motoren",
            "shaft_size": "Asmaat",
        },
    ),
    Export(
        "English list of boats",
        """
Name; HIN; Class; Year Built; Home Port; In fleet since; Sold; Winter storage; Hrs/yr
Corrigan; H-101; Ebbing 36; 2008; East Quay; 2010-04-01; ; ashore; 220
Marlowe; H-102; Ebbing 40; 2010; East Quay; 2011-03-15; ; afloat; 310
Tansy Rose; H-103; Ebbing 36; 2006; Long Hard; 2010-04-01; 2020-10-31; ashore; 260
""",
        "boats",
        {
            "boat": "Name",
            "hull_no": "HIN",
            "model": "Class",
            "built_on": "Year Built",
            "base": "Home Port",
            "joined_on": "In fleet since",
            "left_on": "Sold",
            "lay_up": "Winter storage",
            "hours_per_season": "Hrs/yr",
        },
    ),
    Export(
        "German hours",
        """
Boot      ; Motor ; Ablesedatum ; Betriebsstunden
Seelerche ; BB    ; 01.04.2019  ; 1.204
Seelerche ; StB   ; 01.04.2019  ; 1.198
Seelerche ; BB    ; 30.10.2019  ; 1.377
Kornweihe ; BB    ; 15.04.2019  ; 845
""",
        "hours",
        {
            "boat": "Boot",
            "position": "Motor",
            "read_on": "Ablesedatum",
            "hours": "Betriebsstunden",
        },
    ),
    Export(
        "haul-outs",
        """
Boat       ; Lifted     ; Relaunched ; Boatyard  ; Purpose
Corrigan   ; 2018-11-03 ; 2019-04-05 ; East Quay ; winter
Marlowe    ; 2018-11-20 ; 2019-03-28 ; East Quay ; winter
Corrigan   ; 2019-11-04 ; 2020-04-02 ; Long Hard ; shaft drawn
""",
        "lifts",
        {
            "boat": "Boat",
            "lifted_on": "Lifted",
            "launched_on": "Relaunched",
            "yard": "Boatyard",
            "reason": "Purpose",
        },
    ),
    Export(
        "inspections",
        """
Inspection Date; Vessel; Side; Item; Finding; Clearance; Unit; Inspected by
2019-04-02; Corrigan; Port; bellows; sound; ; ; K. Boon
2019-04-02; Corrigan; Stbd; cutless bearing; worn; 0.55; mm; K. Boon
2019-10-30; Tansy Rose; Port; cutless bearing; worn past limit; 0.92; mm; J. Able
""",
        "readings",
        {
            "read_on": "Inspection Date",
            "boat": "Vessel",
            "position": "Side",
            "kind": "Item",
            "condition": "Finding",
            "value": "Clearance",
            "unit": "Unit",
            "person": "Inspected by",
        },
    ),
    Export(
        "French prices",
        """
Référence ; Pièce          ; Prix unitaire ; Devise ; Délai livraison
B-3045    ; soufflet       ; 85,50         ; EUR    ; 14
C-3040    ; bague hydrolube; 120,00        ; EUR    ; 21
""",
        "prices",
        {
            "part_no": "Référence",
            "kind": "Pièce",
            "part_price": "Prix unitaire",
            "currency": "Devise",
            "lead_time_days": "Délai livraison",
        },
    ),
    Export(
        "a sheet for one kind",
        """
Boat       ; Shaft ; Installed  ; Taken out  ; Cause of failure
Corrigan   ; port  ; 2012-05-14 ; 2019-04-03 ; split
Corrigan   ; stbd  ; 2012-05-14 ;            ;
Marlowe    ; port  ; 2014-02-01 ; 2020-11-12 ; by age
""",
        "lives",
        {
            "boat": "Boat",
            "position": "Shaft",
            "fitted_on": "Installed",
            "removed_on": "Taken out",
            "reason": "Cause of failure",
        },
        file="seals.xlsx",
        sheet="Bellows",
        fixed={"kind": "bellows"},
    ),
]
