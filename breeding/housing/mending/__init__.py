"""How tanks, stays, looks and water tests are changed, withdrawn and brought back."""

from breeding.housing.mending.stays import StayKind
from breeding.housing.mending.systems import SystemKind
from breeding.housing.mending.tanks import LookKind, TankKind
from breeding.housing.mending.water import WaterTestKind

KINDS = (StayKind(), TankKind(), LookKind(), WaterTestKind(), SystemKind())
