"""What was done on a job, from what people wrote. Every word is common practice, no source."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Literal

from analytics.records.vocabulary.conditions import DECOYS, FAILED, FAILED_PERHAPS
from analytics.records.vocabulary.doubt_words import CAUTION, GOOD, STOPPED
from analytics.records.vocabulary.doubts import in_doubt
from analytics.records.vocabulary.phrases import Found, Phrases, listed, normal
from analytics.records.vocabulary.reasons import BOAT_LEFT

Action = Literal[
    "fitted",
    "removed",
    "replaced",
    "failed",
    "seen",
    "upkeep",
    "refurbished",
    "moved",
    "bought",
    "meter",
    "engine",
    "left",
    "other",
    "",
]


def _paired(firsts: Iterable[str], seconds: Iterable[str]) -> tuple[str, ...]:
    """Every first with every second behind it."""
    seconds = tuple(seconds)
    return tuple(f"{first} {second}" for first in firsts for second in seconds)


_REPLACED = listed(
    "replaced, replace, replacement, replacing, replaces, renewed, renew, renewal, renewing, "
    "new, changed, change, changing, changed out, change out, exchanged, exchange, swapped, "
    "swap, swapped out, swap out, swapping out, r and r, removed and renewed, in and out, "
    "repacked, repack, repacking, removed and replaced, r r, out and in, "
    "ersetzt*, erneuert*, gewechselt*, ausgewechselt, getauscht*, ausgetauscht*, austausch, "
    "tausch, wechsel, neu verpackt, neue packung, neu, neue, neuer, neues, "
    "remplac*, change, changee, changement, renouvel*, echange, echangee, neuf, neuve, nouveau, "
    "nouvelle, sustitu*, reemplaz*, cambiad*, cambio, renovad*, nuevo, nueva, "
    "sostitu*, cambiat*, rinnovat*, nuovo, nuova, rimpiazzat*, "
    "vervang*, vernieuwd*, gewisseld, verwisseld, nieuw, nieuwe"
)
_FITTED = listed(
    "fitted, fit, fitting, installed, install, installation, installing, mounted, mount, "
    "put in, putting in, puts in, first fit, original fit, factory fit, fitted new, new fitted, "
    "eingebaut*, neu eingebaut, ne eingebaut, montiert*, einbau, erstausrustung, verbaut, "
    "monte, montee, installe*, pose, posee, mise en place, montage, "
    "montad*, instalad*, colocad*, montat*, installat*, gemonteerd, ingebouwd, geplaatst, inbouw"
)
_REMOVED = listed(
    "removed, remove, removal, taken out, taken off, took out, pulled out, stripped out, "
    "withdrawn, dismantled, dismounted, ausgebaut*, demontiert*, entfernt*, ausbau, "
    "depose, deposee, demonte, demontee, retire, retiree, enleve, enlevee, "
    "desmontad*, retirad*, quitad*, smontat*, rimoss*, tolto, tolta, "
    "verwijderd*, uitgebouwd, gedemonteerd, weggehaald"
)
_SEEN = listed(
    "inspected, inspect, inspection, checked, check, checks, surveyed, survey, seen, looked at, "
    "examined, tested, test, leak test*, leak check*, measured, viewed, observed, monitored, "
    "monitor, "
    "ok, okay, good, in order, no change, left in place, left as is, found ok, found good, "
    "no action, "
    "gepruft*, geprueft*, kontrolliert*, kontrolle, inspiziert*, besichtigt*, sichtprufung, "
    "controle, controlee, inspecte, inspectee, verifi*, vu, examine, "
    "revisad*, inspeccion*, comprobad*, verificad*, controllat*, ispezion*, verificat*, "
    "gecontroleerd*, geinspecteerd*, nagekeken, bekeken, inspectie, controle"
)
_UPKEEP = listed(
    "burped, burp, burping, r i, r and i, backed off, re bled, rebled, packing nipped, "
    "greased, grease, greasing, regreased, re greased, tightened, tighten, tightening, "
    "retightened, "
    "re tightened, nipped up, adjusted, adjust, adjustment, packing adjusted, packing tightened, "
    "gland adjusted, gland tightened, topped up, top up, ring added, added ring, added a ring, "
    "added one ring, one ring added, recompressed, re compressed, recompress, compression reset, "
    "reset compression, "
    "compression adjusted, bled, bleed, bleeding, vented, cleaned, clean, cleaning, lubricated, "
    "lubed, flushed, serviced, service, servicing, maintenance, aligned, realigned, re aligned, "
    "alignment, "
    "clamps tightened, clamps replaced, clamp replaced, clamps renewed, new clamps, new clamp, "
    "set screws replaced, new set screws, new grease, grease changed, polished, painted, "
    "antifouled, "
    "refitted, refit, reinstalled, re installed, re fitted, put back, removed and refitted, "
    "removed and reinstalled, oil change, oil changed, new oil, washed, "
    "geschmiert*, gefettet*, nachgefettet*, nachgezogen*, angezogen*, nachgestellt*, eingestellt*, "
    "entluftet*, entlueftet*, gereinigt*, gewartet, wartung, wieder eingebaut, "
    "graisse*, resserre*, serre, regle, reglee, reglage, purge*, nettoye*, entretien, remonte, "
    "remontee, engrasad*, apretad*, reapretad*, ajustad*, purgad*, limpiad*, mantenimiento, "
    "ingrassat*, serrat*, regolat*, spurgat*, pulit*, manutenzione, rimontat*, "
    "gesmeerd*, ingevet*, aangedraaid*, nagesteld*, afgesteld*, ontlucht*, schoongemaakt*, "
    "onderhoud"
)
_REFURBISHED = listed(
    "refurbished, refurbish, refurb, re lapped, relapped, lapped, re lap, relap, overhauled, "
    "overhaul, "
    "rebuilt, rebuild, reconditioned, recon, re faced, refaced, repaired, repair, machined, "
    "re machined, "
    "uberholt*, ueberholt*, gelappt, nachgelappt, aufgearbeitet*, repariert*, reparatur, "
    "revise, revisee, rode, rodee, remis a neuf, reconditionne*, repare, reparee, "
    "reacondicionad*, rectificad*, reparad*, revisionat*, lappat*, riparat*, "
    "gereviseerd*, gelapt, gerepareerd*, opgeknapt"
)
_MOVED = listed(
    "moved to, moved from, moved, transferred to, transferred from, transferred into, transfer to, "
    "swapped to, swapped with, swapped from, swapped onto, swapped over to, relocated, "
    "relocated to, taken from, "
    "taken for, robbed for, robbed from, borrowed from, borrowed for, given to, came from, "
    "fitted to another boat, to other boat, to another boat, from other boat, from another boat, "
    "from donor, "
    "umgebaut auf, umgesetzt, verlegt auf, ubernommen von, transfere*, deplace*, monte sur autre, "
    "trasladad*, pasado a, transferid*, spostat*, trasferit*, verplaatst*, overgezet*, "
    "overgeplaatst*"
)
_BOUGHT = listed(
    "bought, buy, purchased, purchase, ordered, order, on order, received, kit received, "
    "delivered, delivery, stock, stocked, to stock, into stock, for stock, in stock, spare, "
    "spares, goods in, issued, issue, drawn from stores, supplied, invoiced, quoted, "
    "replacement ordered, new ordered, new one ordered, new kit ordered, spare bought, "
    "gekauft*, bestellt*, geliefert*, lager, auf lager, eingelagert, ausgegeben, "
    "achete*, commande, commandee, recu, recue, livre, en stock, "
    "comprad*, pedido, recibid*, entregad*, en almacen, acquistat*, comprat*, ordinat*, ricevut*, "
    "consegnat*, gekocht*, besteld*, ontvangen, geleverd*, op voorraad, voorraad"
)
_METERS = listed(
    "hour meter, hours meter, hourmeter, engine hour meter, meter, hour counter, hours counter, "
    "counter, hour clock, engine clock, tacho, tachometer, hour gauge"
)
_METER = (
    *_paired(
        _METERS,
        listed(
            "replaced, renewed, changed, change, replacement, reset, re set, swapped, zeroed, "
            "rolled over, "
            "set to zero, set to 0, new, was reset, was replaced, fitted, exchange, exchanged"
        ),
    ),
    *(f"{new} {meter}" for new in ("new", "reset", "replaced", "changed") for meter in _METERS),
    *listed(
        "meter, hour meter, hourmeter, stundenzahler*, stundenzaehler*, betriebsstundenzahler*, "
        "betriebsstundenzaehler*, compteur*, compteur horaire, horametro, cuentahoras, contaore, "
        "urenteller*"
    ),
)
_ENGINES = listed("engine, main engine, motor")
_ENGINE = (
    *_paired(
        _ENGINES,
        listed(
            "replaced, renewed, changed, change, swap, swapped, replacement, exchanged, exchange, "
            "was replaced, was changed, getauscht, ersetzt, erneuert, gewechselt, nuevo, cambiado, "
            "sustituido, reemplazado, vervangen, vernieuwd"
        ),
    ),
    *listed(
        "new engine, new engines, new motor, new main engine, replacement engine, re engine*, "
        "reengine*, repower*, re power*, exchange engine, swapped engine, changed engine, "
        "replaced engine, "
        "neuer motor, motortausch, motorwechsel, austauschmotor, moteur remplace, moteur change, "
        "nouveau moteur, moteur neuf, remotoris*, changement de moteur, changement moteur, "
        "changement du moteur, changement moteurs, motorwissel, nuevo motor, "
        "cambio de motor, remotoriz*, motore nuovo, nuovo motore, motore sostituito, rimotorizz*, "
        "cambio motore, nieuwe motor"
    ),
)
_WANTED = listed(
    "need, needs, needed, needing, needs to be, should, should be, must be, will be, will need, "
    "due for, recommend, recommends, recommended, recommending, advise, advised, require, "
    "requires, "
    "required, quote for, quote to, request, requested, awaiting, plan to, planned for, consider, "
    "ought to, muss, sollte, soll, zu, a, da, te, moet, doit etre, debe, deve, hay que, "
    "empfohlen, a prevoir"
)
_WORK = listed(
    "replaced, replace, replacing, replacement, renewed, renew, renewing, renewal, changed, "
    "change, changing, new, swapped, fitted, repacked"
)
_LATER = listed(
    "next, next lift, next haul, next haulout, next season, next winter, next year, next time, "
    "soon, due, overdue, recommended, advised, needed, required, later, at next, at next lift, "
    "at next haul, at next haulout, at next haul out, this winter, in spring, postponed, "
    "deferred, cancelled, pending"
)
# What is still to do was only seen.
_STILL_TO_DO = (
    *_paired(
        listed(
            "need, needs, needed, needing, needs to be, needs a, should be, must be, will be, "
            "to be, due for, recommend, recommended, advise, advised, require, requires, required, "
            "quote for, quote to, "
            "plan to, planned for, awaiting, ought to be, have to be, has to be, had to be deferred"
        ),
        _WORK,
    ),
    *_paired(listed("replace, replacement, renew, renewal, change, repack"), _LATER),
    *listed(
        "muss ersetzt werden, sollte ersetzt werden, muss erneuert werden, zu ersetzen, "
        "a remplacer, a changer, a prevoir, doit etre remplace, para cambiar, hay que cambiar, "
        "debe cambiarse, da sostituire, da cambiare, te vervangen, moet vervangen worden"
    ),
)
_READ_DECOYS = (
    *(phrase for phrase in DECOYS if not phrase.startswith("leak ")),
    *CAUTION,
    *listed(
        "as new, like new, nearly new, new crack*, new noise, new vibration, new boat, "
        "new owner, new year, new season, new york, "
        "shaft moved, shaft had moved, moved aft, moved forward, moved astern, moved back, "
        "out for rebuild, for rebuild, out for overhaul, for overhaul, out for repair, "
        "for repair, for repairs, coupling repair*, coupling rebuil*, gearbox repair*, "
        "gearbox rebuil*, gearbox overhaul*, trans rebuil*, transmission rebuil*, "
        "engine rebuil*, engine repair*, engine overhaul*, prop repair*, propeller repair*, "
        "pump rebuil*, pump repair*, rebuilt pump, "
        "engine mount*, engine mounts replaced, new engine mount*, engine fitted, engine order, "
        "shaft removed, shaft drawn, shaft pulled, shaft taken out, shaft withdrawn, "
        "rudder removed, prop removed, propeller removed, for change, change of, "
        "change over day, changeover day, change oil, well fitted, part sold, badly fitted, "
        "wrongly fitted, incorrectly fitted, fit for, poor fit, bad fit, in good order, "
        "in working order, job order, work order, work order no, "
        "order no, order number, service book, test run, meter reading, meter readings, "
        "meter read, hours meter reading, wear limit, rope cutter*"
    ),
)
_PHRASES = Phrases(
    {
        "replaced": _REPLACED,
        "fitted": _FITTED,
        "removed": _REMOVED,
        "failed": (*FAILED, *FAILED_PERHAPS, "new leak*"),
        "seen": (*_SEEN, *GOOD),
        "still_to_do": _STILL_TO_DO,
        "upkeep": _UPKEEP,
        "refurbished": _REFURBISHED,
        "moved": _MOVED,
        "bought": _BOUGHT,
        "meter": _METER,
        "engine": _ENGINE,
        "left": tuple(phrase for phrase in BOAT_LEFT if not phrase.startswith("transferred")),
        "other": listed(
            "other, misc, miscellaneous, sundry, sonstiges, divers, autre, otro, altro, overig"
        ),
        "": _READ_DECOYS,
    },
    supposing=[want for want in _WANTED if len(want) > 2],
)
# The first that stands is what was done; whatever else stands went with it.
_ORDER: tuple[Action, ...] = (
    "replaced",
    "moved",
    "engine",
    "meter",
    "fitted",
    "refurbished",
    "removed",
    "left",
    "bought",
    "failed",
    "upkeep",
    "seen",
    "other",
)
# Pairs that are commonly written of one job, and contradict nothing.
_AGREE: dict[str, frozenset[str]] = {
    "replaced": frozenset({"removed", "failed", "fitted", "bought", "seen", "upkeep"}),
    "fitted": frozenset({"seen", "bought", "upkeep"}),
    "moved": frozenset({"removed", "fitted", "seen"}),
    "refurbished": frozenset({"removed", "failed", "seen", "upkeep"}),
    "removed": frozenset({"failed", "seen"}),
    "upkeep": frozenset({"seen", "failed", "removed"}),
    "left": frozenset({"seen"}),
}
_DRIPS = frozenset(FAILED_PERHAPS)
_STOPPED = frozenset(STOPPED)
_UNSURE = _DRIPS | frozenset(
    listed(
        "change, cambio, wechsel, tausch, moved, fit, fitting, mount, repair, repaired, "
        "refit, refitted, service, serviced, maintenance, stock, spare, spares, lager, order, "
        "issue, "
        "monitor, meter, hour meter, hourmeter, compteur*, withdrawn, scrapped, written off, test, "
        "reparatur, wartung, entretien, onderhoud, mantenimiento, manutenzione, pose, rode, "
        "r i, r and i, in and out, backed off, given to, taken from, came from, taken for, "
        "repaired, repariert*, repare, good, revise, "
        "retirad*, horametro, cuentahoras, contaore, urenteller*, machined"
    )
)
# Of these "new kit received" has one, and nothing was renewed by it.
_NEW = frozenset(
    listed("new, neu, neue, neuer, neues, neuf, neuve, nouveau, nouvelle, nuevo, nueva, nuovo")
    + listed("nuova, nieuw, nieuwe, replacement")
)
# The same part went back.
_PUT_BACK = frozenset(
    listed(
        "refitted, refit, reinstalled, re installed, re fitted, put back, wieder eingebaut, remonte"
    )
    + listed("remontee, rimontat*")
)
# Behind a word of work they say that it is still to do.
_STILL_ASKED = frozenset(
    listed("needed, required, recommended, advised, quoted, quote, pending, deferred, postponed")
    + listed("cancelled, awaiting, empfohlen, notig, necessaire, necesario, necessario, nodig")
)
# In a cell of its own such a word is a code, and means what it says.
_CLEAR_ALONE = frozenset(
    listed("change, fit, refitted, service, serviced, maintenance, stock, repair, repaired, test")
    + listed(
        "moved, cambio, wechsel, tausch, reparatur, wartung, entretien, onderhoud, monitor, good"
    )
)


@dataclass(frozen=True, slots=True)
class ActionRead:
    """What was done.

    Attributes
    ----------
    action : str
        One of `Action`; '' where the text says nothing of it.
    certain : bool
        False where a person should look at it.
    phrase : str
        The words that say so, in small letters without accents.
    negated : bool
        True where the text holds a word that it denies, or only asks for.
    """

    action: Action
    certain: bool
    phrase: str = ""
    negated: bool = False


def action_of(text: str) -> ActionRead:
    """What was done, from a code, a word or a remark.

    What was not done, or is still to do, was at least seen: "not replaced".
    """
    found = _PHRASES.find(text)
    wanted = [one for one in found if one.meaning == "still_to_do"]
    negated = bool(wanted) or any(one.negated for one in found)
    asked = "?" in text
    held = _of_one_job([one for one in found if not one.negated and one.meaning != "still_to_do"])
    for action in _order_of(held):
        of_it = [one for one in held if one.meaning == action]
        if of_it:
            named = next((one for one in of_it if one.listed not in _UNSURE), of_it[0])
            certain = not asked and _is_clear(named, text)
            certain = certain and not (action == "failed" and in_doubt(text, found))
            if action not in ("failed", "seen"):
                others = {one.meaning for one in held} - {action, "other"}
                certain = certain and others <= _AGREE.get(action, frozenset())
                # Dripped and was tightened: perhaps only adjusted, perhaps failing.
                wet = "failed" in others or any(one.listed in _STOPPED for one in held)
                certain = certain and not (action == "upkeep" and wet)
                certain = certain and not wanted and _STILL_ASKED.isdisjoint(normal(text).split())
            return ActionRead(action, certain, named.phrase, negated)
    if wanted:
        return ActionRead("seen", not asked, wanted[0].phrase, True)
    looked_for = [one for one in found if one.meaning not in ("upkeep", "bought", "other", "seen")]
    if looked_for:
        # Only feared or asked for: perhaps nobody looked.
        certain = not asked and not any(one.supposed for one in looked_for)
        return ActionRead("seen", certain, looked_for[0].phrase, True)
    if found:
        return ActionRead("other", False, found[0].phrase, True)
    return ActionRead("", False)


def _order_of(held: list[Found]) -> tuple[Action, ...]:
    """The order of what was done; a drip that was tightened away is upkeep."""
    failures = [one for one in held if one.meaning == "failed"]
    tended = any(one.meaning == "upkeep" for one in held)
    if not tended or any(one.listed not in _DRIPS for one in failures):
        return _ORDER
    return (*(one for one in _ORDER if one != "failed"), "failed")


def _of_one_job(held: list[Found]) -> list[Found]:
    """The phrases without those that others on the job take the meaning from."""
    meanings = {one.meaning for one in held}
    if "bought" in meanings and "fitted" not in meanings:
        held = [one for one in held if one.listed not in _NEW]
    if any(one.listed in _PUT_BACK for one in held):
        held = [one for one in held if one.meaning != "removed"]
    return held


def _is_clear(named: Found, text: str) -> bool:
    """Whether a phrase means what it is listed under and nothing else."""
    if named.listed not in _UNSURE:
        return True
    return named.listed in _CLEAR_ALONE and normal(text) == named.phrase
