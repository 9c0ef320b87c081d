"""Which kind of part a text names, and which parts are of something else.

Every word is common practice, no source. The name of a part of the shaft line
is often that of another part too ("bellows" of an exhaust or a sterndrive, "seal"
of a hatch): what stands beside it decides, and such parts are never pooled.
"""

from __future__ import annotations

from dataclasses import dataclass
from difflib import get_close_matches
from functools import lru_cache

from analytics.records.vocabulary.phrases import Found, Phrases, listed, normal
from analytics.records.vocabulary.positions import Position, side_named

_SEALS = listed(
    "seal, face seal, mechanical seal, mechanical shaft seal, carbon seal, carbon face seal, "
    "carbon face, shaft seal, stern seal, stern gland, stern tube seal, dripless seal, carbon"
)
_BELLOWS = listed("bellows, bellow, belows, boot, gaiter, gaitor")
_GLANDS = listed(
    "gland, stern gland, packed gland, packing gland, stuffing box, shaft gland, packing box, "
    "stern tube, sterntube, stern, shaft log, shaft, shaft tube, rubber gland, shaft seal"
)
_CUTLESS_AT = listed(
    "shaft, prop shaft, propshaft, propeller shaft, propellor shaft, tail shaft, stern tube, "
    "sterntube, "
    "stern, strut, p bracket, a bracket, shaft bracket, bracket, stave, staved, fluted, "
    "water lubricated, rubber lined, rubber shaft, rubber, propeller, prop, shaft log"
)

