"""What every sheet says of itself, and the words that the documents share."""

from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from kits.bom.gas_safety import burns, safety_class
from kits.bom.resolved import Charge, ResolvedKit
from kits.documents.source import DocumentSource
from kits.documents.stop import Stop, stop_of
from vehicles.physics.quantities import format_number

NOT_RELEASED = "none: not released"
NOT_RECORDED = "not recorded"
NO_MARKET = "no market stated"
LONGEST_IN_BLOCK = 56
"""Characters that fit on two lines of a field of the block; a third would push it off the sheet."""
LONGEST_BY = 24


@dataclass(frozen=True, kw_only=True)
class TitleBlock:
    """The fields that run on each sheet; the sheet's number is counted by the PDF maker.

    `kit` and `variant` are shortened to what the block holds, with their codes; the full ones head the first
    sheet, with the market's name. `stop`: what keeps the kit from production, which runs on each sheet too.
    """

    what: str
    kit: str
    variant: str
    date: date
    by: str
    full_kit: str
    full_variant: str
    market: str
    full_market: str
    stop: Stop
    standard: str = NOT_RELEASED
    revision: str = "—"


@dataclass(frozen=True, kw_only=True)
class ChargeBlock:
    """Gas, charge and oil as text: what somebody with a charging station looks for."""

    charge: str
    tolerance: str
    gas: str
    gas_class: str
    oil: str
    oil_amount: str
    is_known: bool
    """whether a charge is recorded"""

    @property
    def gas_in_words(self) -> str:
        """The gas with its safety class."""
        return f"{self.gas}, {self.gas_class}"

    @property
    def in_one_line(self) -> str:
        """The charge with its tolerance, for the limit of a reading."""
        return f"{self.charge} {self.tolerance}".strip()


def title_block(source: DocumentSource, what: str, by: str) -> TitleBlock:
    """The title block of a document about a kit in a car, as of the kit's date."""
    kit, market = source.kit, source.market
    return TitleBlock(
        what=what,
        kit=_named(kit.kit_name, kit.kit, LONGEST_IN_BLOCK),
        variant=_named(kit.variant_name, kit.variant, LONGEST_IN_BLOCK),
        date=kit.on,
        by=by if len(by) <= LONGEST_BY else f"{by[: LONGEST_BY - 1]}…",
        full_kit=_named(kit.kit_name, kit.kit),
        full_variant=_named(kit.variant_name, kit.variant),
        market=market or NO_MARKET,
        full_market=_named(kit.markets.get(market, market), market) if market else NO_MARKET,
        stop=stop_of(source),
    )


def _named(name: str, code: str, longest: int | None = None) -> str:
    """A name with its code; a name that is too long loses its end, never its code."""
    tail = f" ({code})"
    if longest is not None and len(name) + len(tail) > longest:
        name = name[: max(longest - len(tail) - 1, 8)].rstrip() + "…"
    return f"{name}{tail}"


def charge_block(kit: ResolvedKit) -> ChargeBlock | None:
    """Gas, charge and oil of a resolved kit; what is missing says so. None where the kit heats only."""
    if kit.heats_only:
        return None
    charge = kit.charge
    amount = NOT_RECORDED if charge.charge_g is None else f"{plain(charge.charge_g)} g"
    oil_amount = f"amount {NOT_RECORDED}" if charge.oil_ml is None else f"{plain(charge.oil_ml)} ml"
    gas = str(kit.settings.get("refrigerant") or NOT_RECORDED)
    return ChargeBlock(
        charge=amount,
        tolerance=_tolerance(charge),
        gas=gas,
        gas_class=gas_class(gas),
        oil=charge.oil or NOT_RECORDED,
        oil_amount=oil_amount,
        is_known=charge.charge_g is not None,
    )


def gas_class(gas: str) -> str:
    """The safety class of a gas in words: "A2L: burns"."""
    found = safety_class(gas)
    if not found:
        return f"safety class {NOT_RECORDED}"
    return f"{found}: burns" if burns(gas) else found


def _tolerance(charge: Charge) -> str:
    if charge.charge_g is None:
        return ""
    kind = f" ({charge.charge_origin.kind})" if charge.charge_origin else ""
    if charge.tolerance_g is None:
        return f"tolerance {NOT_RECORDED}{kind}"
    return f"± {plain(charge.tolerance_g)} g{kind}"


def plain(value: float | Decimal) -> str:
    """A number without empty decimals and without an exponent: 3, 0.75, 1,240."""
    number = Decimal(repr(value)) if isinstance(value, float) else Decimal(value)
    decimals = max(0, -int(number.normalize().as_tuple().exponent))
    return format_number(number, decimals)
