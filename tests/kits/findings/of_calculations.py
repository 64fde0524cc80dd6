"""Defects that only a calculation finds: charge, oil and gas, hoses, belt, wires, bolts, insulation."""

from datetime import date

from kits.editing.changes import RowEdit
from tests.kits.findings.defect import Defect, add, change, changed, edits, remove
from tests.kits.fitment.plateau.trials import READ

K, CAR = "s4-dash", "CP12L"
WEIGHED = {
    "kit": "S4-DASH", "variant": CAR, "tolerance_g": 25.0, "origin_kind": "weighed", "origin_on": date(2026, 11, 1),
}  # fmt: skip


def _filled():
    """A filling in steps whose plateau gives 625 g, beside 900 g recorded."""
    for grams, k, bar, vent in READ:
        yield RowEdit(
            "add", "Plateau steps",
            values={
                "kit": "S4-DASH", "variant": CAR, "trial": "A", "charge_g": float(grams), "engine_rpm": 1800.0,
                "ambient_c": 27.0, "subcooling_k": k, "high_side_bar_g": bar, "vent_c": vent, "origin_kind": "measured",
                "origin_on": date(2026, 5, 1),
            },
        )  # fmt: skip


CALCULATIONS = (
    Defect(
        "a gas that is refused in cabin air", change("Kits", K, refrigerant="R-152a"), "gas-refused", CAR,
        "refrigerant", "kits", (K,),
    ),
    Defect(
        "a gas that could burn in the cabin",
        edits(
            changed("Kits", K, refrigerant="R-1234yf"),
            RowEdit("add", "Charges", values={**WEIGHED, "charge_g": 700.0}),
        ),
        "gas-cabin", CAR, "refrigerant", "kits", (K,),
    ),
    Defect(
        "a circuit without an amount of oil", change("Kits", K, oil_ml=None), "oil-amount", CAR, "oil_ml", "kits", (K,)
    ),
    Defect(
        "a compressor that does not say what oil it holds", change("Compressors", "bm10-146", "a", oil_prefill_ml=None),
        "oil-prefill", CAR, "oil_prefill_ml", "compressors", ("bm10-146", "a"),
    ),
    Defect(
        "a coil without a volume", change("Revisions", "bm20-100", "a", inner_volume_ml=None), "charge-volume", CAR,
        "inner_volume_ml", "revisions", ("bm20-100", "a"),
    ),
    Defect(
        "a charge far from what the circuit holds", add("Charges", **WEIGHED, charge_g=900.0), "charge-estimate", CAR,
        "charge_g", "charges", line="S4", given=(("kit", "S4-DASH"), ("variant", CAR)),
    ),
    Defect(
        "a charge that its own trial contradicts",
        edits(RowEdit("add", "Charges", values={**WEIGHED, "charge_g": 690.0}), *_filled()),
        "plateau-charge", CAR, "charge_g", "charges", line="S4", given=(("variant", CAR),),
    ),
    Defect(
        "a bore that counts sixteenths", change("Hoses", "bm50-006", "a", bore_mm=9.5), "hose-bore", CAR, "bore_mm",
        "hoses", ("bm50-006", "a"),
    ),
    Defect(
        "a suction hose that is too narrow", change("Hoses", "bm50-010", "a", bore_mm=7.0), "suction-loss", CAR, "hose",
        "hose-runs", (K, 403, 1), "S4",
    ),
    Defect(
        "a belt drive without the compressor's place", remove("Pulleys", "16-12a", "compressor"),
        "compressor-place-missing", CAR, "x_mm", "pulleys", line="S4",
        given=(("powertrain", "16-12A"), ("code", "compressor")),
    ),
    Defect(
        "a pulley that nobody has placed on anything", change("Pulleys", "16-12a", "compressor", drives=""),
        "pulley-unknown", CAR, "drives", "pulleys", ("16-12a", "compressor"), "S4",
    ),
    Defect(
        "a pulley out of plane", change("Pulleys", "16-12a", "compressor", plane_mm=18.0), "belt-offset", CAR,
        "plane_mm", "pulleys", ("16-12a", "crank-ring"), "S4",
    ),
    Defect(
        "a belt that bears less than the compressor asks",
        edits(
            changed("Compressors", "bm10-146", "a", displacement_cc=210.0),
            # hot air in front of the condenser: the head, and with it the pull, is high at idle
            changed("Fitments", K, "cp12l", air_on_rise_idle_k=25.0),
            changed("Pulleys", "16-12a", "compressor", groove="V 10 mm"),
        ),
        "belt-pull", CAR, "pulley_mm", "compressors", ("bm10-146", "a"),
    ),
    Defect(
        "a belt of another length", change("Belts", "bm30-251", "a", length_mm=900.0), "belt-length", CAR, "x_mm",
        "pulleys", ("16-12a", "compressor"), "S4",
    ),
    Defect(
        "a belt of no known length", change("Belts", "bm30-251", "a", length_mm=None), "belt-unknown", CAR, "length_mm",
        "belts", ("bm30-251", "a"),
    ),
    Defect(
        "a bolt that gets too much", change("Brackets", "bm30-265", "a", torque_low_nm=60.0, torque_high_nm=70.0),
        "bolt-torque-high", CAR, "torque_high_nm", "brackets", ("bm30-265", "a"),
    ),
    Defect(
        "insulation of no known thickness", change("Insulation", "bm20-150", "a", thickness_mm=None),
        "insulation-without-data", CAR, "thickness_mm", "insulation", ("bm20-150", "a"),
    ),
    Defect(
        "insulation that goes round nothing", change("Insulation", "bm20-150", "a", covers=""), "insulation-covers",
        CAR, "covers", "insulation", ("bm20-150", "a"),
    ),
    Defect(
        "a wire whose current nobody wrote down", change("Circuits", K, 500, 14, current_a=None), "wire-loss-unknown",
        CAR, "current_a", "circuits", (K, 500, 14), "S4",
    ),
    Defect(
        "a thin wire behind a big fuse", change("Circuits", K, 500, 14, fuse_a=None, section_mm2=0.5, current_a=2.0),
        "wire-unprotected", CAR, "fuse_a", "circuits", (K, 500, 14), "S4",
    ),
)  # fmt: skip
BLOCKING = {"gas-refused", "gas-cabin", "belt-pull", "wire-unprotected"}
