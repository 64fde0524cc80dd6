"""Whether the kit brings an O-ring for each joint, of the right size and rubber."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from decimal import Decimal

from kits.bom.joints import rubbers
from kits.bom.mending import row
from kits.bom.resolved import Finding, Joint


@dataclass(frozen=True, kw_only=True)
class Ring:
    """O-rings of the parts list; a spare is not counted for a joint."""

    position: int
    part: str
    name: str
    size: str
    rubber: str
    quantity: Decimal
    is_spare: bool = False
    entry: int = 0
    """the entry that brings it"""


def ring_findings(joints: Sequence[Joint], rings: Sequence[Ring], refrigerant: str) -> Iterator[Finding]:
    """A ring of unknown size, one of the wrong rubber, and sizes of which the kit has fewer than joints."""
    fits = rubbers(refrigerant)
    unknown = {ring.part: ring for ring in rings if not ring.size or not ring.rubber}
    for ring in unknown.values():
        sentence = (
            f"{ring.name} ({ring.part}) does not state its size and rubber: it can't be matched to a joint."
        )
        yield Finding(
            "o-ring-unknown", "warns", f"part:{ring.part}", sentence, row("O-rings", "size", ring.part)
        )
    wrong = {ring.part: ring for ring in rings if ring.rubber and fits and ring.rubber not in fits}
    for ring in wrong.values():
        sentence = (
            f"{ring.name} ({ring.part}) is {ring.rubber}, which {refrigerant} and its oil attack:"
            f" take {' or '.join(fits)}."
        )
        yield Finding(
            "o-ring-rubber", "blocks", f"part:{ring.part}", sentence, row("O-rings", "rubber", ring.part)
        )
    if unknown:
        return  # what can't be matched can't be called missing
    for size in dict.fromkeys(joint.o_ring_size for joint in joints if joint.o_ring_size):
        taking = [joint for joint in joints if joint.o_ring_size == size]
        having = [r for r in rings if r.size == size and r.part not in wrong and not r.is_spare]
        count = sum((r.quantity for r in having), Decimal(0))
        if count < len(taking):
            codes = ", ".join(joint.code for joint in taking)
            sentence = (
                f"{len(taking)} joint{'s' if len(taking) > 1 else ''} ({codes}) take{'' if len(taking) > 1 else 's'}"
                f" an O-ring {taking[0].o_ring}; the kit has {count.normalize():f}, spares apart."
            )
            where = f"position:{having[0].position}" if having else f"joint:{taking[0].code}"
            mend = (
                row("Entries", "quantity", having[0].position, having[0].entry)
                if having and having[0].entry
                else None
            )
            yield Finding("o-ring-missing", "blocks", where, sentence, mend)
