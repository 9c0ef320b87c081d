"""The words of headers: how people write them, and which of them say which field.

English, German, French, Spanish, Italian and Dutch; common practice, no source.
"""

from __future__ import annotations

# By plain word: how people write it, accents and capitals left out.
WRITTEN = {
    "boat": "boats vessel vessels yacht yachts ship ships craft boot boots boote schiff schiffs "
    "schiffe jacht bateau bateaux navire voilier barco barcos embarcacion buque yate barca barche "
    "imbarcazione nave schip schepen vaartuig vsl vssl",
    "hull": "rumpf coque casco scafo romp",
    "name": "names namen nom noms nombre nome naam nm nme",
    "no": "nr nbr num number numbers nummer nummern numero numeros numer id code kennung matricola "
    "matricule matricula",
    "date": "dates datum data fecha dt dat day giorno",
    "fitted": "fit fitting installed install installation instd inst einbau eingebaut montiert "
    "montage monte montee pose posee installe installee installiert instalado instalada "
    "instalacion montaje montado montada montato montata montaggio installato installata "
    "installazione inbouw ingebouwd geplaatst gemonteerd geinstalleerd",
    "removed": "removal remove rmvd ausgebaut ausbau demontiert demontage depose deposee demonte "
    "demontee retire retiree retirado retirada desmontado desmontada desmontaje rimosso rimossa "
    "rem rimozione smontato smontata smontaggio verwijderd verwijdering uitgebouwd uitbouw "
    "gedemonteerd uninstalled",
    "replaced": "replacement renewed changed ersetzt getauscht austausch remplace remplacement "
    "sustituido sustitucion reemplazo sostituito sostituzione vervangen vervanging",
    "failed": "failure failures ausfall ausgefallen defaillance panne fallo averia guasto defect "
    "storing",
    "code": "cd cde",
    "location": "loc locn",
    "record": "rec recno entry",
    "reason": "reasons grund motif motivo causa cause ursache razon raison reden oorzaak causale "
    "why rsn reas",
    "part": "parts teil teile bauteil ersatzteil piece pieza parte pezzo ricambio onderdeel "
    "comp component components komponente composant componente item items article artikel articulo "
    "articolo equipment",
    "kind": "type typ art tipo soort sorte category kategorie categorie categoria",
    "side": "seite bord cote lado lato zijde banda",
    "shaft": "shafts welle wellen arbre arbres eje ejes asse assi schroefas line shaftline",
    "position": "pos posn posicion posizione positie lage emplacement ubicacion",
    "port": "bb babord backbord babor sinistra bakboord prt",
    "starboard": "stbd sb steuerbord tribord estribor dritta stuurboord",
    "hours": "hrs hr hour stunden uren heures horas ore std betriebsstunden motorstunden draaiuren",
    "engine": "eng engines motor motoren moteur moteurs motore motori motores",
    "meter": "mtr counter zahler zaehler compteur contador contatore teller",
    "reading": "readings ablesung releve lectura lettura aflezing stand zahlerstand "
    "zaehlerstand tellerstand value wert valeur valor valore waarde",
    "job": "jobs auftrag auftrags bestelling ordre orden ordine opdracht ticket wo workorder",
    "work": "works arbeit arbeiten travail travaux trabajo trabajos lavoro lavori werk "
    "werkzaamheden tatigkeit taetigkeit intervention interventions intervento task",
    "done": "carried performed ausgefuhrt durchgefuhrt realise realises effectue effectues "
    "realizado realizados eseguito eseguiti uitgevoerd",
    "action": "actions activity massnahme massnahmen operation operacion operazione handeling "
    "accion azione event ereignis evenement evento gebeurtenis",
    "description": "desc descr dsc descrip beschreibung bezeichnung designation descripcion "
    "descrizione omschrijving beschrijving details detail libelle text",
    "note": "notes remark remarks comment comments bemerkung bemerkungen anmerkung anmerkungen "
    "notiz notizen remarque remarques observation observations observaciones commentaire "
    "commentaires comentario comentarios osservazioni opmerking opmerkingen memo",
    "quantity": "qty anzahl menge stuck stueck quantite qte cantidad cant quantita aantal pcs",
    "size": "sizes grosse groesse taille tamano dimensione dimension maat diameter durchmesser "
    "diametre diametro dia asmaat wellendurchmesser",
    "price": "prices cost costs preis kosten prix cout precio coste costo prezzo prijs amount "
    "betrag montant importe importo bedrag",
    "currency": "ccy cur wahrung waehrung devise monnaie moneda divisa valuta munt",
    "tax": "vat mwst ust tva iva btw",
    "lot": "batch charge los lote lotto partij",
    "serial": "serien serie seriale sn",
    "issued": "issue ausgabe ausgegeben sortie entnahme salida uscita uitgifte",
    "invoice": "rechnung rechnungs facture factura fattura factuur",
    "condition": "zustand etat estado stato toestand befund constat",
    "status": "state stat sts",
    "finding": "findings feststellung",
    "person": "mechanic technician fitter engineer mechaniker techniker monteur technicien "
    "mecanicien mecanico tecnico meccanico inspector surveyor prufer inspecteur operator",
    "lifted": "lift lifting hauled haul kran ausgekrant gekrant slipped grutage sortie_eau varada "
    "alaggio gekraand",
    "launched": "launch launching relaunched splashed gewassert zuwasserung einkranen mise_eau "
    "botadura varo tewaterlating",
    "yard": "boatyard shipyard werft chantier astillero cantiere werf",
    "base": "heimathafen liegeplatz homeport port_attache puerto porto thuishaven ligplaats "
    "marina station basis",
    "model": "modell modele modelo modello class klasse",
    "built": "build baujahr construction annee_construction construccion costruzione bouwjaar",
    "year": "jahr annee ano anno jaar yr",
    "inspection": "inspected check checked prufung pruefung kontrolle controle inspeccion "
    "ispezione keuring survey",
    "measure": "measured measurement messung messgrosse mesure medida misura meting parameter",
    "unit": "units einheit unite unidad unita eenheid uom",
    "labour": "labor lohn arbeitszeit main_oeuvre mano_obra manodopera arbeid",
    "old": "former previous prior alt ancien antiguo precedente oud ex",
    "start": "started begin beginning beginn debut inicio inizio",
    "end": "ended finish finished completed completion ende fin fine einde closed",
    "ref": "reference referentie referenz referencia riferimento",
    "each": "unitaire unitario einzel stueckpreis stuckpreis stuksprijs",
    "last": "letzte letzter dernier derniere ultimo ultima laatste",
    "sound": "good ok",
    "by": "par durch door da",
    "until": "bis jusqu hasta fino tot",
    "where": "ou donde dove waar",
    "found": "gefunden trouve hallado trovato gevonden entdeckt",
    "stock": "lager stores magasin almacen magazzino voorraad",
}

