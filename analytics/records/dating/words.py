"""Words of dates in English, German, French, Spanish, Italian and Dutch, without accents.

From general knowledge of these languages; abbreviations are those in common
use.
"""

from __future__ import annotations


def _words(text: str) -> frozenset[str]:
    return frozenset(text.split())


def _texts(text: str) -> frozenset[str]:
    return frozenset(one.strip() for one in text.replace("\n", "|").split("|"))


def _by_word(*lists: str) -> dict[str, int]:
    return {word: number for number, words in enumerate(lists, 1) for word in words.split()}


MONTHS = _by_word(
    "january jan januar janner jaenner janvier janv enero ene gennaio genn gen januari",
    "february feb februar feber fevrier fevr fev febrero febbraio febbr februari",
    "march mar marz maerz mrz mars marzo maart mrt",
    "april apr avril avr abril abr aprile",
    "may mai mayo maggio magg mag mei",
    "june jun juni juin junio giugno giu",
    "july jul juli juillet juil julio luglio lug",
    "august aug aout agosto ago augustus",
    "september sept sep septembre septiembre setiembre settembre sett set",
    "october oct oktober okt octobre octubre ottobre ott",
    "november nov novembre noviembre",
    "december dec dezember dez decembre diciembre dic dicembre",
)
"""Number of the month by its names and abbreviations."""

SEASONS = _by_word(
    "spring fruhling fruehling fruhjahr fruehjahr printemps primavera lente voorjaar",
    "summer sommer ete verano estate zomer",
    "autumn fall herbst automne otono autunno herfst najaar",
    "winter hiver invierno inverno",
)
"""1 for spring to 4 for winter."""

WORKING_SEASON = _words("season saison temporada stagione seizoen")

THIRDS = _by_word(
    "early start beginning begin anfang beginn debut principios comienzos inizio inizi",
    "mid middle mitte mi milieu mediados meta midden medio",
    "late end ende fin finales fine eind einde spat spater",
)
"""1 for the beginning of a time, 2 for its middle, 3 for its end."""

ORDINALS = _by_word(
    "first erstes erste premier primer primo eerste",
    "second zweites zweite deuxieme segundo secondo tweede",
    "third drittes dritte troisieme tercer terzo derde",
    "fourth viertes vierte quatrieme cuarto quarto vierde",
)

WEEKDAYS = _words(
    """monday mon tuesday tues tue wednesday weds wed thursday thurs thur thu friday fri
    saturday sat sunday sun
    montag mo dienstag di mittwoch mi donnerstag do freitag fr samstag sonnabend sa sonntag so
    lundi lun mardi mar mercredi mer jeudi jeu vendredi ven samedi sam dimanche dim
    lunes martes miercoles mie jueves jue viernes vie sabado sab domingo dom
    lunedi martedi mercoledi giovedi gio venerdi sabato domenica
    maandag ma dinsdag woensdag wo donderdag vrijdag vr zaterdag za zondag zo"""
)

FILLERS = (WEEKDAYS - MONTHS.keys() - THIRDS.keys()) | _words(
    """of the in on at year yr month der die das des dem den im am vom jahr jahres monat
    de du d l le la les en an annee annees mois el los del ano mes di dell il lo anno anni
    van het een op jaar maand a al"""
)
"""Words that change nothing in a date."""

NOT_KNOWN = _texts(
    """unknown|not known|unkn|unk|na|n/a|n.a|n a|none|nil|null|nan|nat|tbc|tba|tbd|no date|no record
    no records|not recorded|not stated|not given|not sure|unsure|missing|blank|empty|date unknown
    unbekannt|unbek|nicht bekannt|k.a|ka|k. a|keine angabe|ohne datum|fehlt|o.d
    inconnu|inconnue|non connu|s.d|sans date|n.c|nc|n/c|n.d|nd|n/d|desconocido|desconocida|s/f
    sin fecha|no consta|sconosciuto|sconosciuta|ignoto|non noto|onbekend|niet bekend|n.b|n.v.t|geen
    still fitted|still in|still in use|in place|in use|in service|current|currently fitted|present
    not yet|noch drin|en place|en service|in uso|in gebruik|dd/mm/yyyy|mm/dd/yyyy|yyyy-mm-dd
    00/mm/yyyy|mm/00/yyyy|yyyy-mm-00|00.mm.jjjj|00/mm/yy|jj/mm/aaaa"""
)
"""Texts that say that nobody knows, or that nothing has happened yet."""

AS_BUILT = _texts(
    """original|originally|original fit|original equipment|original part|orig|as built
    as-built|asbuilt|at build|at new|from build|since build|build|build date|built|from new
    since new|fitted from new|fitted new|when new|new boat|boat new|new build|new-build|newbuild
    as new boat|factory|factory fit
    factory fitted|ex factory|ex works|from the yard|with the boat
    with boat|came with boat|came with the boat|from the builder|builder|builder's
    first fit|first fitted
    ab werk|werft|ab werft|neubau|seit neubau|original verbaut|erstausrustung|erstausruestung
    erstausstattung|d'origine|origine|a l'origine|depuis neuf|neuf de chantier|de origen|de fabrica
    originale|originali|d'origen|di fabbrica|di cantiere|dal nuovo|origineel|vanaf nieuw
    vanaf de bouw|af werf|nieuwbouw"""
)
"""Texts that say that the part is the one with which the boat was built."""

ABOUT = (
    r"approximately|approx|aprox|around|about|roughly|circa|zirka|cca|ca|c|est|estimated|probably"
    r"|prob|ungefahr|ungefaehr|etwa|gegen|wohl|env|environ|vers|hacia|alrededor|verso|intorno"
    r"|ongeveer|rond|omstreeks"
)
BEFORE = (
    r"before|prior to|earlier than|older than|pre|vor|avant|antes|anterior|prima|precedente|voor"
)
AFTER = r"after|later than|post|nach|apres|despues|dopo|na"
UNTIL = r"not later than|no later than|up to|until|till|by|bis|spatestens|jusqu'?|hasta|fino|tot"
SINCE = r"not before|since|from|seit|ab|depuis|desde|dal|da|sinds|vanaf|>="
BETWEEN = r"between|from|zwischen|von|vom|entre|du|de|desde|del|tra|fra|dal|da|tussen|van"
TO = r"to|until|till|thru|through|bis(?: zum)?|au|a|al|hasta|tot|t/m"
OR = r"or|oder|ou|o|of|and|und|et|y|e|en"
