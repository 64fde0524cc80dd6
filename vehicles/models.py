"""The app's models, gathered from their folders."""

from vehicles.cabin.models import Cabin, CabinLeakage, Opening, Seat, Surface, SurfaceLayer, SurfaceTerm
from vehicles.catalogue.models import (
    ChassisRange,
    ExcludedCombination,
    ExcludedTerm,
    Feature,
    LineFeature,
    LineOption,
    ModelLine,
    Option,
    Variant,
    VariantOption,
)
from vehicles.climate.models import BenchPoint, DesignState, DutyPoint, DutySet, DutySetPoint, Site
from vehicles.powertrain.models import (
    ChargingPoint,
    CoolantState,
    ElectricalLoad,
    EngineTemperature,
    Powertrain,
    Pulley,
)
from vehicles.records.models import Act

__all__ = [
    "Act", "BenchPoint", "Cabin", "CabinLeakage", "ChargingPoint", "ChassisRange", "CoolantState", "DesignState",
    "DutyPoint", "DutySet", "DutySetPoint", "ElectricalLoad", "EngineTemperature", "ExcludedCombination",
    "ExcludedTerm", "Feature", "LineFeature", "LineOption", "ModelLine", "Opening", "Option", "Powertrain",
    "Pulley", "Seat", "Site", "Surface", "SurfaceLayer", "SurfaceTerm", "Variant", "VariantOption",
]  # fmt: skip
