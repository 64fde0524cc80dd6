"""A paper as a work."""

from datetime import date

from django.utils import timezone

from kits.documents.papers import PAPERS_BY_NAME
from kits.documents.queries import document_source
from kits.documents.render import document_pdf, live_address
from kits.documents.workbook import parts_list_workbook
from kits.files.actions import keep
from kits.work.kind import Asked, Kind, Refused, Result, Steps
from vehicles.physics.arrays import Refusal
from vehicles.records.guard import NotWorkedOut


def _steps(asked: Asked) -> Steps:
    """Draw it and keep its bytes; there is nothing to count."""
    file = keep(_drawn(asked), timezone.now())
    yield from ()
    return Result("If it did not open by itself, open it here.", file_id=file.pk)


def _drawn(asked: Asked) -> bytes:
    wanted = asked.wanted
    paper, by = PAPERS_BY_NAME[wanted["what"]], wanted["by"]
    codes = (wanted["kit"], wanted["line"], wanted["variant"])
    try:
        # one that was asked for before papers had a market names none
        source = document_source(*codes, date.fromisoformat(wanted["on"]), wanted.get("market", ""))
        document = paper.document(source, by)
    except LookupError as problem:
        raise Refused(str(problem.args[0])) from None
    except (NotWorkedOut, Refusal) as problem:
        raise Refused(str(problem)) from None
    if paper.ending.endswith(".xlsx"):
        return parts_list_workbook(document)
    return document_pdf(document, paper=wanted["size"], address=live_address(source.kit))


PAPER = Kind("print_paper", _steps)
