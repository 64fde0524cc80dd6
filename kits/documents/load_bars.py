"""A sizing record as the bars of the load chart; nothing is judged or computed anew."""

from kits.documents.charts import DutyBars
from kits.sizing.verdict.record import DutyAnswer, SizingRecord
from vehicles.physics.quantities import signed_percent

TERM_NAMES = {
    "opaque": "panels",
    "engine_side": "engine side",
    "fresh_air": "fresh air",
    "matrix": "shut heater",
    "duct": "ducts",
}


def duty_bars(record: SizingRecord, *, short: bool = False) -> tuple[DutyBars, ...]:
    """The duty points that have a load, required ones first; empty when the fitment is not sized.

    short: named by their codes, for a picture as narrow as a phone.
    """
    drawn = [duty for duty in record.duties if duty.load_w is not None and duty.sensible_w_by_term]
    ordered = sorted(drawn, key=lambda duty: not duty.required)
    return tuple(
        _bars(duty, duty.code if short else duty.name, record.capacity_uncertainty_share) for duty in ordered
    )


def _bars(duty: DutyAnswer, label: str, uncertainty_share: float) -> DutyBars:
    both = {t: w + duty.latent_w_by_term.get(t, 0.0) for t, w in duty.sensible_w_by_term.items()}
    terms = tuple((TERM_NAMES.get(term, term), watts) for term, watts in both.items() if watts)
    margin = "" if duty.margin_share is None else f" {signed_percent(duty.margin_share)}"
    tolerance_w = 0.0 if duty.capacity_w is None else duty.capacity_w * uncertainty_share
    return DutyBars(label, terms, duty.capacity_w, f"{duty.verdict}{margin}", tolerance_w)


def study_bars(
    stored: DutyAnswer | None, changed: DutyAnswer, uncertainty_share: float
) -> tuple[DutyBars, ...]:
    """A duty point as stored and with a change, one above the other; empty when neither has a load."""
    both = (("As stored", stored), ("With the change", changed))
    return tuple(
        _bars(duty, label, uncertainty_share) for label, duty in both if duty and duty.load_w is not None
    )
