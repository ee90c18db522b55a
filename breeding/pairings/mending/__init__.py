"""How pairings and what was recorded of a female are changed, withdrawn and brought back."""

from breeding.pairings.mending.ended import OutcomeKind, RestKind
from breeding.pairings.mending.nursery import NurseryTickKind
from breeding.pairings.mending.pairing import PairingKind
from breeding.pairings.mending.seen import ScanKind, SightingKind

KINDS = (PairingKind(), SightingKind(), ScanKind(), OutcomeKind(), RestKind(), NurseryTickKind())