_KINDS = {
    "bellows": (
        *(f"{seal} {bellows}" for seal in _SEALS for bellows in _BELLOWS),
        *(f"{where} {one}" for where in ("shaft", "stern", "rubber") for one in _BELLOWS),
        *listed(
            "bellows, bellow, belows, faltenbalg*, faltenbaelge*, gummibalg*, wellenbalg*, balg, "
            "dichtungsbalg, soufflet, soufflets, soufflet de joint tournant, fuelle, fuelles, "
            "soffietto, soffietti, vouwbalg*, rubberbalg, balgen"
        ),
    ),
    "face_seal": listed(
        "face seal, face seals, face seal set, faceseal, mechanical seal, mechanical seals, "
        "mech seal, mech seals, mechanical shaft seal, mechanical face seal, carbon face, "
        "carbon faces, carbon seal, carbon seals, carbon face seal, carbon ring, carbon flange, "
        "graphite face, graphite ring, face ring, face rings, face ring set, seal face, "
        "seal faces, "
        "stationary face, rotating face, rotor and face, bellows face seal, "
        "gleitringdichtung*, gleitring*, kohlering, kohlering*, "
        "garniture mecanique, garnitures mecaniques, joint mecanique, bague carbone, "
        "grain carbone, "
        "joint tournant, joint tournant d arbre, sello mecanico, sellos mecanicos, "
        "cierre mecanico, "
        "cara de carbon, anillo de carbon, tenuta meccanica, tenute meccaniche, tenuta frontale, "
        "anello di carbone, glijringafdichting*, glijring*, mechanische afdichting, "
        "mechanische asafdichting, koolring*"
    ),
    "lip_seal": listed(
        "lip seal, lip seals, lipseal, lipseals, lip type seal, shaft lip seal, double lip seal, "
        "twin lip seal, radial seal, radial shaft seal, lip shaft seal, rubber lip seal, "
        "lip gland, "
        "lippendichtung*, lippenseal, wellendichtring*, radialwellendichtring*, "
        "joint a levre, joint a levres, joints a levre, joints a levres, joint levre, "
        "reten de labio, reten de eje, reten del eje, retenes de eje, sello de labio, "
        "anello paraolio, anelli paraolio, tenuta a labbro, guarnizione a labbro, "
        "lipafdichting*, keerring*, oliekeerring*, lipseals"
    ),
    "packed_gland": listed(
        "stuffing box*, stuffingbox*, packed gland*, packing gland*, gland packing*, packing, "
        "packings, packing ring, packing rings, packing set, flax packing, ptfe packing, "
        "graphite packing, shaft packing, stern gland packing, stuffing box packing, packing box, "
        "stuffing, repacking, repacked, repack, "
        "stopfbuchs*, stopfbuechs*, stopfbuchsenpackung*, packung, packungen, packungsschnur, "
        "presse etoupe*, presse etoupes, presseetoupe*, tresse, tresses, tresse de presse etoupe, "
        "bourrage, prensaestopa*, prensa estopa*, empaquetadura*, estopada, "
        "premistoppa*, premitreccia, baderna, pakkingbus*, pakkingdrukker, vetkoord"
    ),
    "gland_hose": (
        *(f"{gland} {hose}" for gland in _GLANDS for hose in ("hose", "hoses", "sleeve hose")),
        *listed(
            "log hose, stevenrohrschlauch*, stopfbuchsenschlauch*, stopfbuchsschlauch*, "
            "wellenschlauch*, manchon de presse etoupe, manchon presse etoupe, "
            "durite de presse etoupe, durite presse etoupe, manchon d etambot, durite d etambot, "
            "manchon de tube d etambot, manguera de bocina, manguito de bocina, "
            "manguera de prensaestopas, manguito de prensaestopas, manicotto premistoppa, "
            "manicotto del premistoppa, manicotto astuccio, glandslang*, pakkingbusslang*, "
            "schroefaskokerslang*, slang schroefaskoker"
        ),
    ),
    "cutless_bearing": (
        *(f"{at} {one}" for at in _CUTLESS_AT for one in ("bearing", "bearings", "bush", "bushes")),
        *listed(
            "cutless*, cutlass*, cutless bearing*, cutlass bearing*, cut less bearing*, "
            "cutlessbearing*, stern tube bush, bearing staves, "
            "wellenlager*, stevenrohrlager*, stevenlager*, propellerwellenlager*, "
            "wellenbocklager*, "
            "wassergeschmiertes lager, bague d arbre, bagues d arbre, bague d helice, "
            "bague de chaise, "
            "palier d arbre, paliers d arbre, coussinet d arbre, bague de ligne d arbre, "
            "palier de chaise, cojinete de eje, cojinete del eje, cojinetes del eje, "
            "cojinete de bocina, "
            "casquillo de bocina, cojinete de arbotante, cojinete de goma, boccola asse, "
            "boccola dell asse, boccola d asse, boccola in gomma, cuscinetto dell asse, "
            "cuscinetto asse, cuscinetto asse elica, boccola braccetto, schroefaslager*, aslager*, "
            "rubberlager*, watergesmeerd lager"
        ),
    ),
    # A part of the shaft line, and nobody can say which.
    "seal": listed(
        "seal, seals, shaft seal, shaft seals, stern seal, stern seals, stern tube seal, dripless, "
        "dripless seal, propeller shaft seal, prop shaft seal, seal kit, seal set, shaft seal kit, "
        "dichtung, dichtungen, wellendichtung*, wellenabdichtung*, joint d arbre, joint, "
        "sello, sello de eje, sello del eje, tenuta, tenuta asse, guarnizione, afdichting*, "
        "asafdichting*, schroefasafdichting*"
    ),
    "hose": listed("hose, hoses, schlauch, durite, manchon, manguera, manguito, manicotto, slang"),
}
# Words that alone may be another part, or another kind.
_WEAK = {
    "bellows": listed("boot, boots, gaiter, gaiters, gaitor, manschette*, cuffia, belows, bellow"),
    "face_seal": listed("carbon, rotor, rotors"),
    "lip_seal": listed("oil seal, oil seals, reten, retenes, paraolio, lip, lips"),
    "packed_gland": listed("gland, glands, stern gland, stern glands, shaft gland, pakking, flax"),
    "cutless_bearing": listed(
        "bearing, bearings, rubber bearing, rubber bearings, rubber bush, rubber bushes, bush, "
        "bushes, "
        "bushing, bushings, gummilager, lager, palier, bague, coussinet, cojinete, cojinetes, "
        "boccola, boccole, cuscinetto, stave, staves, stern bearing, bracket bearing, prop bearing"
    ),
}
# Words that say what else a part belongs to.
_ELSEWHERE = listed(
    "exhaust, sterndrive, stern drive, outdrive, out drive, saildrive, sail drive, drive leg, "
    "outboard leg, rudder, rudder stock, rudder tube, rudder shaft, wheel, steering, "
    "steering shaft, "
    "steering cable, helm, hatch, hatches, portlight, port light, port hole, porthole, portholes, "
    "window, windows, windscreen, door, locker, gearbox, gear box, gearbox output, gearbox input, "
    "gearbox output shaft, transmission, crankshaft, crank, crank shaft, camshaft, alternator, "
    "water pump, raw water pump, sea water pump, seawater pump, fresh water pump, bilge pump, "
    "fuel pump, coolant pump, pump, pump shaft, impeller, windlass, anchor windlass, winch, "
    "bow thruster, stern thruster, thruster, mast, boom, furler, trailer, hub, wheel hub, toilet, "
    "heads, tank, water tank, fuel, fridge, compressor, turbo, starter, starter motor, genset, "
    "generator, u joint, universal joint, ujoint, cv joint, driveshaft, drive shaft, shift, "
    "shift cable, gear cable, gear lever, throttle, throttle cable, gimbal, air con, davit, "
    "passerelle, heat exchanger, thermostat, injector, valve stem, rocker cover, sump, "
    "thrust, keel, centreboard, seacock, hydraulic, trim tab, ram, folding propeller, dinghy, "
    "auspuff, ruder, ruderschaft, getriebe, lenkung, luke, lichtmaschine, wasserpumpe, "
    "echappement, gouvernail, safran, meche de safran, inverseur, direction, hublot, "
    "pompe, pompe a eau, guindeau, escape, timon, direccion, escotilla, reductora, inversor, "
    "bomba, "
    "scarico, timone, invertitore, boccaporto, pompa, salpancora, uitlaat, roer, roerkoning, "
    "keerkoppeling, luik, waterpomp, stuurwiel"
)
# Names that say it in one.
_NOT_OURS = listed(
    "engine bearing, engine bearings, main engine bearing, engine oil seal, engine front seal, "
    "engine rear seal, engine mount, engine mounts, engine hose, engine hoses, big end bearing, "
    "main bearing, main bearings, needle bearing, needle bearings, thrust bearing, "
    "roller bearing, ball bearing, trunnion bearing, rudderstock bearing, saildrive seal, "
    "saildrive diaphragm, diaphragm, auspuffbalg, auspuffschlauch, ruderlager*, radlager*, "
    "motorlager*, lukendichtung*, fensterdichtung*, getriebedichtung*, roerlager*, luikrubber*, "
    "wiellager*, motorsteun*, v belt, fan belt, drive belt, timing belt, fuel filter, oil filter, "
    "air filter, raw water filter, impellers, thermostats, spark plug, spark plugs, glow plug*, "
    "soufflet d embase, soufflet de cardan, fuelle de cola, fuelle de transmision"
)
_DECOYS = listed(
    "boot top, boot topping, boottop*, boot stripe, boot locker, packing list, packing case, "
    "packing material, packing note, packing foam, carbon fibre, carbon fiber, "
    "carbon copy, carbon dust, carbon monoxide, shaft bearing block, bearing in mind, "
    "bush fire, lip of, seal of, rotor arm, rotor blade, drip tray, sealant, main sheet"
)
_ACCESSORIES = frozenset(
    listed(
        "clamp, clamps, clip, clips, grease, greaser, puller, tool, tools, nut, nuts, screw, "
        "screws, "
        "spanner, extractor, carrier, housing, vent, alarm, cover, guard, schelle, schellen, "
        "collier, "
        "colliers, abrazadera, abrazaderas, fascetta, fascette, slangklem, slangklemmen, fett"
    )
)
# Names that no other part shares, so that only a word right before them can take them away.
_OURS: tuple[str, ...] = (
    "cutl",
    "shaft",
    "stern",
    "stuffing",
    "stopfb",
    "presse",
    "prensa",
    "premi",
    "p bracket",
)
_OURS += ("strut", "face seal", "carbon", "packed gland", "wellen", "steven", "schroefas", "prop")
_BETWEEN = frozenset(
    listed(
        "of, for, from, on, in, to, the, der, des, von, fur, de, du, d, del, di, della, van, "
        "voor, a"
    )
)
_APART = frozenset(listed("and, und, et, y, e, en, plus, with, while, after, before, also, near"))
_FOREIGN = "elsewhere"
_PHRASES = Phrases(
    {
        **{kind: (*words, *_WEAK.get(kind, ())) for kind, words in _KINDS.items()},
        _FOREIGN: _ELSEWHERE,
        "not_ours": _NOT_OURS,
        "": _DECOYS,
    }
)

