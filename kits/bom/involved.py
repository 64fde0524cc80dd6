"""What the installation of a kit in a car involves: the conditions that patterns and cautions are asked under."""

from collections.abc import Collection, Mapping, Sequence
from typing import Any, Final

from kits.bom.gas_safety import burns, gas_limits
from kits.bom.resolved import Joint, PlantPart, Wire

REFRIGERANT: Final = "refrigerant"
BURNING: Final = "burning gas"
BELT: Final = "belt"
ELECTRIC_COMPRESSOR: Final = "electric compressor"
HIGH_VOLTAGE: Final = "high voltage"
DRIER: Final = "drier"
WATER: Final = "water"
WIRING: Final = "wiring"
CYCLING: Final = "cycling"
ENGINE: Final = "engine"
ELECTRIC_DRIVE: Final = "electric drive"
CONDITIONS: Final = frozenset({
    REFRIGERANT, BURNING, BELT, ELECTRIC_COMPRESSOR, HIGH_VOLTAGE, DRIER, WATER, WIRING, CYCLING, ENGINE,
    ELECTRIC_DRIVE,
})  # fmt: skip
DRIVES: Final = {"combustion": ENGINE, "electric": ELECTRIC_DRIVE}


def compressor_volts(plant: Mapping[str, PlantPart]) -> float | None:
    """Supply of the kit's electric compressor above the limit of high voltage, V; None where there is none."""
    held = plant.get("compressor")
    if held is None or not held.data.get("electric"):
        return None
    volts: float | None = held.data.get("supply_voltage_v")
    return volts if volts and volts > gas_limits()["high_voltage_v"] else None


def involved(
    settings: Mapping[str, Any],
    plant: Mapping[str, PlantPart],
    joints: Sequence[Joint],
    wires: Sequence[Wire],
    driers: Collection[int],
    drive: str,
) -> frozenset[str]:
    """The conditions an installation meets, by the kit's settings, plant, joints and wires, and the car's drive.

    driers: positions of receiver-driers in this car; drive: "combustion", "electric" or empty where it is not known.
    """
    gas = str(settings.get("refrigerant") or "")
    families = {joint.family for joint in joints}
    compressor = plant.get("compressor")
    is_electric = bool(compressor and compressor.data.get("electric"))
    has_gas = bool(gas) and "refrigerant" in families
    met = {
        REFRIGERANT: has_gas,
        BURNING: has_gas and burns(gas) is True,
        BELT: compressor is not None and not is_electric,
        ELECTRIC_COMPRESSOR: is_electric,
        HIGH_VOLTAGE: compressor_volts(plant) is not None,
        DRIER: has_gas and bool(driers),
        WATER: "water" in families,
        WIRING: bool(wires),
        CYCLING: has_gas and settings.get("freeze_mode") == "cycling",
    }
    return frozenset(name for name, is_met in met.items() if is_met) | _driven(drive)


def _driven(drive: str) -> frozenset[str]:
    return frozenset({DRIVES[drive]} if drive in DRIVES else ())
