"""How the three offices word what they write: several ways for one meaning, all invented."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

Ways = tuple[str, ...]


@dataclass(frozen=True)
class Words:
    """One office's words by the words of the plain layout.

    Attributes
    ----------
    kinds, found, sides, reasons : mapping
        By kind, by where it was found, by position and by reason.
    failed : mapping
        By kind, where a failure has words of its own.
    people : tuple of str
        Who works there. Nobody of these names exists.
    """

    kinds: Mapping[str, Ways]
    reasons: Mapping[str, Ways]
    failed: Mapping[str, Ways]
    found: Mapping[str, Ways]
    sides: Mapping[str, Ways]
    people: Ways

    def why(self, reason: str, kind: str) -> Ways:
        """The ways to give a reason for removing a part of a kind."""
        return self.failed[kind] if reason == "failed" else self.reasons[reason]


QUILLHAVEN = Words(
    kinds={
        "bellows": ("Shaft seal bellows", "Bellows", "Rubber bellows, shaft seal"),
        "face_seal": ("Face seal", "Mechanical face seal", "Carbon face seal"),
        "lip_seal": ("Lip seal", "Shaft lip seal"),
        "packed_gland": ("Gland packing", "Stuffing box packing", "Packed gland"),
        "gland_hose": ("Gland hose", "Stern tube hose", "Stuffing box hose"),
        "cutless_bearing": ("Cutless bearing", "Cutlass bearing", "Rubber shaft bearing"),
    },
    reasons={
        "replaced_sound": ("by age", "age limit reached, still good", "preventive"),
        "other_work": ("while we were there", "other work, shaft drawn"),
        "accident": ("rope round the propeller", "line wrap", "grounding"),
    },
    failed={
        "bellows": ("split", "cracked and leaking"),
        "face_seal": ("leaking", "leaking at the face"),
        "lip_seal": ("leaking", "lip torn"),
        "packed_gland": ("leaking", "leaking, no adjustment left"),
        "gland_hose": ("split", "leaking"),
        "cutless_bearing": ("worn past limit", "worn out"),
    },
    found={"": ("",), "afloat": ("afloat", "in the water"), "ashore": ("ashore", "at haul-out")},
    sides={"single": ("",), "port": ("P", "port"), "starboard": ("S", "stbd")},
    people=("Orla Fenwick", "Tam Brindle", "Josse Merrow", "Pia Quell"),
)

SANDRICK = Words(
    kinds={
        "bellows": ("Balg", "Gummibalg", "Faltenbalg Wellendichtung"),
        "face_seal": ("Gleitringdichtung", "Gleitring"),
        "lip_seal": ("Lippendichtung", "Wellendichtring"),
        "packed_gland": ("Stopfbuchspackung", "Packung Stopfbuchse"),
        "gland_hose": ("Stopfbuchsenschlauch", "Stevenrohrschlauch"),
        "cutless_bearing": ("Wellenlager", "Wassergeschmiertes Wellenlager"),
    },
    reasons={
        "replaced_sound": ("nach Alter", "vorbeugend"),
        "other_work": ("im Zuge anderer Arbeiten", "Welle gezogen"),
        "accident": ("Leine im Propeller", "Grundberührung"),
    },
    failed={
        "bellows": ("gerissen", "undicht"),
        "face_seal": ("undicht", "defekt"),
        "lip_seal": ("undicht", "defekt"),
        "packed_gland": ("undicht",),
        "gland_hose": ("gerissen", "undicht"),
        "cutless_bearing": ("defekt", "verschlissen, über Grenze"),
    },
    found={"": ("",), "afloat": ("im Wasser",), "ashore": ("an Land",)},
    sides={"single": ("",), "port": ("Bb",), "starboard": ("Stb",)},
    people=("Odda Brill", "Henk Sorrow", "Lene Takel"),
)

ELLORN = Words(
    kinds={
        "bellows": ("bellows", "seal bellows"),
        "face_seal": ("face seal", "carbon seal"),
        "lip_seal": ("lip seal",),
        "packed_gland": ("packing", "gland packing"),
        "gland_hose": ("gland hose", "stern gland hose"),
        "cutless_bearing": ("cutless", "cutless brg"),
    },
    reasons={
        "replaced_sound": ("due by age", "preventive"),
        "other_work": ("with other work", "while shaft out"),
        "accident": ("rope in prop", "hit the ground"),
    },
    failed={
        "bellows": ("failed, split", "leaking"),
        "face_seal": ("leaking", "failed"),
        "lip_seal": ("leaking", "failed"),
        "packed_gland": ("leaking",),
        "gland_hose": ("failed, split", "leaking"),
        "cutless_bearing": ("worn out", "failed, worn"),
    },
    found={"": ("",), "afloat": ("afloat",), "ashore": ("ashore",)},
    sides={"single": ("",), "port": ("1",), "starboard": ("2",)},
    people=("Zoë Carrick-Vane", "Edric Pallow", "Mina Holt-Reeve"),
)

ACTIONS: Mapping[str, Ways] = {
    "replaced": ("Renewed", "Replaced", "Changed for new"),
    "fitted": ("Fitted", "Fitted new", "Installed"),
    "removed": ("Removed", "Taken out"),
    "seen": ("Inspected", "Checked"),
}
"""What Quillhaven's job sheets say was done."""

SAYS_INVENTED = "Demo data, invented"
