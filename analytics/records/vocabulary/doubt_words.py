"""Words of a good state or of a mere supposition, with which no failure is certain.

Actions, conditions and reasons share them. They are common practice, no source.
"""

from __future__ import annotations

from analytics.records.vocabulary.matching import listed


def _paired(firsts: tuple[str, ...], seconds: tuple[str, ...]) -> tuple[str, ...]:
    """Every first with every second behind it."""
    return tuple(f"{first} {second}" for first in firsts for second in seconds)


# No stems before "free": "broke free" and "leaking free" are failures.
FREE = (
    *_paired(
        listed(
            "leak, leaks, leakage, drip, drips, weep, seep, seepage, fault, defect, failure, "
            "crack, damage, wear, ingress, flood, trouble"
        ),
        ("free",),
    ),
    *listed(
        "leakfree, dripfree, leakproof, leak proof, leak tight, leakless, leak less, "
        "leckfrei*, leckagefrei*, tropffrei*, rissfrei*, schadenfrei*, lekvrij*, lekkagevrij*, "
        "ne fuit pas, ne fuit plus, plus aucune fuite"
    ),
)
"""The part is free of a fault."""

_WETTING = listed("leak*, drip*, weep*, seep*")
STOPPED = (
    *_paired(
        _WETTING,
        listed(
            "stopped, has stopped, have stopped, now stopped, has now stopped, was stopped, "
            "soon stopped, then stopped, ceased, has ceased, cured"
        ),
    ),
    *_paired(listed("stopped, has stopped, stopped the, ceased, cured, cured the"), _WETTING),
    *listed(
        "dry now, now dry, tight now, now tight, watertight now, now watertight, dry again, "
        "tight again, ceased to leak, jetzt dicht, wieder dicht, jetzt trocken, "
        "maintenant etanche, maintenant sec, ahora seco, ahora estanco, ora asciutto, "
        "nu droog, weer droog, nu waterdicht, weer waterdicht"
    ),
)
"""It was wet, and is no longer."""

GOOD = (*FREE, *STOPPED)

FEARED = listed(
    "could have, might have, would have, may have, could be, may be, could ve, might ve, would ve, "
    "worried about, worried that, worried by, worries about, worry about, concerned about, "
    "concerned that, concern about, afraid of, afraid that, fear of, feared, fears, fearing, "
    "hardly, barely, scarcely, kaum, befurchtet*, befuerchtet*, sorge wegen, angst vor, "
    "a peine, pourrait, aurait pu, crainte de, inquiet de, inquiet pour, apenas, podria, "
    "miedo a, potrebbe, timore di, nauwelijks, bang voor, zou kunnen"
)
"""What follows was feared, possible or next to nothing."""

LIKELY = listed(
    "suspected, suspecting, suspects, suspicion of, possibly, possible, probably, probable, "
    "perhaps, maybe, potential, potentially, presumed, presumably, assumed, supposedly, "
    "allegedly, alleged, apparently, thought to be, thought to have, believed to be, "
    "believed to have, seems to be, seemed to be, "
    "verdacht*, vermutlich*, vermutet*, moglicherweise, moeglicherweise, vielleicht, "
    "wahrscheinlich*, peut etre, probablement, soupcon*, quiza, quizas, posible*, probablemente, "
    "sospecha*, forse, probabilmente, possibile, sospett*, misschien, mogelijk*, vermoed*, "
    "waarschijnlijk*"
)
"""It may well be so, and nobody is sure."""

CAUTION = listed(
    "out of caution, out of an abundance of caution, out of abundance of caution, "
    "out of pure caution, out of sheer caution, out of precaution, out of prudence, "
    "out of worry, out of concern"
)
"""Done before anything happened; "worn out of caution" is not worn out."""

_EARLIER = listed("previous, last, former, earlier, prior")
_ONES = listed("one, ones")
EARLIER_FAILED = _paired(
    _paired(_EARLIER, _ONES),
    listed(
        "failed, had failed, has failed, failing, leaked, had leaked, leaking, was leaking, "
        "split, had split, burst, had burst, broke, broken, seized, had seized, tore, torn, "
        "went, wore out, worn out"
    ),
)
"""Another part failed, not the one the text is about."""
_OTHER_PARTS = (
    *_paired(
        _EARLIER,
        (
            *_ONES,
            *listed(
                "seal, seals, bellows, hose, packing, bearing, gland, unit, part, set, cutless"
            ),
        ),
    ),
    *listed(
        "old one, old ones, the one before, one before that, vorgangerin, vorganger, vorige, "
        "le precedent, la precedente, el anterior, la anterior, il precedente"
    ),
)

NOT_DONE = (
    *_paired(
        listed("failed to, fails to, failing to, failure to, fail to"),
        listed(
            "start, engage, disengage, open, close, turn, turn up, shift, charge, fire, run, "
            "light, arrive, attend, appear, deliver, order, record, note, report, inspect, check, "
            "replace, renew, fit, tighten, grease, notice, see, reply, pay, launch, complete"
        ),
    ),
    *listed("springt nicht an, ne demarre pas, no arranca, non parte, start niet"),
)
"""Something that a person or another machine did not do."""

DOUBTS = (
    *GOOD,
    *FEARED,
    *LIKELY,
    *CAUTION,
    *_OTHER_PARTS,
    *NOT_DONE,
    *_paired(listed("no longer, no more, not now"), _WETTING),
    *listed("failed to, fails to, failing to, failure to, fail to, plus de fuite"),
    *_paired(_WETTING, ("no more",)),
)
"""With any of these in a text it tells of no certain failure."""
NO_DOUBTS = (
    *listed(
        "as soon as possible, soon as possible, where possible, if possible, when possible, "
        "as far as possible, as much as possible, des que possible, lo antes posible, "
        "cuanto antes posible, il prima possibile, appena possibile, zo snel mogelijk, "
        "last one in stock, last one on the shelf, last one we had"
    ),
    *_paired(
        listed("old one, old ones, previous one, last one"),
        listed(
            "removed, taken out, taken off, replaced, renewed, changed, cut off, cut out, "
            "scrapped, binned, in bin, thrown away, discarded, kept"
        ),
    ),
)
"""Longer phrases that hold such words and leave nothing in doubt."""
