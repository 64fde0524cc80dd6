"""Write what people change on screen: rows, their undoing, copies of a variant or a line, the order of steps."""

from collections.abc import Callable, Collection, Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any
from uuid import UUID

from django.db import IntegrityError, models

from kits.editing.changes import Moved, RowEdit, needed_sheets, plan_edits, undone, with_belonging
from kits.editing.copies import copied_line, copied_variant
from kits.editing.recorded import contradictions
from kits.exchange.apply.actions import Overtaken, RowWriter
from kits.exchange.bridge import State, load_state, rules_of, uniques_of
from kits.exchange.columns import Sheet, with_options
from kits.exchange.layout import LINE_SHEET
from kits.exchange.models import RowChange
from kits.exchange.plan import key_from_json
from kits.exchange.queries import without_confirmed
from kits.exchange.reader import features_of
from kits.exchange.sheets.bridge import BY_NAME, SHEETS
from kits.exchange.unusual import Question
from kits.exchange.values import Key, Problem, from_json
from kits.fitment.actions import ask_to_size, keep_fresh, lock_catalogue, touch_catalogue
from kits.fitment.air.queries import refusal_of_trial
from kits.fitment.models import Fitment
from vehicles.records.access import Actor, require
from vehicles.records.actions import Stale, once
from vehicles.records.asked import UNSENT, Sent
from vehicles.records.guard import logged
from vehicles.records.models import Act

NEEDED = "Something else still needs the row, so it stays."
REFUSED = "The database refused it, so nothing was changed. The log says why, under "


@dataclass(frozen=True)
class Written:
    """What came of an edit: how many rows were written, or why none was.

    questions: about values that are not usual; where one of them isn't answered, nothing was written.
    """

    count: int
    problems: Sequence[Problem] = ()
    questions: Sequence[Question] = ()

    @property
    def is_refused(self) -> bool:
        """Whether something is to be mended or answered first."""
        return bool(self.problems or self.questions)


class _NotWritten(Exception):
    """Takes the act back, since nothing was written: the next attempt is a new one."""

    def __init__(self, why: Written) -> None:
        self.why = why


def edit_rows(
    *,
    actor: Actor,
    line: str,
    edits: Sequence[RowEdit],
    reason: str,
    sent: Sent = UNSENT,
    meant: Collection[str] | None = (),
    fitments: Collection[int] | None = None,
    kind: str = "edit_rows",
) -> Written:
    """Check and write rows as one act, all or nothing, with their history, once however often the form was sent.

    line: code of the model line whose rows are meant, or "" for shared ones; meant: tokens of the questions whose
    values are as meant though they are not usual, which is kept; None: nobody is asked; fitments: ids of those whose
    answers alone go out of date by it; None: all; kind: of the act. Raises PermissionDenied, and Stale when a row is
    not what the person saw.
    """
    require(actor, "edit_rows")
    names = needed_sheets(BY_NAME[edit.sheet] for edit in edits)
    return _act(actor, kind, reason, sent, lambda act: _write(act, line, edits, names, meant, fitments))


def record(
    *,
    actor: Actor,
    fitment: tuple[str, str, str],
    edits: Sequence[RowEdit],
    reason: str,
    on: date,
    sent: Sent = UNSENT,
    meant: Collection[str] | None = (),
) -> Written:
    """Add what was found of one fitment, all or nothing and once, and ask for it to be sized again.

    fitment: codes of kit, line and variant; answers of other fitments stay as fresh as they were. What the kit or its
    blower contradicts is refused. sent and meant as for `edit_rows`. Raises PermissionDenied, Stale.
    """
    require(actor, "record")
    kit, line, variant = fitment
    named = {"kit__code__iexact": kit, "variant__line__code__iexact": line, "variant__code__iexact": variant}
    found = Fitment.objects.filter(**named).select_related("kit", "variant__line").first()
    names = needed_sheets(BY_NAME[edit.sheet] for edit in edits)

    def write(act: Act) -> Written:
        written = _write(act, line, edits, names, meant, [found.pk] if found else None)
        problems = list(_contradicted(found, edits, on)) if found and written.count else []
        return Written(0, problems) if problems else written

    written = _act(actor, "record", reason, sent, write)
    if found and written.count:
        codes = (found.kit.code, found.variant.line.code, found.variant.code)
        ask_to_size(actor=actor, on=on, fitment=codes)
    return written


def _contradicted(fitment: Fitment, edits: Sequence[RowEdit], on: date) -> Iterator[Problem]:
    """What stands in the way of rows that have just been written."""
    for edit in edits:
        yield from contradictions(edit.sheet, edit.values)
    sheets = {edit.sheet for edit in edits}
    if "Charges" in sheets and fitment.kit.heats_only:
        yield Problem("Charges", None, "", f"{fitment.kit} heats only: it has no refrigerant to charge.")
    refusal = refusal_of_trial(fitment.air_trials.latest("pk"), on) if "Air trials" in sheets else ""
    if refusal:
        yield Problem("Air trials", None, "", refusal)


def remove_row(
    *, actor: Actor, line: str, sheet: str, key: Key, seen: dict[str, Any], confirmed_count: int, reason: str
) -> Written:
    """Remove a row with all that belongs to it, when the number confirmed is the number that goes.

    Raises PermissionDenied, Stale.
    """
    require(actor, "remove_row")
    state = load_state(line)
    places = with_belonging(_sheets_of(state, BY_NAME), state.rows, sheet, key)
    kept = sorted({name for name, _ in places if BY_NAME[name].append_only})
    if kept:
        sentence = (
            f"There are {' and '.join(kept).lower()} recorded for it. Those are only added, so it stays."
        )
        return Written(0, [Problem(sheet, None, "", sentence)])
    if len(places) != confirmed_count:
        raise Stale(
            f"It is {len(places)} rows that would go now, not {confirmed_count}. Nothing was removed."
        )
    edits = [
        RowEdit("remove", name, row_key, seen=seen if (name, row_key) == (sheet, key) else {})
        for name, row_key in places
    ]
    return _act(actor, "remove_row", reason, UNSENT, lambda act: _write(act, line, edits, BY_NAME))


