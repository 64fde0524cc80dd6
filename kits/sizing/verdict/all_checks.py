"""What is decided of a fitment beside its verdict. Whatever blocks stands here or among the kit's own findings."""

from dataclasses import replace

from kits.bom.resolved import Finding, ResolvedKit
from kits.sizing.case.case import Case
from kits.sizing.verdict import checks_belt, checks_electrics, checks_gas
from kits.sizing.verdict.record import SizingRecord


def checks_of(kit: ResolvedKit, case: Case, record: SizingRecord) -> tuple[Finding, ...]:
    """What the checks find of a kit in its car, each finding with the calculation that tells more of it."""
    found = (
        (checks_gas.TOPIC, checks_gas.gas_checks(kit, case)),
        (checks_electrics.TOPIC, checks_electrics.electrics_checks(kit, case)),
        (checks_belt.TOPIC, checks_belt.belt_checks(kit, case, record)),
    )
    return tuple(replace(one, topic=topic) for topic, several in found for one in several)
