"""Whether a kit may be made and fitted in a car: the one gate that every paper of a fitment passes."""

from collections.abc import Iterator
from dataclasses import dataclass

from kits.bom.resolved import ResolvedKit
from kits.documents.source import DocumentSource
from kits.sizing.verdict.record import VERDICTS, SizingRecord

NOT_FOR_PRODUCTION = "NOT FOR PRODUCTION"
NOT_ENOUGH, NOT_SIZED = VERDICTS[2:]
MOST_GAPS = 3
"""Missing inputs that are told on a first sheet; the fitment's page has them all."""


@dataclass(frozen=True)
class Stop:
    """What keeps the kit from being made and fitted: a sentence each. Without any it may be.

    A paper that is stopped is there to be read: it has no box to tick, no blank to fill in and nothing to sign.
    """

    reasons: tuple[str, ...] = ()

    @property
    def is_stopped(self) -> bool:
        """Whether there is a reason."""
        return bool(self.reasons)


def stop_of(source: DocumentSource) -> Stop:
    """The gate of a fitment in its market.

    What stops: a finding that blocks; a hose or a charge that nobody knows; a fitment that is not sized, since nobody
    knows whether the kit is strong enough or its pressures are safe; an answer that is out of date, since what blocks
    of it may have changed with the data; and the verdict *not enough*, since a required duty point fails, be it by its
    head pressure, and nobody has signed that the kit is wanted all the same. *Marginal* does not stop.
    """
    kit = source.kit
    told = [*(finding.sentence for finding in kit.blocking), *_unknown(kit), *_sizing(source)]
    return Stop(tuple(dict.fromkeys(told)))


def _unknown(kit: ResolvedKit) -> Iterator[str]:
    """Lengths and charge that are not known and that no finding tells already."""
    told = {finding.where for finding in kit.blocking}
    for hose in kit.hoses:
        if hose.cut_mm is None and f"length:{hose.route}" not in told:
            yield f"The cut length of {hose.name} on route {hose.route} is not known."
    if not kit.heats_only and kit.charge.charge_g is None and "charge" not in told:
        yield "No refrigerant charge is recorded."


def _sizing(source: DocumentSource) -> Iterator[str]:
    record = source.record
    if record is None:
        yield "Nobody has sized this fitment yet: run the sizing."
        return
    if record.verdict == NOT_SIZED:
        yield f"The fitment is not sized: {_gaps(record)}"
    if record.verdict == NOT_ENOUGH:
        yield from _not_enough(record)
    if source.is_stale:
        yield "The answer of the sizing is out of date, something changed since: size it again."


def _gaps(record: SizingRecord) -> str:
    of_points = (gap for duty in record.duties if duty.required for gap in duty.missing)
    sentences = list(dict.fromkeys(gap.sentence for gap in (*record.missing, *of_points)))
    more = len(sentences) - MOST_GAPS
    told = " ".join(sentences[:MOST_GAPS]) or "whether the kit is strong enough is not known."
    return f"{told} And {more} more: see the fitment's page." if more > 0 else told


def _not_enough(record: SizingRecord) -> Iterator[str]:
    """A sentence for each required duty point that fails; one for the whole where none is told apart."""
    failing = [duty for duty in record.duties if duty.required and duty.verdict == NOT_ENOUGH]
    for duty in failing:
        failed = " ".join(criterion.sentence for criterion in duty.criteria if not criterion.is_met)
        yield f"The kit is not enough at the required duty point {duty.name}. {failed}".rstrip()
    if not failing:
        yield "The kit is not enough for this car: its sizing sheet tells why and what would help."
