"""What the checks and the calculations remark, told among the findings of the fitment."""

from collections.abc import Iterable
from itertools import groupby

from kits.bom.resolved import Finding

GRAVEST_FIRST = ("blocks", "warns", "notes")


def with_remarks(findings: Iterable[Finding], remarks: Iterable[Finding]) -> tuple[Finding, ...]:
    """One list of all that is found in a fitment, the gravest first.

    findings: of the kit in its car; remarks: as stored with the answer, in the order of their topics. What the kit and
    a topic tell, or two topics, is told once by its code and place, as the first of them tells it. One source may say
    several things of a place.
    """
    found = list(findings)
    for _, of_topic in groupby(remarks, key=lambda remark: remark.topic):
        told = {(finding.code, finding.where) for finding in found}
        found += [remark for remark in of_topic if (remark.code, remark.where) not in told]
    return tuple(sorted(found, key=lambda f: GRAVEST_FIRST.index(f.severity)))
