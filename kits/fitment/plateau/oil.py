"""The oil in a circuit beside what it needs: a ledger that nothing stores."""

from dataclasses import dataclass

from kits.sizing.gas.gases import oil_balance_ml
from kits.sizing.words.defaults import default_value
from vehicles.physics.quantities import in_unit


@dataclass(frozen=True)
class OilAnswer:
    """What is in the circuit, in words, with a mark beside them."""

    oil_ml: float
    sentence: str
    mark: str


def oil_answer(prefill_ml: float, added_ml: float, drained_ml: float, needed_ml: float | None) -> OilAnswer:
    """The oil in the circuit and what to do about it. Raises ValueError with a sentence for an impossible ledger.

    prefill_ml: what the compressor came with; needed_ml: what the kit's circuit needs, None when it does not say.
    """
    held_ml = float(oil_balance_ml(prefill_ml, added_ml, drained_ml))
    held = f"{in_unit('ml', held_ml)} are in the circuit"
    if needed_ml is None:
        return OilAnswer(held_ml, f"{held}; the kit does not say how much it needs.", "unsized")
    more_ml, allowed_ml = needed_ml - held_ml, default_value("oil_tolerance_ml")
    needs = f"it needs {in_unit('ml', needed_ml)} ± {allowed_ml:g} ml"
    if abs(more_ml) <= allowed_ml:
        return OilAnswer(held_ml, f"{held}, {needs}: leave it.", "done")
    if more_ml > 0:
        do = f"add {in_unit('ml', more_ml)}; with less the compressor runs dry"
    else:
        do = f"drain {in_unit('ml', -more_ml)}; with more it coats the coil and cools less"
    return OilAnswer(held_ml, f"{held}, {needs}: {do}.", "warns")
