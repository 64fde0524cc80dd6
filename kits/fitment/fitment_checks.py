"""What is wrong with a kit in one car beyond its parts: the offer, the law, the charge, the lengths."""

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from kits.bom.catalogue import PartSpec, VariantSpec, in_force
from kits.bom.joints import WETTED_ROLES
from kits.bom.mending import Mend, new_row, option_of, row
from kits.bom.resolved import Finding, Item, ResolvedKit
from kits.sizing.gas.gases import climate_effects
from kits.sizing.gas.refrigerant import known_refrigerants, refrigerant
from vehicles.records.terms import Terms

WARM_C = 50.0
FULLEST_SHARE = 0.8
"""Common practice, no source: liquid needs room to expand, a closed volume is never filled beyond four fifths."""


@dataclass(frozen=True, kw_only=True)
class Rule:
    """A dated rule of a market: what it says about a vehicle category and a gas."""

    market: str
    code: str
    category: str
    refrigerant: str
    above_gwp: float | None
    effect: str
    text: str
    start: date | None
    end: date | None
    source: str

    def is_about(self, gas: str) -> bool:
        """Whether it speaks of the gas by its name or its GWP; a gas of unknown GWP is not above any."""
        by_name = not self.refrigerant or self.refrigerant == gas
        effects = climate_effects(gas)
        return by_name and (self.above_gwp is None or (bool(effects) and effects[0].gwp > self.above_gwp))


@dataclass(frozen=True)
class Offer:
    """An offer of a kit in a market for the cars its terms name; duty points with whether they are required."""

    market: str
    terms: Terms
    duty_set: str
    points: tuple[tuple[str, bool], ...]
    rules: tuple[Rule, ...] = ()
    market_name: str = ""


@dataclass(frozen=True)
class Recorded:
    """A recorded length of a route."""

    route: str
    length_mm: float
    spread_mm: float | None
    cars_count: int
    origin_kind: str


def offer_findings(
    offers: Sequence[Offer], car: VariantSpec, category: str, gas: str, on: date
) -> Iterator[Finding]:
    """Whether the kit is offered for the car, with something to judge by, and lawful in its markets.

    Parameters: offers (of the kit for the car's line), car, category (of the vehicle, may be empty), gas, on. The rules
    of a market are about refrigerants: a kit without one, whose gas is empty, has nothing to do with them.
    """
    meant = _meant(offers, car)
    if not meant:
        sentence = f"The kit is offered for no market in {car.name}."
        yield Finding("offer-missing", "notes", "fitment", sentence, _offered(offers, car))
    for offer in {offer.duty_set: offer for offer in meant}.values():
        yield from _duties(offer)
    for offer in meant if gas else ():
        for rule in offer.rules:
            if in_force(rule.start, rule.end, on) and rule.is_about(gas):
                yield from _law(rule, car, category, gas)


def markets_of(offers: Sequence[Offer], car: VariantSpec) -> dict[str, str]:
    """Code and name of the markets in which the offers mean the car."""
    return {offer.market: offer.market_name or offer.market for offer in _meant(offers, car)}


def _meant(offers: Sequence[Offer], car: VariantSpec) -> list[Offer]:
    return [offer for offer in offers if offer.terms.applies(car.options)]


def _offered(offers: Sequence[Offer], car: VariantSpec) -> Mend:
    if not offers:
        return new_row("Offers", "market")
    return option_of("Offers", offers[0].terms, sorted(car.options), offers[0].market)


def _duties(offer: Offer) -> Iterator[Finding]:
    if not any(required for _, required in offer.points):
        what = "requires none of its duty points" if offer.points else "has no duty point"
        sentence = (
            f"Duty set {offer.duty_set}, by which this fitment is judged, {what}: there is nothing to pass."
        )
        mend = (
            row("Duty set points", "required", offer.duty_set, offer.points[0][0])
            if offer.points
            else new_row("Duty set points", "duty_point", duty_set=offer.duty_set, required="yes")
        )
        yield Finding("duty-none-required", "blocks", "fitment", sentence, mend)


def _law(rule: Rule, car: VariantSpec, category: str, gas: str) -> Iterator[Finding]:
    cited = f"{rule.text.rstrip('.')} ({_in_force(rule)}{rule.source}). Local law prevails."
    name = f"Rule {rule.code} of the market {rule.market}"
    if rule.category and not category and rule.effect == "forbids":
        sentence = f"{name} depends on the vehicle category, which is not recorded: {cited}"
        mend = row("Variants", "vehicle_category", car.code)
        yield Finding("market-category-missing", "warns", "variant", sentence, mend, market=rule.market)
    if rule.category not in ("", category):
        return
    if rule.effect == "forbids":
        whom = f"a vehicle of category {category}" if rule.category else "any vehicle"
        sentence = f"{name} forbids {gas} in {whom}: {cited}"
        mend = row("Kits", "refrigerant")
        yield Finding("market-forbids", "blocks", "kit", sentence, mend, market=rule.market)
    elif rule.effect == "asks":
        mend = Mend("Market rules", "text", (rule.market, rule.code))
        yield Finding("market-asks", "notes", "kit", f"{name} asks: {cited}", mend, market=rule.market)
    elif rule.refrigerant or rule.above_gwp is not None:
        mend = row("Kits", "refrigerant")
        yield Finding("market-informs", "notes", "kit", f"{name}: {cited}", mend, market=rule.market)


