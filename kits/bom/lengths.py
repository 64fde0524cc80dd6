"""Cut length of a hose and the tolerance it is cut to."""

from dataclasses import dataclass

from vehicles.physics.arrays import Refusal


@dataclass(frozen=True)
class CutLength:
    """Slack, cut length and tolerance in mm."""

    slack_mm: float
    cut_mm: int
    tolerance_mm: float


def cut_length(
    routed_mm: float,
    slack_share: float,
    slack_min_mm: float,
    rock_mm: float,
    adds_a_mm: float,
    adds_b_mm: float,
) -> CutLength:
    """Cut length = routed + slack + engine rock - what each end adds, to the whole millimetre.

    Slack is the share of the routed length, at least the minimum. Tolerance: ±3 mm up to 500, ±5 mm up to 1,000,
    ±0.5 % above. Source: common practice, no source.
    Raises Refusal when the ends alone are longer than the route.
    """
    if not routed_mm > 0:
        raise Refusal(f"A routed length must be above zero, not {routed_mm:g} mm.")
    slack_mm = max(slack_share * routed_mm, slack_min_mm) + rock_mm
    cut = round(routed_mm + slack_mm - adds_a_mm - adds_b_mm)
    if cut <= 0:
        raise Refusal(
            f"The ends ({adds_a_mm:g} and {adds_b_mm:g} mm) are longer than the route ({routed_mm:g} mm)."
        )
    tolerance = 3.0 if cut <= 500 else 5.0 if cut <= 1000 else round(0.005 * cut, 1)
    return CutLength(slack_mm, cut, tolerance)
