"""Why a part came out, from what people wrote. Every word is common practice, no source.

A part that failed is an event; one renewed by age, for other work or because its
boat left is a life cut short; an accident is an ending of another sort.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from analytics.records.vocabulary.conditions import (
    DECOYS,
    DEGRADED,
    FAILED,
    FAILED_PERHAPS,
    SOUND,
    allowed_by,
    leaks_through,
)
from analytics.records.vocabulary.doubt_words import CAUTION
from analytics.records.vocabulary.doubts import in_doubt
from analytics.records.vocabulary.phrases import Found, Phrases, listed, normal

BOAT_LEFT = listed(
    "sold, boat sold, vessel sold, yacht sold, sold off, sale of boat, boat sale, left fleet, "
    "left the fleet, boat left, leaving fleet, out of fleet, boat scrapped, vessel scrapped, "
    "scrapped, boat transferred, vessel transferred, transferred, transferred out, "
    "boat returned to owner, returned to owner, contract ended, end of contract, management ended, "
    "boat disposed of, written off, boat written off, boat gone, "
    "verkauft, boot verkauft, flotte verlassen, ausgeschieden, ausgemustert, "
    "vendu, vendue, bateau vendu, sorti de flotte, sortie de flotte, quitte la flotte, "
    "vendido, barco vendido, baja de flota, salio de la flota, "
    "venduto, venduta, barca venduta, uscita dalla flotta, uscito dalla flotta, "
    "verkocht, boot verkocht, uit de vloot, vloot verlaten"
)
_LINE_WRAP = listed(
    "line wrap*, rope wrap*, wrapped, rope, ropes, rope round*, rope around*, rope in prop*, "
    "rope on shaft, line round*, line around*, line in prop*, warp round*, warp around*, "
    "warp in prop*, net in prop*, net round*, net around*, netting, fouled prop*, prop fouled, "
    "fouled propeller, fishing line, fishing net, lobster pot, crab pot, pot line, pot buoy, "
    "mooring line, "
    "leine in schraube, leine im propeller, leine in der schraube, leine um welle, tampen, "
    "tau in schraube, tau in der schraube, netz in schraube, "
    "bout dans l helice, bout dans helice, bout helice, cordage, orin, filet dans l helice, "
    "cabo en la helice, cabo en helice, cabo enredado, red en la helice, "
    "cima nell elica, cima in elica, cima nell asse, rete nell elica, "
    "touw in de schroef, touw in schroef, lijn in de schroef, lijn in schroef, net in de schroef"
)
_ACCIDENT = listed(
    "accident*, line wrap accident, grounding*, grounded, aground, ran aground, run aground, "
    "hit the ground, hit ground, hit bottom, touched bottom, hit rock, hit rocks, hit a rock, "
    "hit log, hit a log, hit debris, hit object, hit something, struck object, struck debris, "
    "struck rock, struck a rock, struck bottom, prop strike, propeller strike, log strike, "
    "impact, impact damage, fire, fire damage, on fire, collision*, collided, lightning*, "
    "storm damage, hurricane, sunk in storm, vandal*, dropped by crane, crane accident, "
    "fell off stands, fell from slings, "
    "grundberuhrung*, grundberuehrung*, aufgelaufen, feuer, feuerschaden, brandschaden, "
    "brand an bord, kollision*, blitz*, unfall*, havarie, "
    "echouement*, echoue, echouage*, talonnage*, talonne, incendie, abordage, foudre, choc, "
    "varada*, varado, incendio, colision*, abordaje, rayo, accidente, golpe, "
    "incaglio, incagliat*, collisione, fulmine, incidente, urto, "
    "gestrand, aan de grond, aanvaring*, bliksem*, brandschade, ongeval, ongeluk"
)
_BY_AGE = listed(
    "preventive, preventative, preventively, prevention, preventive by age, prev maint, "
    "preventive maintenance, by age, due to age, because of age, on age, age, age limit, aged out, "
    "old age, aged, time expired, life expired, expired, out of date, out of life, "
    "over age, overage, "
    "due, due by age, overdue, past due, scheduled, schedule, on schedule, planned, "
    "planned maintenance, "
    "planned replacement, "
    "age only, by age only, mfr interval, mfg interval, maker interval, makers interval, "
    "manufacturer interval, manufacturers interval, manufacturer s interval, "
    "programmed, interval, service interval, maker s interval, at interval, routine, periodic, "
    "policy, time based, calendar based, by date, by years, age policy, before it fails, "
    "before it failed, before failure, 5 year, 7 year, 8 year, 10 year, five year, seven year, "
    "eight year, "
    "vorbeugend*, vorsorglich*, planmassig*, planmaessig*, turnusmassig*, turnusmaessig*, "
    "altersbedingt, alter, wegen alter, nach alter, routinemassig*, routinemaessig*, fallig, "
    "faellig, uberfallig, ueberfaellig, intervall*, geplant, plantausch, "
    "preventif*, preventive, par age, pour age, age atteint, echeance*, systematique*, programme, "
    "programmee, prevu, planifie*, periodique, entretien prevu, "
    "preventiv*, por edad, edad, programad*, vencid*, vencimiento, rutina, periodic*, planificad*, "
    "per eta, eta, programmat*, scadut*, scadenza, pianificat*, periodica, "
    "preventief*, leeftijd, op leeftijd, gepland*, periodiek*, volgens schema, verlopen"
)
_PLANNED = listed(
    "upgrade*, upgrading, improved, improved version, modification, modified, modernis*, "
    "converted, "
    "owner request, owners request, owner s request, customer request, insurer s request, "
    "insurance requirement, survey recommendation, surveyor s recommendation, "
    "conversion, replaced sound, replaced good, precaution*, as a precaution, cosmetic, "
    "nachrustung, umbau, aufrustung, verbesserung, amelioration, modernisation, mejora, "
    "actualizacion, aggiornamento, miglioria, verbetering, uit voorzorg, aus vorsicht, "
    "par precaution, por precaucion, per precauzione"
)
_LOOKED = listed(
    "looked tired, looks tired, looking tired, tired, looked old, looks old, looked poor, "
    "looks poor, looked rough, looks rough, looked worn, looks worn, looked bad, looks bad, "
    "looked dodgy, looked suspect, looks suspect, suspect, suspicious, looked past it, "
    "past its best, getting on a bit, getting on, getting old, "
    "seen better days, just in case, to be safe, on the safe side, peace of mind, "
    "didn t like the look*, did not like the look*, appearance, by appearance, "
    "sah alt aus, sieht alt aus, sah mude aus, sah schlecht aus, zur sicherheit, "
    "sicherheitshalber, "
    "fatigue, semblait use, avait l air use, par securite, parecia viej*, parecia gastad*, "
    "por si acaso, sembrava usurat*, sembrava vecchi*, per sicurezza, zag er oud uit, "
    "zag er slecht uit, voor de zekerheid"
)
_RECALL = listed(
    "recall*, batch campaign, campaign, lot campaign, called back, batch withdrawn, lot withdrawn, "
    "withdrawn by maker, bad batch, suspect batch, suspect lot, service bulletin, ruckruf*, "
    "rueckruf*, rappel, rappele*, campagne, retirada del lote, llamada a revision, richiam*, "
    "terugroep*, teruggeroepen"
)
_WARRANTY = listed(
    "warranty, under warranty, warranty claim, warranty swap, guarantee, under guarantee, "
    "garantie*, gewahrleistung*, gewaehrleistung*, sous garantie, garantia, en garantia, garanzia, "
    "in garanzia"
)
_BAD_FIT = listed(
    "bad fit, badly fitted, bad fitting, poor fit, poor fitting, poorly fitted, fitted badly, "
    "fitted wrong, fitted wrongly, wrongly fitted, incorrectly fitted, incorrect fitting, misfit, "
    "misfitted, misfit on install, not fitted correctly, not fitted properly, not properly fitted, "
    "not correctly fitted, wrong fitting, installation error, fitting error, install error, "
    "workmanship, bad workmanship, poor workmanship, bad install*, poor install*, "
    "montagefehler, einbaufehler, falsch eingebaut, falsch montiert, mal monte*, "
    "erreur de montage, "
    "defaut de montage, mal montad*, error de montaje, montato male, errore di montaggio, "
    "montagefout, verkeerd gemonteerd, fout gemonteerd"
)
_SHAFT_OUT = tuple(
    f"{what} {how}"
    for what in ("shaft", "shafts", "engine", "gearbox", "rudder", "prop", "propeller")
    for how in listed(
        "drawn, out, pulled, removed, withdrawn, off, was drawn, was out, is out, being drawn"
    )
)
_OTHER_WORK = (
    *_SHAFT_OUT,
    *listed(
        "while we were there, while there, while at it, while we were at it, whilst there, "
        "whilst at it, while in there, since we were there, as we were there, other work, "
        "other job, "
        "other jobs, for other work, with other work, during other work, for access, access, "
        "shaft draw, part of shaft draw, "
        "access to shaft, to get at, to gain access, opportun*, same time as, at same time, "
        "at the same time, alongside, during engine change, during gearbox change, "
        "with engine change, "
        "while ashore, whilst ashore, while lifted, as boat was out, convenience, with cutless, "
        "with bearing, as long as we were*, as long as it was*, as long as she was*, while apart, "
        "there anyway, were there anyway, was there anyway, in there anyway, out anyway, "
        "off anyway, apart anyway, ashore anyway, did it as well, did it too, so did it, "
        "done as well, done at the same time, engine change*, engine swap*, engine replace*, "
        "engine renew*, new engine, new engines, repower*, re power*, gearbox change*, "
        "gearbox swap*, new gearbox, during refit, shaft alignment, for alignment, shaft replaced, "
        "shaft renewed, "
        "motorwechsel*, motortausch*, neuer motor, motor getauscht, getriebewechsel, "
        "changement moteur, changement de moteur, changement du moteur, changement moteurs, "
        "changement d inverseur, moteur change, moteur remplace, moteur depose, "
        "depose moteur, depose du moteur, nouveau moteur, remotoris*, profite de, profite du, "
        "profite que, en profitant, en meme temps, "
        "cambio de motor, cambio motor, cambio del motor, remotoriz*, al mismo tiempo, "
        "cambio motore, cambio del motore, sostituzione motore, rimotorizz*, allo stesso tempo, "
        "motorwissel, motor vervangen, nieuwe motor, tegelijk met, "
        "bei gelegenheit, bei der gelegenheit, im zuge, andere arbeit*, welle gezogen, "
        "welle ausgebaut, "
        "wegen zugang, zugang, tant qu on y etait, a l occasion, autre travail, autres travaux, "
        "arbre depose, arbre sorti, arbre tire, pour acces, aprovechando*, otro trabajo, "
        "otros trabajos, "
        "eje fuera, eje desmontado, eje sacado, por acceso, con l occasione, altro lavoro, "
        "altri lavori, asse sfilato, asse smontato, per accesso, ander werk, andere werkzaamheden, "
        "as getrokken, as uit, meegenomen, gelijktijdig, toegang"
    ),
)
_UNKNOWN = listed(
    "unknown, unk, unkn, unknown reason, unknown cause, not known, not recorded, no record, "
    "no records, not stated, not given, not specified, none given, none recorded, no reason, "
    "no reason given, not available, unspecified, n a, na, tbc, tbd, don t know, do not know, "
    "dont know, "
    "unbekannt*, k a, keine angabe, keine angaben, nicht bekannt, nicht erfasst, inconnu*, "
    "non renseigne, non precise, pas connu, non connu, desconocid*, s d, sin datos, no consta, "
    "no se sabe, "
    "sconosciut*, n d, non noto, non nota, onbekend*, onb, n b, niet bekend, geen opgave"
)
# When it was done, which is no reason; only where a cell says nothing else.
_OCCASIONS = frozenset(
    listed(
        "service, servicing, annual, annual service, yearly, every year, winter, summer, spring, "
        "autumn, season, start of season, end of season, winterising, commissioning, maintenance, "
        "refit, lift out, haul out, after launch, jahrlich, winterlager, wartung, entretien, "
        "entretien annuel, annuel, annuelle, hivernage, hiver, anual, invierno, invernada, "
        "annuale, inverno, rimessaggio, jaarlijks, winterberging, onderhoud, mantenimiento, "
        "manutenzione, revision annuelle"
    )
)
_STILL_IN = listed(
    "still in, still fitted, still in use, still in service, in service, in use, still running, "
    "not removed, noch eingebaut, noch in betrieb, toujours en place, en service, en place, "
    "en servicio, sigue montad*, ancora montat*, in servizio, nog in gebruik, nog gemonteerd"
)
_READ_DECOYS = (
    *DECOYS,
    *listed(
        "rope cutter*, rope locker, fire extinguisher*, fire pump, fire port, fire blanket, "
        "fire hose, fire alarm, lightning protection, lightning conductor, fishing boat, "
        "due to, due south, overdue to, engine age, good access, access hatch, hire fire, "
        "impact wrench, impact driver, line cutter*, anti vibration, in use by, part sold, "
        "scrapped part, part scrapped, old part scrapped, transferred to stock, rope guard"
    ),
)
_PHRASES = Phrases(
    {
        "failed": (*FAILED, *FAILED_PERHAPS),
        "degraded": DEGRADED,
        "sound": SOUND,
        "by_age": _BY_AGE,
        "planned": (*_PLANNED, *CAUTION),
        "looked": _LOOKED,
        "recall": _RECALL,
        "warranty": _WARRANTY,
        "bad_fit": _BAD_FIT,
        "other_work": _OTHER_WORK,
        "accident": _ACCIDENT,
        "line_wrap": _LINE_WRAP,
        "boat_left": BOAT_LEFT,
        "unknown": _UNKNOWN,
        "still_in": _STILL_IN,
        "": _READ_DECOYS,
    }
)
_UNSURE = frozenset(FAILED_PERHAPS) | frozenset(
    listed(
        "owner request, owners request, owner s request, customer request, insurer s request, "
        "insurance requirement, survey recommendation, surveyor s recommendation, "
        "workmanship, rope, ropes, wrapped, netting, fire, impact, choc, golpe, urto, rayo, "
        "tampen, cordage, orin, scrapped, "
        "transferred, transferred out, written off, age, eta, edad, alter, due, policy, interval, "
        "expired, verlopen, improved, modified, access, zugang, toegang, alongside, campaign, "
        "campagne, na, tired, fatigue, mooring line, convenience, 5 year, 7 year, 8 year, 10 year, "
        "five year, seven year, eight year, aged, vencid*, scadut*, cosmetic, feuer, programme, "
        "while ashore, whilst ashore, while lifted, as boat was out, with cutless, with bearing, "
        "so did it, did it too, ashore anyway, getting on a bit, getting on, getting old, "
        "profite de, profite du, en meme temps, al mismo tiempo, allo stesso tempo, new gearbox"
    )
)
# Beside a failure these tell its cause, not a plan: "split, old age".
_CAUSED_BY_AGE = frozenset(
    listed(
        "due to age, because of age, old age, age, aged, altersbedingt, alter, wegen alter, edad"
    )
    + listed("par age, por edad, per eta, eta, leeftijd, time expired")
)
# Alone in its cell, a word is a code that somebody chose, and means what it says.
_CLEAR_ALONE = frozenset(
    listed(
        "workmanship, rope, fire, impact, scrapped, transferred, age, eta, edad, alter, due, "
        "policy, interval"
    )
    + listed("expired, access, campaign, na, tired, aged, feuer, campagne")
)
_FLAGS: Mapping[str, str] = {
    "by_age": "by_age",
    "looked": "informative",
    "recall": "recall",
    "warranty": "warranty",
    "bad_fit": "bad_fit",
    "boat_left": "sold",
    "line_wrap": "line_wrap",
    "degraded": "degraded",
    "still_in": "still_in",
}


@dataclass(frozen=True, slots=True)
class ReasonRead:
    """Why a part came out.

    Attributes
    ----------
    reason : str
        One of `REASONS` of the plain layout; '' where the text gives none.
    certain : bool
        False where a person should look at it.
    phrase : str
        The words that say so, in small letters without accents.
    flags : tuple of str
        What else it tells: "degraded" (renewed while it worked, cracked or worn
        when out), "warranty", "recall", "by_age", "bad_fit", "informative"
        (renewed because it looked tired), "sold", "line_wrap", "still_in" (it
        did not come out).
    negated : bool
        True where the text holds a word that it denies.
    """

    reason: str
    certain: bool
    phrase: str = ""
    flags: tuple[str, ...] = ()
    negated: bool = False


def reason_of(text: str) -> ReasonRead:
    """Why a part came out, from a code, a word or a remark.

    An accident outweighs the failure it led to, a failure the other work or the
    plan that it was renewed with. A word that is denied says nothing.
    """
    found = _PHRASES.find(text)
    negated = any(one.negated for one in found)
    held = [one for one in found if not one.negated]
    if normal(text) in _OCCASIONS and not any(one.meaning != "unknown" for one in found):
        return ReasonRead("unknown", False, normal(text))
    if not found:
        asked = bool(text.strip()) and not text.strip(" ?")
        return ReasonRead("unknown", True, "?") if asked else ReasonRead("", False)
    worn = [one for one in held if one.meaning == "degraded"]
    if worn and allowed_by(found, worn):
        held = [one for one in held if one.meaning != "degraded"]
    by_meaning: dict[str, Found] = {}
    for one in held:
        known = by_meaning.get(one.meaning)
        if known is None or (known.listed in _UNSURE and one.listed not in _UNSURE):
            by_meaning[one.meaning] = one
    reason, named, certain = _weighed(by_meaning)
    alone = named is not None and normal(text) == named.phrase
    through = named is not None and named.meaning == "failed" and leaks_through(found)
    if named is not None and named.listed in _UNSURE and not through:
        certain = certain and alone and named.listed in _CLEAR_ALONE
    certain = certain and not (reason == "failed" and in_doubt(text, found))
    flags = [flag for meaning, flag in _FLAGS.items() if meaning in by_meaning]
    if "degraded" in flags and not by_meaning.keys().isdisjoint(("failed", "bad_fit")):
        flags.remove("degraded")
    return ReasonRead(
        reason,
        certain and "?" not in text,
        named.phrase if named else "",
        tuple(flags),
        negated,
    )


_SOUND_MEANINGS = ("by_age", "looked", "recall", "planned")


def _weighed(by_meaning: Mapping[str, Found]) -> tuple[str, Found | None, bool]:
    """The reason that outweighs the others, the phrase for it, and whether it is clear."""

    def first(*meanings: str) -> Found | None:
        return next((by_meaning[one] for one in meanings if one in by_meaning), None)

    failed, planned = first("failed"), first(*_SOUND_MEANINGS)
    left, other = first("boat_left"), first("other_work")
    if accident := first("line_wrap", "accident"):
        return "accident", accident, True
    if bad_fit := first("bad_fit"):
        return "failed", bad_fit, planned is None and left is None
    if failed:
        # Renewed by age and leaking, or leaking and sold: one of the two is the reason.
        if planned and failed.listed in _UNSURE:
            return "replaced_sound", planned, False
        agreed = planned is None or "recall" in by_meaning or planned.listed in _CAUSED_BY_AGE
        return "failed", failed, agreed and left is None
    if left:
        return "boat_left", left, planned is None and other is None
    if planned:
        return "replaced_sound", planned, True
    if other:
        return "other_work", other, True
    if degraded := first("degraded"):
        # Worn or cracked, and nobody said whether it still did its work.
        return "failed", degraded, False
    if still_in := first("still_in"):
        return "", still_in, True
    if warranty := first("warranty"):
        return "", warranty, False
    if sound := first("sound"):
        return "replaced_sound", sound, False
    if unknown := first("unknown"):
        return "unknown", unknown, True
    return "", None, False