def _in_force(rule: Rule) -> str:
    """The dates of a rule in words; nothing where none is stated."""
    told = [f"from {rule.start:%Y-%m-%d}"] if rule.start else []
    told += [f"until {rule.end:%Y-%m-%d}"] if rule.end else []
    return f"in force {' '.join(told)}; " if told else ""


def circuit_volume_ml(kit: ResolvedKit, parts: Mapping[str, PartSpec]) -> float | None:
    """The inner volume of the refrigerant circuit in ml: its parts and hoses; None when one is not known.

    Formula: sum of the inner volumes plus bore area times cut length of each hose. Hose ends count as hose.
    """
    total = 0.0
    for part, revision, quantity in _items(kit.items):
        spec = parts[part]
        of_item = next((r for r in spec.revisions if r.revision == revision), None)
        if of_item is None or spec.kind in ("hose", "hose end"):
            continue
        if any(port.role in WETTED_ROLES for port in of_item.ports):
            if of_item.inner_volume_ml is None:
                return None
            total += of_item.inner_volume_ml * float(quantity)
    for hose in kit.hoses:
        if hose.bore_mm is None or hose.cut_mm is None:
            return None
        total += math.pi / 4 * hose.bore_mm**2 * hose.cut_mm / 1000
    return total


def _items(items: Sequence[Item], times: Decimal = Decimal(1)) -> Iterator[tuple[str, str, Decimal]]:
    for item in items:
        quantity = item.quantity * times
        yield item.part, item.revision, quantity
        yield from _items(item.children, quantity)


def charge_findings(kit: ResolvedKit, parts: Mapping[str, PartSpec]) -> Iterator[Finding]:
    """A charge that the circuit cannot hold, or that would be gas alone.

    The least is what the circuit holds as vapour at 50 °C, the most four fifths of it as liquid at 50 °C, by the
    densities of the gas's own tables. A gas without tables, or a volume that is not known, is not judged.
    """
    charge_g, gas = kit.charge.charge_g, str(kit.settings.get("refrigerant", ""))
    if charge_g is None or gas not in known_refrigerants():
        return
    volume_ml = circuit_volume_ml(kit, parts)
    if not volume_ml:
        return
    state = refrigerant(gas).saturation(WARM_C)
    least_g = float(state.rho_v) * volume_ml / 1000
    most_g = float(state.rho_l) * FULLEST_SHARE * volume_ml / 1000
    if not least_g <= charge_g <= most_g:
        sentence = (
            f"A charge of {charge_g:g} g does not belong to a circuit of {volume_ml:,.0f} ml:"
            f" it holds {least_g:,.0f} g as vapour alone and {most_g:,.0f} g when four fifths are liquid."
        )
        yield Finding("charge-volume", "blocks", "charge", sentence)


def trial_findings(car: VariantSpec, is_calibrated: bool, trial_count: int) -> Iterator[Finding]:
    """A fitment that is marked as calibrated without a trial behind it: it goes on counting as estimated."""
    if is_calibrated and not trial_count:
        sentence = (
            f"The fitment is marked as calibrated, but no trial in {car.name} is recorded, so it counts as estimated: "
            "record the trial, or take the mark away."
        )
        mend = new_row("Air trials", "airflow_m3_h")
        yield Finding("calibrated-no-trial", "warns", "fitment", sentence, mend)


def length_findings(kit: ResolvedKit, recorded: Sequence[Recorded]) -> Iterator[Finding]:
    """Lengths that scatter more than the hose's slack takes up, and measured lengths that contradict each other.

    recorded: every recorded length of the fitment. A measured length outside the spread of another one, both of
    the same route in the same car, is either a slip or another car.
    """
    for hose in kit.hoses:
        measured = [r for r in recorded if r.route == hose.route and r.origin_kind == "measured"]
        counts = next((r for r in measured if r.length_mm == hose.routed_mm), None)
        if counts is None:
            continue
        where, spread_mm = f"length:{hose.route}", counts.spread_mm
        if spread_mm is not None and hose.slack_mm is not None and spread_mm > hose.slack_mm:
            sentence = (
                f"Route {hose.route} scatters by {spread_mm:g} mm over {counts.cars_count} cars, the hose has"
                f" {hose.slack_mm:.0f} mm of slack: in the longest car it is short."
            )
            yield Finding("length-spread", "warns", where, sentence)
        for other in measured:
            if other.spread_mm is not None and abs(other.length_mm - counts.length_mm) > other.spread_mm:
                sentence = (
                    f"Route {hose.route}: {counts.length_mm:g} mm counts, but {other.length_mm:g} mm with a spread"
                    f" of {other.spread_mm:g} mm was measured too: measure again."
                )
                yield Finding("length-outside", "warns", where, sentence)
