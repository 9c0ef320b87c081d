"""How a part was found, from what people wrote. Every word is common practice, no source."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from analytics.records.vocabulary.doubt_words import (
    CAUTION,
    EARLIER_FAILED,
    GOOD,
    NOT_DONE,
    STOPPED,
)
from analytics.records.vocabulary.doubts import in_doubt
from analytics.records.vocabulary.phrases import Found, Phrases, listed

Condition = Literal["sound", "degraded", "failed", ""]

FAILED = (
    *listed(
        "failed, failure, failures, fail, fails, failing, has failed, found failed, bad failure, "
        "leak*, split*, torn, tear, tears, tore, ripped, ruptur*, burst, broken, broke, snapped, "
        "seized, seizing, perforat*, holed, hole in, flood*, sank, sunk, sinking, disintegrated, "
        "collapsed, taking water, taking on water, making water, letting water in, water ingress, "
        "ingress of water, water coming in, gave way, gave out, let go, slipped off, came off, "
        "pulled off, blew off, blown off, defective, unserviceable, knackered, worn out, "
        "worn through, "
        "worn past, worn past limit, worn beyond, worn beyond limit, worn over limit, past limit, "
        "past limits, past the limit, over limit, over the limit, beyond limit, beyond limits, "
        "beyond the limit, out of limits, out of limit, out of tolerance, outside limits, "
        "exceeds limit, exceeded limit, excess clearance, excessive clearance, excessive play, "
        "excessive wear, debonded, delaminated, came apart, fell apart, lost compression, "
        "failed to seal, fails to seal, failing to seal, failure to seal, failed to hold, "
        "fails to hold, failed to keep water out, not stopped leak*, never stopped leak*, "
        "hasn t stopped leak*, hasnt stopped leak*, failed to stop leak*, "
        "failed to stop the leak*, hung up, had had it, has had it, have had it, clapped out, "
        "packing shot, shot, cracked through, cracked thru, cracked right through, split through, "
        "worn thru, perished through, perished and leaking, blown out, blown seal, blown bellows, "
        "blown hose, seal blown, bellows blown, hose blown, bellows gone, seal gone, hose gone, "
        "packing gone, bearing gone, cutless gone, dripping constantly, constantly dripping, "
        "constant drip*, dripping continuously, continuous drip*, dripping all the time, "
        "steady stream, constant stream, streaming water, pouring water, water pouring in, "
        "gushing, weeping constantly, constantly weeping, weeping continuously, "
        "out of spec, outside tolerance, over tolerance, past repair, beyond repair"
    ),
    # A negation that tells of a failure.
    *listed(
        "no longer watertight, no longer tight, no longer seal, no longer seals, "
        "no longer sealing, "
        "no longer holds, no longer holding, no longer works, no longer serviceable, "
        "not watertight, not leak free, never leak free, no longer leak free, "
        "not tight, not sealing, not holding, not working, not serviceable, won t seal, wont seal, "
        "not within limits, not within limit, no longer within limits, not within tolerance, "
        "not in tolerance, no longer in tolerance, not within spec, not in spec, "
        "won t hold, does not seal, doesn t seal, doesnt seal, did not seal, didn t seal, "
        "would not seal, wouldn t seal, will not seal, cannot be sealed, can t be sealed, "
        "won t stop leak*, would not stop leak*, wouldn t stop leak*, could not stop leak*, "
        "couldn t stop leak*, can t stop leak*, cannot stop leak*, will not stop leak*, "
        "won t stop drip*, would not stop drip*, could not stop drip*, "
        "nicht dicht, nicht mehr dicht, nicht wasserdicht, nicht mehr wasserdicht, dichtet nicht, "
        "dichtet nicht mehr, pas etanche, plus etanche, n est plus etanche, no estanco, "
        "no es estanco, ya no sella, no sella, non tiene, non tiene piu, non piu stagno, "
        "niet dicht, niet meer dicht, niet waterdicht, niet meer waterdicht, dicht niet meer"
    ),
    *listed(
        "undicht*, leck, lecks, leckt, leckte, leckage*, gerissen*, riss sich, geplatzt*, "
        "gebrochen*, "
        "defekt*, kaputt, ausgefallen*, versagt*, ausfall, verschlissen uber grenze, "
        "festgefressen*, hinuber, hinueber, im eimer, zu viel spiel, spiel zu gross, "
        "ausserhalb der toleranz, ausserhalb toleranz, wassereinbruch, uberflutet, "
        "fuite, fuites, fuit, fuyait, fuyant*, casse, cassee, dechir*, rompu*, perce, percee, "
        "defaillan*, hors tolerance, hors service, en panne, grippe, grippee, voie d eau, inonde*, "
        "foutu, foutue, foutus, foutues, mort, morte, morts, mortes, naze, bousille*, "
        "rendu l ame, jeu excessif, jeu trop important, jeu hors limite*, "
        "prise d eau en navigation, prise d eau en route, prise d eau en mer, "
        "soufflet hs, joint hs, bague hs, tresse hs, presse etoupe hs, manchon hs, durite hs, "
        "est hs, etait hs, completement hs, "
        "fuga, fugas, pierde, perdia, pierde agua, roto, rota, rasgad*, agrietado y pierde, "
        "averiad*, "
        "gripado, inundad*, fallo, fallado, via de agua, fuera de limite*, "
        "fuera de tolerancia, holgura excesiva, reventad*, "
        "perde, perdeva, perdita, perdite, rotto, rotta, strappat*, guasto, guasta, grippato, "
        "allagat*, fuori tolleranza, gioco eccessivo, "
        "lek, lekt, lekte, lekkage, lekkend*, gescheurd*, gebroken, versleten over limiet, "
        "water naar binnen, kapot, te veel speling, overmatige speling, buiten tolerantie"
    ),
)
# Words that may tell of a failure, or only of a part past its best.
FAILED_PERHAPS = listed(
    "crept, crept forward, slipped, rotor moved, rotor slipped, weep*, drip*, seep*, sprays, "
    "spraying, sprayed, spray, defect, defects, faulty, fault, u s, "
    "failed to pass, failed to work, failed to function, "
    "no good, no compression, no compression left, no spring left, gone, loose on tube, "
    "hot gland, overheat*, ran dry, run dry, running dry, dry run*, vastgelopen, "
    "excessive drip*, perished, blown, finished, past it, had it, done for, dead, died, packed up, "
    "given up, duff, toast, knocking, hs, cuit, cuite, prise d eau, andato, andata, tropft, "
    "goutte, gotea, gocciola, druppelt"
)
DEGRADED = (
    *listed(
        "cracked but dry, cracked, crack, cracks, cracking, crazed, crazing, hardened, hardening, "
        "gone hard, hard rubber, stiff, brittle, perished but dry, perished but not leaking, "
        "perishing, deteriorated, deterioration, "
        "degraded, swollen, softened, gone soft, bulging, bulged, chafed, chafing, scored, "
        "scoring, "
        "grooved, pitted, pitting, glazed, weak, weakened, rumble, rumbles, rumbling, noisy, "
        "vibration, vibrates, vibrating, black dust, carbon dust, corroded, corrosion, rusty, "
        "slight wear, some wear, wear, wearing, worn, slightly worn, partly worn, half worn, "
        "wear and tear, fair wear and tear, near limit, near the limit, close to limit, "
        "play, some play, slack, damaged, damage, poor, poor condition, bad condition, marginal, "
        "not good, not ok, not okay, not sound, not great, unsound, out of true"
    ),
    *listed(
        "rissig*, risse, riss, haarriss*, verhartet*, verhaertet*, ausgehartet, sprode, sproede, "
        "poros*, verschlissen*, verschleiss*, abgenutzt*, abnutzung, beschadigt*, beschaedigt*, "
        "schaden, spiel, aufgequollen, nicht gut, nicht in ordnung, "
        "fissur*, craquel*, durci*, usee, usure, endommag*, abim*, poreux, jeu, gonfle, "
        "agrietad*, grieta*, endurecid*, desgastad*, desgaste, gastad*, danad*, holgura, "
        "crepat*, crepa, crepe, indurit*, usurat*, usura, consumat*, danneggiat*, gioco, "
        "scheurtje*, scheuren, verhard*, versleten, slijtage, beschadigd, uitgedroogd, speling"
    ),
)
# Of these only somebody who was there knows how much: they may tell of a failure too.
_HALF = frozenset(
    listed(
        "poor, weak, damage, damaged, play, not good, not ok, not okay, not sound, not great, stiff"
    )
    + listed(
        "noisy, vibration, vibrates, vibrating, bad condition, poor condition, unsound, marginal"
    )
    + listed(
        "beschadigt*, beschaedigt*, schaden, endommag*, abim*, danad*, danneggiat*, beschadigd"
    )
)
SOUND = (
    *GOOD,
    *listed(
        "sound, good, good condition, good order, very good, ok, okay, all ok, all good, fine, "
        "serviceable, "
        "satisfactory, acceptable, as new, like new, in order, all in order, within limits, "
        "within limit, in limits, inside limits, in tolerance, within tolerance, "
        "within tolerances, inside tolerance, in spec, within spec, within service limit*, "
        "dry, tight, watertight, undamaged, intact, "
        "healthy, "
        "still good, still ok, still sound, still tight, works well, working well, "
        "works ok, works fine, working, passed, pass, "
        "nothing wrong, "
        "no issues, no issue, no problem, no problems, no concerns, no action needed, "
        "no action required, nothing to report, nothing found, nad, no change"
    ),
    *listed(
        "in ordnung, i o, gut, einwandfrei, dicht, trocken, unbeschadigt, ohne befund, "
        "im rahmen, in toleranz, in der toleranz, innerhalb toleranz, innerhalb der toleranz, "
        "ohne beanstandung, keine mangel, keine maengel, "
        "bon, bonne, bon etat, en bon etat, etanche, rien a signaler, ras, conforme, "
        "dans les tolerances, dans la tolerance, "
        "usure normale, jeu normal, admissible, en tolerancia, dentro de tolerancia, "
        "dentro de limites, aceptable, in tolleranza, entro i limiti, nei limiti, accettabile, "
        "binnen tolerantie, binnen de grenzen, acceptabel, "
        "bien, buen estado, en buen estado, correcto, estanco, sin novedad, "
        "buono, buona, buono stato, in buono stato, a posto, stagno, asciutto, "
        "goed, in orde, in goede staat, waterdicht, droog, geen bijzonderheden"
    ),
)
_NOT_THE_PARTS = tuple(
    f"{what} {how}"
    for what in listed(
        "engine mount, engine mounts, mount, mounts, coupling, exhaust hose, exhaust bellows, "
        "exhaust, rudder bearing, rudder seal, pump seal, water pump, raw water pump, bilge pump, "
        "impeller, hatch, hatch seal, heat exchanger, alternator, starter, gearbox mount"
    )
    for how in listed("broken, failed, failure, failing, cracked, worn, seized, split, dead, gone")
)
DECOYS = (
    *_NOT_THE_PARTS,
    *EARLIER_FAILED,
    *NOT_DONE,
    *listed(
        "dripless*, drip less, drip rate*, drip tight, shot blast*, shot peen*, point mort, "
        "temps mort, angle mort, duty rota, yard rota, crew rota, staff rota, on rota, hs code*, "
        "job finished, work finished, finished job, finished work, gone over, gone through, "
        "gone to, gone away, had it checked, had it done, had it replaced, had it looked at, "
        "had it changed, had it renewed, blown through, dead slow, dead ahead, dead end, "
        "dead reckoning, dead weight, dead wood, deadwood, dead flat, done for customer, "
        "done for owner, prise d eau de mer, prise d eau moteur, "
        "leak test, leak tests, leak tested, leak testing, leak check, leak checks, leak checked, "
        "failure prevention, split pin, split pins, split ring, split shell, split bearing, "
        "split seal, "
        "tear down, wear ring, wear sleeve, wear limit, weep hole, drip tray, drip pan, "
        "spray hood, "
        "spray paint, spray rail, engine failed, engine failure, engine seized, gearbox failed, "
        "gearbox failure, gearbox seized, gearbox leak*, pump failed, pump failure, pump leak*, "
        "oil leak*, diesel leak*, leak* from gearbox, leak* from engine, leak* from hatch, "
        "hatch leak*, exhaust leak*, coolant leak*, fuel leak*, mount broken, mounts broken, "
        "good news, dry dock, dry docked, drydock, dry storage, working day, working days, "
        "hard standing, "
        "fine mesh, sound signal, tight access"
    ),
)
# Wet, and with these beside it no longer tight: "cracked, weeping".
_WET = frozenset(
    listed("weep*, drip*, seep*, sprays, spraying, sprayed, spray, tropft, goutte, gotea")
    + listed("gocciola, druppelt, excessive drip*")
)
_OPEN = frozenset(
    listed("cracked, crack, cracks, perished, chafed, pitted, rissig*, risse, riss, haarriss*")
    + listed("fissur*, craquel*, agrietad*, grieta*, crepat*, crepa, crepe, scheurtje*, scheuren")
)
# Wear that a limit may allow.
_WEARS = frozenset(
    listed(
        "wear, wearing, worn, slight wear, some wear, slightly worn, partly worn, play, some play"
    )
    + listed("verschleiss*, verschlissen*, abnutzung, abgenutzt*, spiel, usure, usee, jeu")
    + listed("desgaste, desgastad*, holgura, usura, usurat*, gioco, slijtage, versleten, speling")
)
_ALLOWED = (
    *listed("limit, toleran, tolleran, spec, acceptab, aceptab, accettab, admissib"),
    *listed("grenzen, rahmen"),
)
_PHRASES = Phrases(
    {
        "failed": (*FAILED, *FAILED_PERHAPS),
        "degraded": DEGRADED,
        "sound": SOUND,
        "": (*DECOYS, *CAUTION),
    }
)
_PERHAPS = frozenset(FAILED_PERHAPS) | _HALF
_STOPPED = frozenset(STOPPED)


@dataclass(frozen=True, slots=True)
class ConditionRead:
    """What a text says of a part's condition.

    Attributes
    ----------
    condition : {"sound", "degraded", "failed", ""}
        '' where it says nothing.
    certain : bool
        False where a person should look at it.
    phrase : str
        The words that say so, in small letters without accents.
    negated : bool
        True where the text holds a word of wear or failure that it denies.
    """

    condition: Condition
    certain: bool
    phrase: str
    negated: bool


def condition_of(text: str) -> ConditionRead:
    """How a part was found, from any text. The worst that stands in it counts.

    A word of failure that is denied leaves the part sound ("no leak found");
    one that is only feared, or was not looked for, leaves it unsaid.
    """
    found = _PHRASES.find(text)
    negated = any(one.negated for one in found)
    asked = "?" in text
    for condition in ("failed", "degraded"):
        held = [one for one in found if one.meaning == condition and not one.negated]
        if held:
            clear = next((one for one in held if one.listed not in _PERHAPS), None)
            if condition == "failed" and clear is None and leaks_through(found):
                clear = held[0]
            if condition == "degraded" and (allowed := allowed_by(found, held)):
                certain = not asked and _beside(allowed, held)
                return ConditionRead("sound", certain, allowed.phrase, negated)
            named = clear or held[0]
            doubted = asked or (condition == "failed" and in_doubt(text, found))
            return ConditionRead(
                condition, clear is not None and not doubted, named.phrase, negated
            )
    sound = [one for one in found if one.meaning == "sound"]
    held = [one for one in sound if not one.negated]
    if held:
        # It did leak, and whether it will again nobody can say.
        doubted = asked or any(one.listed in _STOPPED for one in held)
        certain = not (doubted or (negated and len(held) < len(sound)))
        return ConditionRead("sound", certain, held[0].phrase, negated)
    denied = [one for one in found if one.negated and not one.supposed and one.meaning != "sound"]
    if denied and not any(one.supposed for one in found):
        return ConditionRead("sound", not asked, denied[0].phrase, negated)
    if sound:
        # "Not acceptable": something is wrong, and nobody said what.
        supposed = all(one.supposed for one in sound)
        return ConditionRead("" if supposed else "degraded", False, sound[0].phrase, True)
    return ConditionRead("", False, "", negated)


def leaks_through(found: Sequence[Found]) -> bool:
    """Whether phrases tell of a part that is open and wet: "cracked, weeping"."""
    held = {one.listed for one in found if not one.negated}
    return not (held.isdisjoint(_WET) or held.isdisjoint(_OPEN))


def allowed_by(found: Sequence[Found], worn: Sequence[Found]) -> Found | None:
    """The words that call all the wear allowed: "some wear, within limits", "wear ok"."""
    if any(one.listed not in _WEARS for one in worn):
        return None
    for one in found:
        told = any(word in one.phrase for word in _ALLOWED) or _beside(one, worn)
        if one.meaning == "sound" and not one.negated and told:
            return one
    return None


def _beside(allowed: Found, worn: Sequence[Found]) -> bool:
    """Whether the wear is only what the words right before or behind it allow."""
    return all(
        one.clause == allowed.clause and (one.end == allowed.start or allowed.end == one.start)
        for one in worn
    )