# Long words that are mended when slightly misspelt, and words that only look like them.
_MENDED = listed(
    "bellows, cutless, cutlass, bearing, bearings, packing, stuffing, gaiter, mechanical, "
    "faltenbalg, gleitringdichtung, stopfbuchse, wellenlager, stevenrohrlager, wellendichtring, "
    "soufflet, prensaestopas, premistoppa, soffietto, schroefaslager, exhaust, sterndrive, "
    "outdrive, saildrive, rudder, steering, gearbox"
)
_ALIKE = frozenset(
    listed(
        "packaging, parking, packed, beating, bending, beading, mechanic, mechanics, bearded, stuff"
    )
    + listed(
        "staffing, cutlery, steeling, exhausted, rudders, belongs, below, pecking, picking, "
        "bearable"
    )
)
_LEAST_LETTERS = 6
_A_FEW = 2
_CUTOFF = 0.84


@dataclass(frozen=True, slots=True)
class KindRead:
    """Which kind of part a text names.

    Attributes
    ----------
    kind : str
        A name of the catalogue; '' where the text names none of them.
    certain : bool
        False where a person should look at it.
    foreign : str
        The words that name a part of something else, which must not be pooled.
    position : {"single", "port", "starboard", "both", ""}
        The side that the text names beside the part.
    both : bool
        True where that is both.
    kinds : tuple of str
        Every kind that the text names, in its order.
    """

    kind: str
    certain: bool
    foreign: str = ""
    position: Position = ""
    both: bool = False
    kinds: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class _Named:
    kind: str
    weak: bool


