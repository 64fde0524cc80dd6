"""The app's models, gathered from their folders."""

from kits.bom.models import (
    Circuit,
    Entry,
    EntryTerm,
    HoseRun,
    HoseRunTerm,
    Joint,
    Kit,
    KitOffer,
    KitStep,
    Position,
    ReadingSpec,
    Route,
    StepFits,
    StepTerm,
)
from kits.exchange.models import ImportPlan
from kits.fitment.models import (
    CatalogueStamp,
    ChargeRecord,
    Fitment,
    RouteLength,
    SizedFitment,
)
from kits.parts.data_models import (
    BlowerData,
    BlowerPoint,
    CompressorData,
    CompressorPoint,
    CondenserData,
    CondenserPoint,
    DrierData,
    DuctData,
    EvaporatorData,
    EvaporatorPoint,
    FanData,
    HoseData,
    HoseEndData,
    SwitchData,
    ValveData,
    VentData,
)
from kits.parts.models import Part, PartRevision, Port, StructureEdge

__all__ = [
    "BlowerData", "BlowerPoint", "CatalogueStamp", "ChargeRecord", "Circuit", "CompressorData", "CompressorPoint",
    "CondenserData", "CondenserPoint", "DrierData", "DuctData", "Entry", "EntryTerm", "EvaporatorData",
    "EvaporatorPoint", "FanData", "Fitment", "HoseData", "HoseEndData", "HoseRun", "HoseRunTerm", "ImportPlan",
    "Joint", "Kit", "KitOffer", "KitStep", "Part", "PartRevision", "Port", "Position", "ReadingSpec", "Route",
    "RouteLength", "SizedFitment", "StepFits", "StepTerm", "StructureEdge", "SwitchData", "ValveData", "VentData",
]  # fmt: skip
