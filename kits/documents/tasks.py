"""A paper as a work."""

from collections.abc import Iterator
from contextlib import contextmanager
from datetime import date

from django.utils import timezone

from kits.documents.papers import PAPERS_BY_NAME
from kits.documents.queries import document_source
from kits.documents.render import document_pdf, live_address
from kits.documents.source import DocumentSource
from kits.documents.workbook import parts_list_workbook
from kits.files.actions import keep
from kits.work.kind import Asked, Kind, Refused, Result, Steps, nothing_written
from vehicles.physics.arrays import Refusal
from vehicles.records.guard import NotWorkedOut


def _steps(asked: Asked) -> Steps:
    """Resolve the kit, put the document together, draw it, keep its bytes."""
    wanted = asked.wanted
    paper = PAPERS_BY_NAME[wanted["what"]]
    codes = (wanted["kit"], wanted["line"], wanted["variant"])
    with _refusals():
        # one that was asked for before papers had a market names none
        source = _source(codes, date.fromisoformat(wanted["on"]), wanted.get("market", ""), paper.topics)
    yield nothing_written(1, 3)
    with _refusals():
        document = paper.document(source, wanted["by"])
    yield nothing_written(2, 3)
    if paper.ending.endswith(".xlsx"):
        content = parts_list_workbook(document)
    else:
        content = document_pdf(document, paper=wanted["size"], address=live_address(source.kit))
    yield nothing_written(3, 3)
    return Result("If it did not open by itself, open it here.", file_id=keep(content, timezone.now()).pk)


def _source(codes: tuple[str, str, str], on: date, market: str, topics: tuple[str, ...]) -> DocumentSource:
    try:
        return document_source(*codes, on, market, topics)
    except LookupError as problem:  # of the document itself it would be a fault of ours
        raise Refused(str(problem.args[0])) from None


@contextmanager
def _refusals() -> Iterator[None]:
    """What is wrong with the kit or the car ends the work with its sentence."""
    try:
        yield
    except (NotWorkedOut, Refusal) as problem:
        raise Refused(str(problem)) from None


PAPER = Kind("print_paper", _steps, has_pace=False, makes_file=True)