# Words that are also written so, each where the other reading gives nothing better.
ALSO = {"wo": "where", "rem": "note"}

# What a header of this one word is: the number of the row itself.
NUMBERS_OF_ROWS = frozenset({"id", "uid", "pk", "rowid"})

SMALL_WORDS = """
a am an and at au das de dei del della den der des di die dal do du e el en et for het i il is la le
les lo los of on op per por the und van von was were y zum zur
"""

# German and Dutch write two words as one.
TAILS = (
    "datum",
    "nummer",
    "nr",
    "name",
    "naam",
    "stunden",
    "uren",
    "stand",
    "grund",
    "reden",
    "preis",
)

_SIDES = "side|position|shaft|port starboard|starboard port|shaft side|engine side|engine"
_DATES = "date"

# By field: what plain words say it; ~ before those that may as well say another thing.
SAID = {
    "boat": "boat|boat name|~name|~asset|asset name|asset description|"
    "boat description|~fleet unit|~hull|~craft name",
    "hull_no": "hull no|hull|boat no|hin|cin|registration|registration no|~reg no|sail no|hull id|"
    "~asset|asset no|boat ref",
    "was_named": "old name|old boat|was named|formerly|name before|boat was|aka",
    "renamed_on": "renamed|date renamed|name changed|date name changed|name since",
    "base": "base|home port|home base|~location|~berth|~site",
    "model": "model|boat model|boat kind|make model|~kind|design",
    "built_on": "built|year built|built year|date built|~year|model year|delivered",
    "joined_on": "joined|date joined|joined fleet|in fleet since|in fleet from|fleet from|bought|"
    "acquired|purchased|date purchase|~from|~since|zugang|entree flotte|in fleet|fleet in|"
    "purchase date",
    "left_on": "left|left fleet|sold|date sold|in fleet until|in fleet to|fleet to|disposed|"
    "~until|abgang|verkauft|vendu|vendido|venduto|verkocht|sortie flotte|out of fleet|fleet out",
    "lay_up": "lay up|layup|winter|winter storage|wintering|kept|winterlager|hivernage|invernada|"
    "rimessaggio|winterberging|ashore afloat|afloat ashore|kept ashore afloat|winter berth|"
    "off season",
    "water": "water|water kind|salinity|wasser|eau|agua|acqua|salt fresh",
    "hours_per_season": "hours season|hours year|season hours|annual hours|engine hours season|"
    "engine hours year|hours p a|typical hours",
    "shaft_size": "shaft size|shaft|~size|shaft mm",
    "shafts": "shaft no|engine|engine no|no shaft|no engine|quantity shaft|quantity engine|"
    "twin single|single twin|engine quantity",
    "position": f"{_SIDES}|~location|p s|side shaft|~where|side no|position no|shaft position|"
    "part position|position description",
    "kind": "part|kind|part kind|~description|part description|part name|kind part|~what|"
    "part description kind|gear|~position name|stock description",
    "part_no": "part no|p n|pn|stock no|part code|sku|stock|part ref|catalogue no|~order code|"
    "part kind no|~no|~ref",
    "size": "size|part size|~shaft|shaft size|~dimensions|size shaft|~width",
    "lot": "lot|lot no|date no|batch date no|lot date no|lot or date no|date stamp|cure date",
    "serial": "serial|serial no|s n|part serial|unique no|~tag",
    "quantity": "quantity|quantity issued|quantity used|no off|quantity fitted|stk",
    "fitted_on": "fitted|date fitted|fitted date|date in|in service|in service date|"
    "in service since|~from|~since|~start|~date|in use since|new on|~date new|date in service|"
    "~replaced|~date replaced|~last replaced|last replaced date",
    "invoice_on": "invoice date|date invoice|invoice|billed|invoiced|date invoiced",
    "removed_on": "removed|date removed|date out|out of service|~until|~end|~out|failed|"
    "date failed|out of service date|taken out|date taken out|~replaced|~date replaced",
    "reason": "reason|rc|reason removed|removed reason|reason replaced|why removed|reason no|"
    "reason failed|failed reason|~status|failed kind|failed mode|fault|problem|reason job|~outcome|"
    "reason description|removed no|failed no|cause description",
    "found": "found|where found|found where|seen|found afloat ashore|afloat ashore|ashore afloat|"
    "found at|found in|how found|detected|discovered|finding|~found by|finding place|detection",
    "last_sound_on": "last sound|last seen sound|last sound date|last date sound|last inspection|"
    "last inspection date|last inspection sound|date last inspection|last known sound",
    "fitted_hours": "fitted hours|hours fitted|engine hours fitted|hours in|hours start|hours new|"
    "fitted engine hours|h engine fitted|h fitted|hours at fitted|meter fitted|hours date fitted",
    "removed_hours": "removed hours|hours removed|engine hours removed|hours out|hours end|"
    "removed engine hours|h engine removed|h removed|meter removed|hours at removed|"
    "hours failed|hours date removed",
    "job": "job|job no|job order|order|work order|work order no|order no|job card|job ref|"
    "w o|work no|~ref|job card no|jobcard|jobcard no|bon|bon travail|job date no|"
    "~record no|~record|~row no|~line no|~job line|w o no",
    "person": "person|fitted by|issued to|done by|by|found by|person name|issued by|reading by|"
    "inspection by|by whom|who|~signed|~initials|seen by|recorded by|entered by|~customer|taken by|"
    "checked by|hecho|par|durch|door",
    "note": "note|job note|~description|free note|~info|~other|further note|~story",
    "until": "date out|end|end date|date end|date done|until|out|to date|date to|done date|"
    "date job end|~finished|job end",
    "action": "action|work|work done|job done|done|what done|~description|job description|"
    "work description|~job|action kind|work kind|~kind|job kind|service|~remedy|~what",
    "condition": "condition|part condition|finding|~status|as found|condition found|found|"
    "inspection result|result|condition part|~grade|ergebnis|resultat|resultado|risultato",
    "hours": "hours|engine hours|hours engine|meter|meter reading|hours meter|hours reading|"
    "engine hours reading|meter hours|hours run|run hours|running hours|eh|~reading|~h|engine h|"
    "reading hours|hours total|total hours",
    "to_boat": "moved boat|transferred|new boat|destination boat|transfer|boat transferred|"
    "moved|target boat|boat moved|moved boat name",
    "price": "price|unit price|price each|price total|total price|price part|each|~value|~total|"
    "price unit|part price|net price",
    "currency": "currency|currency no|iso currency",
    "read_on": "date reading|reading date|date|inspection date|date inspection|inspection|"
    "date read|read|read date|~on|~when|date log",
    "measure": "measure|what measure|measure kind|~parameter|~test|measure name|quantity measure",
    "value": "reading|measure reading|clearance|play|~result|measure mm|spiel|jeu|holgura|gioco|"
    "speling|~measure|wear|figure",
    "unit": "unit|measure unit|reading unit",
    "lifted_on": "lifted|date lifted|lifted out|lifted date|date out|out|ashore|ashore from|"
    "out water|out water date|~date|~from|lifted out date|ashore since|~start",
    "launched_on": "launched|date launched|launched date|date in|in|afloat|back in water|~until|"
    "in water|ashore until|~end|relaunch date|afloat since|back afloat",
    "yard": "yard|yard name|where|~location|~place|~base|~marina",
    "tax": "tax|net gross|gross net|tax incl|incl tax|tax included|price net gross",
    "part_price": "price|part price|unit price|price part|list price|price each|net price|~each",
    "labour_hours": "labour hours|labour|hours labour|work hours|hours work|~hours|labour h|"
    "hours renew",
    "shared_hours": "shared hours|hours shared|shared labour|labour shared|labour hours shared|"
    "shared labour hours|shaft drawn hours|hours shaft drawn|labour hours shaft drawn|"
    "labour shaft drawn|hours shaft out|labour shaft out",
    "lead_time_days": "lead time|lead time days|delivery time|lieferzeit|delai|delai livraison|"
    "delivery days|lead days|levertijd|plazo entrega|tempi consegna",
    "shelf_life_years": "shelf life|shelf life years|storage life|shelf years|lagerfahigkeit|"
    "haltbarkeit",
}

# In one shape only.
SAID_IN = {
    ("events", "on"): f"{_DATES}|job date|date job|work date|date work|date in|in|start|date start|"
    "action date|date action|~when|date raised|date opened|failed date|date failed|~removed|"
    "~fitted|~date removed|~date fitted|service date|date service|~from|on|removed|"
    "date replaced|replaced|~lifted|~opened|date removed|inspection date",
    (
        "issued",
        "on",
    ): f"{_DATES}|issued|date issued|issued date|on|out|date out|~when|date used|used",
    ("hours", "hours"): "reading|log",
    ("hours", "position"): "engine|engine no|meter|which engine",
    ("boats", "hull_no"): "~no|~registration|~record no|~record",
    ("prices", "part_no"): "~record no",
    ("lifts", "reason"): "purpose|work|~note|~action|~description|job",
    ("issued", "kind"): "stock description|description",
    ("prices", "kind"): "description|stock description",
    ("readings", "condition"): "finding|~note|~result|~action",
    ("readings", "value"): "~hours",
    ("events", "reason"): "~finding|symptom|defect|~description",
    ("events", "person"): "yard|~base",
    ("issued", "person"): "supplier|~name",
    ("issued", "size"): "~shaft",
}
