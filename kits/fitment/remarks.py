"""What the calculations remark, told among the findings of the fitment."""

from collections.abc import Iterable

from kits.bom.resolved import Finding
from kits.sizing.words.figure import Topic

GRAVEST_FIRST = ("blocks", "warns", "notes")


def remarks_of(topics: Iterable[Topic]) -> tuple[Finding, ...]:
    """The remarks of all topics as findings that name their topic."""
    return tuple(
        Finding(r.code, r.severity, r.where, r.sentence, r.mend, topic=(topic.code, topic.title))
        for topic in topics
        for r in topic.remarks
    )


def with_remarks(findings: Iterable[Finding], topics: Iterable[Topic]) -> tuple[Finding, ...]:
    """One list of all that is found in a fitment, the gravest first.

    findings: of the kit in its car; topics: as stored with the answer. What the kit and a topic tell, or two topics,
    is told once by its code and place, as the first of them tells it. One source may say several things of a place.
    """
    found = list(findings)
    for topic in topics:
        told = {(finding.code, finding.where) for finding in found}
        found += [r for r in remarks_of((topic,)) if (r.code, r.where) not in told]
    return tuple(sorted(found, key=lambda f: GRAVEST_FIRST.index(f.severity)))
