"""How tanks, stays, looks, water tests and work are changed, withdrawn and brought back."""

from breeding.housing.mending.stays import StayKind
from breeding.housing.mending.systems import SystemKind
from breeding.housing.mending.tanks import LookKind, TankKind
from breeding.housing.mending.water import WaterTestKind
from breeding.housing.mending.work import SourceKind, TankWorkKind, WaterChangeKind

KINDS = (
    *(StayKind(), TankKind(), LookKind(), WaterTestKind(), SystemKind()),
    *(WaterChangeKind(), TankWorkKind(), SourceKind()),
)
