"""The recorded charge of a fitment beside the one that its volumes give."""

from collections.abc import Iterator

from kits.bom.mending import new_row
from kits.bom.resolved import Finding, ResolvedKit
from kits.sizing.gas.charge import charge_difference_pct
from kits.sizing.words.defaults import default_value
from kits.topics.figure import Figure, figure, given
from vehicles.physics.origin import Kind
from vehicles.physics.quantities import in_unit


def _how(kit: ResolvedKit) -> str:
    origin = kit.charge.charge_origin
    return origin.kind.value if origin else "origin not told"


def compared(kit: ResolvedKit, estimated_g: float | None, recorded_g: float) -> str:
    """The recorded charge that wins beside the estimate."""
    recorded, how = in_unit("g", recorded_g), _how(kit)
    if estimated_g is None:
        return f" Recorded are {recorded} ({how})."
    words = _difference_words(float(charge_difference_pct(estimated_g, recorded_g)))
    beside = "as much as" if words == "as much" else f"{words} than"
    return f" That is {beside} the recorded {recorded} ({how})."


def _difference_words(difference_pct: float) -> str:
    if abs(difference_pct) < 0.5:
        return "as much"
    return f"{abs(difference_pct):.0f} % {'more' if difference_pct > 0 else 'less'}"


def compared_figures(kit: ResolvedKit, estimated_g: float | None, recorded_g: float) -> list[Figure]:
    """By how much the estimate is more than the record, or less; nothing where there is no estimate."""
    if estimated_g is None:
        return []
    difference = float(charge_difference_pct(estimated_g, recorded_g))
    return [
        figure(
            "Estimate against record", "pct", difference, charge_difference_pct,
            given("Estimated charge", "g", estimated_g, "calculated"),
            given("Recorded charge", "g", recorded_g, kit.charge.charge_origin or "", "charge"),
        )
    ]  # fmt: skip


def compared_remarks(kit: ResolvedKit, estimated_g: float | None, recorded_g: float) -> Iterator[Finding]:
    """That the record is not weighed, or is further from the estimate than that is uncertain."""
    origin, how = kit.charge.charge_origin, _how(kit)
    if origin is None or origin.kind not in (Kind.WEIGHED, Kind.MEASURED):
        low, high = (default_value(f"plateau_reserve_{end}_g") for end in ("from", "to"))
        sentence = (
            f"The recorded charge ({how}) is not weighed on a car: fill by 50 g steps at 1,500 to 2,000 rpm and take"
            f" the start of the plateau + {low:g} to {high:g} g."
        )
        yield Finding("charge-unweighed", "notes", "charge", sentence, new_row("Plateau steps", "trial"))
    if estimated_g is None:
        return
    difference = float(charge_difference_pct(estimated_g, recorded_g))
    band = 100 * default_value("charge_uncertainty_share")
    if abs(difference) > band:
        sentence = (
            f"The estimate is {_difference_words(difference)} than the recorded {in_unit('g', recorded_g)}"
            f" ({how}), beyond its ±{band:.0f} %: check the inner volumes of condenser, coil and receiver, the"
            " lengths, and the record."
        )
        yield Finding("charge-estimate", "warns", "charge", sentence)
