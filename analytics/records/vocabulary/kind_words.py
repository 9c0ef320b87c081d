"""The names of parts, of the shaft line and of other things, in six languages.

Every word is common practice, no source.
"""

from __future__ import annotations

from analytics.records.vocabulary.phrases import listed

_SEALS = listed(
    "seal, face seal, mechanical seal, mechanical shaft seal, carbon seal, carbon face seal, "
    "carbon face, shaft seal, stern seal, stern gland, stern tube seal, dripless seal, "
    "dripless shaft seal, "
    "dripless, carbon"
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
_BEARINGS = ("bearing", "bearings", "brg", "brgs", "bush", "bushes")

PARTS = {
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
        "joint levres, joints levre, joints levres, joint d arbre a levre, "
        "joint d arbre a levres, joints d arbre a levre, joints d arbre a levres, "
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
            "manchon du presse etoupe, durite du presse etoupe, manchette de presse etoupe, "
            "manchette du presse etoupe, manchette presse etoupe, manchette d etambot, "
            "durite de presse etoupe, durite presse etoupe, manchon d etambot, durite d etambot, "
            "manchon de tube d etambot, manguera de bocina, manguito de bocina, "
            "manguera de prensaestopas, manguito de prensaestopas, manicotto premistoppa, "
            "manicotto del premistoppa, manicotto astuccio, glandslang*, pakkingbusslang*, "
            "schroefaskokerslang*, slang schroefaskoker"
        ),
    ),
    "cutless_bearing": (
        *(f"{at} {one}" for at in _CUTLESS_AT for one in _BEARINGS),
        *listed(
            "cutless*, cutlass*, cutless bearing*, cutlass bearing*, cut less bearing*, "
            "cutlessbearing*, stern tube bush, bearing staves, "
            "wellenlager*, stevenrohrlager*, stevenlager*, propellerwellenlager*, "
            "wellenbocklager*, "
            "wassergeschmiertes lager, bague d arbre, bagues d arbre, bague d helice, "
            "bague de chaise, bague hydrolub*, bagues hydrolub*, bague hydro, bagues hydro, "
            "hydrolub*, "
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
        "seal, seals, shaft seal, shaft seals, stern seal, stern seals, stern tube seal, "
        "propeller shaft seal, prop shaft seal, seal kit, seal set, shaft seal kit, "
        "dichtung, dichtungen, wellendichtung*, wellenabdichtung*, joint d arbre, joint, "
        "sello, sello de eje, sello del eje, tenuta, tenuta asse, guarnizione, afdichting*, "
        "asafdichting*, schroefasafdichting*"
    ),
    "hose": listed("hose, hoses, schlauch, durite, manchon, manguera, manguito, manicotto, slang"),
}
# Words that alone may be another part, or another kind.
WEAK = {
    "bellows": listed("boot, boots, gaiter, gaiters, gaitor, manschette*, cuffia, belows, bellow"),
    # With bellows, as a rule; some makers call a lip seal so.
    "face_seal": listed(
        "carbon, rotor, rotors, dripless, dripless seal, dripless seals, dripless shaft seal, "
        "dripless shaft seals, dripless gland, dripless stern gland, dripless system"
    ),
    "lip_seal": listed("oil seal, oil seals, reten, retenes, paraolio, lip, lips"),
    "packed_gland": listed("gland, glands, stern gland, stern glands, shaft gland, pakking, flax"),
    "gland_hose": listed(
        "manchette pe, manchon pe, durite pe, manchette de pe, manchon de pe, durite de pe"
    ),
    "cutless_bearing": listed(
        "bearing, bearings, brg, brgs, rubber bearing, rubber bearings, rubber bush, "
        "rubber bushes, bush, "
        "bushes, "
        "bushing, bushings, gummilager, lager, palier, bague, coussinet, cojinete, cojinetes, "
        "boccola, boccole, cuscinetto, stave, staves, stern bearing, bracket bearing, prop bearing"
    ),
}
# Words that say what else a part belongs to.
ELSEWHERE = listed(
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
NOT_OURS = listed(
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
NO_PARTS = listed(
    "boot top, boot topping, boottop*, boot stripe, boot locker, packing list, packing case, "
    "packing material, packing note, packing foam, carbon fibre, carbon fiber, "
    "carbon copy, carbon dust, carbon monoxide, shaft bearing block, bearing in mind, "
    "bush fire, lip of, seal of, rotor arm, rotor blade, drip tray, sealant, main sheet"
)
ACCESSORIES = frozenset(
    listed(
        "clamp, clamps, clip, clips, grease, greaser, puller, tool, tools, nut, nuts, screw, "
        "screws, "
        "spanner, extractor, carrier, housing, vent, alarm, cover, guard, schelle, schellen, "
        "collier, "
        "colliers, abrazadera, abrazaderas, fascetta, fascette, slangklem, slangklemmen, fett"
    )
)
# Places that have such parts of their own, so that their parts go by the same short names.
ALIKE_PARTS = frozenset(
    listed(
        "exhaust, sterndrive, stern drive, outdrive, out drive, saildrive, sail drive, drive leg, "
        "outboard leg, u joint, universal joint, ujoint, gimbal, auspuff, echappement, escape, "
        "scarico, uitlaat"
    )
)
# Long words that are mended when slightly misspelt, and words that only look like them.
MENDED = listed(
    "bellows, cutless, cutlass, bearing, bearings, packing, stuffing, gaiter, mechanical, "
    "faltenbalg, gleitringdichtung, stopfbuchse, wellenlager, stevenrohrlager, wellendichtring, "
    "soufflet, prensaestopas, premistoppa, soffietto, schroefaslager, exhaust, sterndrive, "
    "outdrive, saildrive, rudder, steering, gearbox"
)
ALIKE = frozenset(
    listed(
        "packaging, parking, packed, beating, bending, beading, mechanic, mechanics, bearded, stuff"
    )
    + listed(
        "staffing, cutlery, steeling, exhausted, rudders, belongs, below, pecking, picking, "
        "bearable"
    )
)