def undo_act(*, actor: Actor, act: UUID) -> Written:
    """Take back all rows of one act, unless one of them was changed since. Raises PermissionDenied, Stale."""
    require(actor, "undo_act")
    changes = list(RowChange.objects.filter(act__key=act).select_related("act").order_by("-pk"))
    if not changes:
        return Written(0, [Problem("", None, "", "There is no such change.")])
    first = changes[0]
    state = load_state(first.line, ("Features", "Options"))
    sheets = _sheets_of(state, {change.sheet for change in changes if change.sheet in BY_NAME})
    edits = []
    for change in changes:
        sheet = sheets.get(change.sheet)
        if sheet is None or sheet.append_only:
            sentence = f"{change.sheet}, {change.label}: such rows are only added and can't be taken back."
            return Written(0, [Problem(change.sheet, None, "", sentence)])
        columns = sheet.by_field
        fields = {name: pair for name, pair in change.fields.items() if name in columns}
        key = key_from_json(sheet, change.key)
        edits.append(undone(sheet, change.kind, key, fields, lambda n, v, c=columns: from_json(c[n], v)))  # type: ignore[misc]
    is_removal = any(edit.kind == "remove" for edit in edits)
    needed = BY_NAME if is_removal else needed_sheets(sheets.values())
    reason = f"taken back: {first.act.reason}"
    return _act(actor, "undo_act", reason, UNSENT, lambda act: _write(act, first.line, edits, needed))


def copy_variant(
    *,
    actor: Actor,
    line: str,
    source: str,
    code: str,
    name: str,
    options: dict[str, str],
    parts: Collection[str],
    sent: Sent = UNSENT,
) -> Written:
    """Make a variant from another of its line, marked to be surveyed, once. Raises PermissionDenied, Stale.

    options: option columns of the new car; parts: what comes along ("lengths", "charges", "mounting").
    """
    require(actor, "copy_variant")

    def write(act: Act) -> Written:
        edits = copied_variant(load_state(line).rows, source, code, name, options, parts)
        return _write(act, line, edits, BY_NAME)

    return _act(actor, "copy_variant", f"copy of {source}", sent, write)


def copy_line(
    *,
    actor: Actor,
    source: str,
    code: str,
    name: str,
    maker: str,
    parts: Collection[str],
    sent: Sent = UNSENT,
) -> Written:
    """Make a model line from another, marked to be surveyed, once. Raises PermissionDenied, Stale.

    parts: what comes along ("variants", "routes", "lengths", "charges", "chassis", "offers").
    """
    require(actor, "copy_line")

    def write(act: Act) -> Written:
        state = load_state(source)
        if state.line_id is None:
            return Written(0, [Problem(LINE_SHEET, None, "code", f"There is no model line {source}.")])
        edits = copied_line(
            sheets=SHEETS, rows=state.rows, source=source, code=code, name=name, maker=maker, parts=parts
        )
        if load_state(code, (LINE_SHEET,)).line_id is not None:
            return Written(0, [Problem(LINE_SHEET, None, "code", f"A model line {code} exists already.")])
        return _write(act, code, edits, BY_NAME)

    return _act(actor, "copy_line", f"copy of {source}", sent, write)


def _sheets_of(state: State, names: Collection[str]) -> dict[str, Sheet]:
    features = features_of(state.rows)
    return {s.name: with_options(s, features) for s in SHEETS if s.name in names}


def _act(actor: Actor, kind: str, reason: str, sent: Sent, write: Callable[[Act], Written]) -> Written:
    """One act that writes rows, or nothing of it. Raises Stale."""

    def make(act: Act) -> int:
        written = write(act)
        if not written.count:
            raise _NotWritten(written)
        return written.count

    try:
        return Written(int(once(actor, kind, sent, make, reason=reason)))
    except _NotWritten as nothing:
        return nothing.why
    except (Moved, Overtaken) as moved:
        raise Stale(str(moved) or "The row was changed in the meantime; nothing was written.") from moved
    except (models.ProtectedError, models.RestrictedError):
        return Written(0, [Problem("", None, "", NEEDED)])
    except IntegrityError:
        reference = logged("the database refused a row", "an edit on screen")
        return Written(0, [Problem("", None, "", f"{REFUSED}{reference}.")])


def _write(
    act: Act,
    line: str,
    edits: Iterable[RowEdit],
    names: Collection[str],
    meant: Collection[str] | None = None,
    fitments: Collection[int] | None = None,
) -> Written:
    """Write the edits; what is taken over or taken back, and so not typed, asks nobody (meant: None)."""
    before = lock_catalogue().value
    state = load_state(line, names)
    sheets = _sheets_of(state, names)
    plan, problems = plan_edits(
        line=line,
        sheets=sheets,
        stored=state.rows,
        elsewhere=state.elsewhere,
        edits=edits,
        rules_of=rules_of,
        uniques_of=uniques_of,
    )
    if problems or not any(part[kind] for part in plan["sheets"].values() for kind in part):
        return Written(0, problems)
    plan = {**plan, "questions": []} if meant is None else without_confirmed(plan)
    questions = [Question(**asked) for asked in plan["questions"]]
    if any(question.token not in (meant or ()) for question in questions):
        return Written(0, questions=questions)
    count = RowWriter(plan, state).run(act)
    if fitments is None:
        touch_catalogue()
    else:
        keep_fresh(before, fitments)
    return Written(count)