def kind_of(text: str) -> KindRead:
    """The kind of part that a text names.

    'Seal' alone is none, for it may be a face seal or a lip seal. A word that is
    slightly misspelt is mended, and then nothing is certain.
    """
    words = normal(text).split()
    found = _PHRASES.find(text)
    mended = False
    if not any(one.meaning in _CATALOGUE for one in found):
        read = {i for one in found for i in range(one.start, one.end)}
        better = [word if i in read else _mended(word) for i, word in enumerate(words)]
        if better != words:
            retried = _PHRASES.find(" ".join(better))
            if any(one.meaning in _CATALOGUE for one in retried):
                words, found, mended = better, retried, True
    if not found:
        return KindRead("", False)
    own, foreign = _sorted_out(words, found)
    position = side_named(text)
    both = position == "both"
    if not (own or foreign) and len(words) <= _A_FEW:
        # "Impeller": no part of a shaft line, by its only word.
        return KindRead("", False, found[0].phrase, position, both)
    if not own:
        return KindRead("", bool(foreign) and not mended, foreign, position, both)
    kinds, clear = _kinds(own)
    if not kinds:
        return KindRead("", False, foreign, position, both)
    certain = clear and not (foreign or mended or "?" in text or _is_accessory(words, found))
    return KindRead(kinds[0], certain, foreign, position, both, kinds)


_CATALOGUE = frozenset(_KINDS) - {"seal", "hose"}


def _sorted_out(words: list[str], found: list[Found]) -> tuple[list[_Named], str]:
    """The parts of the shaft line that are named, and the words for a part of something else."""
    places = [one for one in found if one.meaning == _FOREIGN]
    own: list[_Named] = []
    foreign = [one.phrase for one in found if one.meaning == "not_ours"]
    for one in found:
        if one.meaning in (_FOREIGN, "not_ours"):
            continue
        place = next((place for place in places if _belongs(words, one, place)), None)
        if place is None:
            own.append(_Named(one.meaning, one.listed in _WEAK.get(one.meaning, ())))
        else:
            start, end = min(one.start, place.start), max(one.end, place.end)
            foreign.append(" ".join(words[start:end]))
    return own, foreign[0] if foreign else ""


def _belongs(words: list[str], part: Found, place: Found) -> bool:
    """Whether a part is of that place: "exhaust bellows", "bearing of the rudder"."""
    # A cell of a few words names one part: "bearing, lower, rudder".
    short = len(words) <= 4
    if place.end <= part.start:
        between = words[place.end : part.start]
        near = len(between) <= 2 and _APART.isdisjoint(between)
        return near and (short or part.clause == place.clause)
    between = words[part.end : place.start]
    if _APART.intersection(between) or part.phrase.startswith(_OURS):
        return False
    joined = bool(between) and _BETWEEN.issuperset(between)
    return short or (joined and part.clause == place.clause)


def _kinds(own: list[_Named]) -> tuple[tuple[str, ...], bool]:
    """The kinds named, and whether they are one that is clear."""
    strong = [one.kind for one in own if not one.weak]
    hose = "hose" in strong
    named = [kind for kind in strong if kind in _CATALOGUE]
    clear = bool(named)
    if not named:
        named = [one.kind for one in own if one.weak]
    if hose and "packed_gland" in named:
        # "Hose for the packed gland".
        named = ["gland_hose" if kind == "packed_gland" else kind for kind in named]
        clear = False
    kinds = tuple(dict.fromkeys(named))
    return kinds, clear and len(kinds) == 1


def _is_accessory(words: list[str], found: list[Found]) -> bool:
    """Whether a text is about what goes with the part: "bellows clamps", "gland grease"."""
    return any(
        one.meaning in _CATALOGUE and one.end < len(words) and words[one.end] in _ACCESSORIES
        for one in found
    )


@lru_cache(maxsize=20_000)
def _mended(word: str) -> str:
    """The long word that a misspelt one is meant for; the word itself where none is near."""
    if len(word) < _LEAST_LETTERS or word in _ALIKE or word.isdigit():
        return word
    near = get_close_matches(word, [one for one in _MENDED if one[0] == word[0]], 1, _CUTOFF)
    return near[0] if near else word
