"""The app's models, gathered from their folders."""

from kits.bom.models import (
    Circuit,
    CircuitTerm,
    Entry,
    EntryTerm,
    HarnessBranch,
    HoseRun,
    HoseRunTerm,
    Joint,
    Kit,
    KitOffer,
    OfferTerm,
    Position,
    Route,
)
from kits.bom.step_models import KitStep, ReadingSpec, StepFits, StepOriginal, StepTerm
from kits.exchange.models import ImportPlan, RowChange, UnusualValue
from kits.files.models import File
from kits.fitment.models import (
    AirTrial,
    CatalogueStamp,
    ChargeRecord,
    Fitment,
    FitmentNote,
    Market,
    MarketRule,
    PlateauStep,
    RouteLength,
    SizedFitment,
)
from kits.parts.air_water_models import (
    BlowerData,
    BlowerPoint,
    BlowerStep,
    DuctData,
    FilterData,
    InsulationData,
    MatrixData,
    MatrixPoint,
    VentData,
    WaterValveData,
)
from kits.parts.models import (
    Part,
    PartPrice,
    PartRevision,
    Port,
    StructureEdge,
    Supersession,
    Supplier,
    SupplierPart,
)
from kits.parts.refrigerant_models import (
    CompressorData,
    CompressorPoint,
    CondenserData,
    CondenserPoint,
    Crimp,
    DrierData,
    EvaporatorData,
    EvaporatorPoint,
    FanData,
    HoseData,
    HoseEndData,
    OilData,
    ORingData,
    SwitchData,
    ValveData,
)
from kits.parts.works_models import (
    BeltData,
    BracketData,
    ClipData,
    ConnectorData,
    ControllerData,
    GeneratorData,
    GeneratorPoint,
    HarnessData,
    PulleyData,
)
from kits.people.models import Certificate, Firm, PeopleChange, Person, RoleChange, Shop
from kits.people.signing.models import SignInRecord, SignInTry
from kits.work.models import Work, WorkersBeat

__all__ = [
    "AirTrial", "BeltData", "BlowerData", "BlowerPoint", "BlowerStep", "BracketData", "CatalogueStamp",
    "Certificate", "ChargeRecord", "Circuit", "CircuitTerm", "ClipData", "CompressorData", "CompressorPoint",
    "CondenserData", "CondenserPoint", "ConnectorData", "ControllerData", "Crimp", "DrierData", "DuctData",
    "Entry", "EntryTerm", "EvaporatorData", "EvaporatorPoint", "FanData", "File", "FilterData", "Firm",
    "Fitment", "FitmentNote", "GeneratorData", "GeneratorPoint", "HarnessBranch", "HarnessData", "HoseData",
    "HoseEndData", "HoseRun", "HoseRunTerm", "ImportPlan", "InsulationData", "Joint", "Kit", "KitOffer",
    "KitStep", "Market", "MarketRule", "MatrixData", "MatrixPoint", "ORingData", "OfferTerm", "OilData", "Part",
    "PartPrice", "PartRevision", "PeopleChange", "Person", "PlateauStep", "Port", "Position", "PulleyData",
    "ReadingSpec", "RoleChange", "Route", "RouteLength", "RowChange", "Shop", "SignInRecord", "SignInTry",
    "SizedFitment", "StepFits", "StepOriginal", "StepTerm", "StructureEdge", "Supersession", "Supplier",
    "SupplierPart", "SwitchData", "UnusualValue", "ValveData", "VentData", "WaterValveData", "Work",
    "WorkersBeat",
]  # fmt: skip
