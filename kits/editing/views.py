"""Pages on which rows are changed: the form of a row, its removal, the history with undo, and copies."""

from collections.abc import Callable
from typing import Any
from uuid import UUID

from django.contrib import messages
from django.core.paginator import Paginator
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone

from kits.editing import actions, queries
from kits.editing.cells import read_row
from kits.editing.changes import RowEdit
from kits.editing.copies import LINE_PARTS, VARIANT_PARTS
from kits.editing.forms import CopyLineForm, CopyVariantForm, RowForm, ask_beside
from kits.editing.recorded import RECORDED
from kits.editing.seen import packed, unpacked
from kits.editing.slugs import NO_LINE, key_of_param, key_param, sheet_of_slug, slug_of
from kits.exchange.sheets.bridge import BY_NAME
from kits.exchange.values import Key
from vehicles.catalogue.models import ModelLine
from vehicles.records.access import MANAGER, OWNER, allow
from vehicles.records.actions import Stale
from vehicles.records.asked import LOST_STATE, fault_of_text, next_address, sent_with
from vehicles.records.forms import fresh_key, with_fresh_key

ACTS_A_PAGE = 30
ROWS_OF_AN_ACT = 200
LONGEST_SEARCH = 200
LONGEST_GIVEN = 2_000


@allow(get={MANAGER}, post={MANAGER})
def edit_row(request: HttpRequest, line: str, sheet: str) -> HttpResponse:
    """One row: "?key=" names it, without it the form makes a new one from the fields given in the address."""
    name, code, key = _place(line, sheet, request)
    given = {field: str(text) for field, text in request.GET.items() if field not in ("key", "next")}
    if any(fault_of_text("The address", text, LONGEST_GIVEN) for text in given.values()):
        raise Http404("There is no such row: the address holds what no row can.")
    recorded = RECORDED.get(name)
    if recorded and not key:
        given = {**queries.as_recorded(request.user, recorded.origin, timezone.localdate()), **given}
    page = queries.row_page(code, name, key, given)
    if page is None:
        raise Http404("There is no such row.")
    if request.method != "POST":
        return _row_answer(request, page, RowForm(page.shape, initial=page.initial), packed(page.seen))
    form = RowForm(page.shape, request.POST, initial=page.initial)
    values, wrong = read_row(page.shape.sheet, form.typed(), dict(page.shape.features))
    seen = unpacked(request.POST.get("seen", ""), page.sheet.by_field)
    sent = sent_with(request.POST)
    for wrong_field, sentence in wrong.items():
        form.add_error(wrong_field, _beside(form, wrong_field, sentence))
    for sentence in sent.problems if seen is not None else [LOST_STATE, sent.reason_wrong]:
        if sentence:
            form.add_error(None, sentence)
    # what was looked at stays so until it is shown anew: else a change by somebody else would be written over unseen
    looked_at = packed(page.seen) if seen is None else request.POST.get("seen", "")
    if form.errors or seen is None:
        return _row_answer(request, page, form, looked_at, status=422)
    edit = RowEdit("change", name, key, values, seen) if key else RowEdit("add", name, values=values)
    try:
        if recorded:
            written = actions.record(
                actor=request.user, fitment=(f"{values['kit']}", code, f"{values['variant']}"), edits=[edit],
                reason=sent.reason or recorded.reason(values), sent=sent, meant=sent.meant,
                on=timezone.localdate(),
            )  # fmt: skip
        else:
            reason = sent.reason or ("changed on screen" if key else "added on screen")
            written = actions.edit_rows(
                actor=request.user, line=code, edits=[edit], reason=reason, sent=sent, meant=sent.meant
            )
    except Stale as stale:
        again = "; saving again writes it over the new state" if key else ""
        form.add_error(None, f"{stale} What you typed is kept below{again}.")
        return _row_answer(request, page, form, packed(page.seen), status=409)
    for problem in written.problems:
        if problem.column in form.fields:
            form.add_error(problem.column, _beside(form, problem.column, problem.sentence))
        else:
            form.add_error(None, f"{problem.sheet}: {problem.sentence}".lstrip(": "))
    ask_beside(form, [(question.field, question) for question in written.questions], sent.meant)
    if written.is_refused:
        return _row_answer(request, page, form, looked_at, status=422)
    said = recorded.said(values) if recorded else "Saved."
    messages.success(request, said if written.count else "Nothing was different; nothing was written.")
    return redirect(_back(request, reverse("edit-history")))


def _tell(form: Any, written: actions.Written) -> None:
    """Put what was wrong beside its field, or over the form."""
    for problem in written.problems[:20]:
        field = problem.column if problem.column in form.fields else None
        form.add_error(
            field, problem.sentence if field else f"{problem.sheet}: {problem.sentence}".lstrip(": ")
        )


def _beside(form: Any, field: str, sentence: str) -> str:
    """A sentence beside its field, which need not name the field again."""
    label = f"{form.fields[field].label} "
    short = sentence[len(label) :] if sentence.startswith(label) else sentence
    return short[:1].upper() + short[1:]


def _place(line: str, sheet: str, request: HttpRequest) -> tuple[str, str, Key | None]:
    name = sheet_of_slug(sheet)
    if name is None:
        raise Http404("There is no such kind of row.")
    if line != NO_LINE and not queries.is_line(line):
        raise Http404("There is no such model line.")
    key = None
    if "key" in request.GET:
        key = key_of_param(BY_NAME[name], request.GET["key"])
        if key is None or BY_NAME[name].append_only:
            raise Http404("There is no such row to change.")
    return name, "" if line == NO_LINE else line, key


def _row_answer(
    request: HttpRequest, page: queries.RowPage, form: RowForm, seen: str, status: int = 200
) -> HttpResponse:
    suggested = {
        f: c
        for f, c in page.shape.candidates.items()
        if f in form.fields and "list" in form.fields[f].widget.attrs
    }
    context = {
        "row": page,
        "form": form,
        "seen": seen,
        "line": page.line or NO_LINE,
        "slug": slug_of(page.sheet.name),
        "key": key_param(page.key) if page.key else "",
        "next": _back(request, ""),
        "suggested": suggested,
        "button": RECORDED[page.sheet.name].button if page.sheet.name in RECORDED else "Add it",
        "idempotency_key": fresh_key(),
        "sent": sent_with(request.POST),
        "history": _with_fields(queries.history_of(page.sheet, page.key)[:20]) if page.key else [],
    }
    return render(request, "editing/row.html", context, status=status)


def _with_fields(changes: Any) -> list[tuple[Any, list[queries.Told]]]:
    return [(change, queries.told(change)) for change in changes]


def _back(request: HttpRequest, fallback: str) -> str:
    return next_address(request.POST, request.GET, fallback)


@allow(get={MANAGER}, post={MANAGER})
def remove_row(request: HttpRequest, line: str, sheet: str) -> HttpResponse:
    """What goes with a row, and the confirmation by its count."""
    name, code, key = _place(line, sheet, request)
    going = queries.removal(code, name, key) if key else []
    if key is None or not going:
        raise Http404("There is no such row.")
    page = queries.row_page(code, name, key, {})
    sent = sent_with(request.POST)
    problems: list[str] = []
    status, looked_at = 200, packed(page.seen if page else {})
    if request.method == "POST":
        count = request.POST.get("count", "").strip()
        seen = unpacked(request.POST.get("seen", ""), page.sheet.by_field) if page else {}
        if seen is None:
            problems, status = [LOST_STATE], 422
        elif count != f"{len(going)}":
            problems, status = [f"Type {len(going)}, the number of rows that go, to confirm."], 422
        elif sent.reason_wrong:
            problems, status = [sent.reason_wrong], 422
        else:
            try:
                written = actions.remove_row(
                    actor=request.user, line=code, sheet=name, key=key, seen=seen,
                    confirmed_count=len(going), reason=sent.reason or "removed on screen",
                )  # fmt: skip
            except Stale as stale:
                problems, status = [str(stale)], 409
            else:
                problems, status = [problem.sentence for problem in written.problems], 422
        if status == 422 and seen is not None:
            looked_at = request.POST.get("seen", "")
        if not problems:
            messages.success(request, f"Removed {len(going)} row{'' if len(going) == 1 else 's'}.")
            return redirect(_back(request, reverse("edit-history")))
    context = {
        "row": page, "going": going, "problems": problems, "next": _back(request, ""), "line": line, "slug": sheet,
        "key": key_param(key), "sent": sent, "count": request.POST.get("count", ""), "seen": looked_at,
    }  # fmt: skip
    return render(request, "editing/remove.html", context, status=status)


@allow(get={MANAGER, OWNER})
def history(request: HttpRequest) -> HttpResponse:
    """Who changed what, when and why; each act can be looked at."""
    asked = {name: f"{request.GET.get(name, '')}".strip() for name in ("sheet", "line", "who", "text")}
    wrong = {name: fault_of_text("What is searched", text, LONGEST_SEARCH) for name, text in asked.items()}
    readable = {name: "" if wrong[name] else text for name, text in asked.items()}
    pages = Paginator(queries.acts(**readable), ACTS_A_PAGE)
    page = pages.get_page(request.GET.get("page"))
    kept = request.GET.copy()
    kept.pop("page", None)
    context = {
        "page": page, "asked": asked, "sheets": list(BY_NAME), "kept": kept.urlencode(),
        "notices": [f"{sentence} It is left out." for sentence in wrong.values() if sentence],
    }  # fmt: skip
    return render(request, "editing/history.html", context)


@allow(get={MANAGER, OWNER})
def act(request: HttpRequest, act: UUID) -> HttpResponse:
    """The rows one act wrote, with old and new values."""
    changes = queries.changes_of(act)
    count = changes.count()
    if not count:
        raise Http404("There is no such change.")
    context = {
        "act": changes[0].act, "count": count, "changes": _with_fields(changes[:ROWS_OF_AN_ACT]),
        "more": max(count - ROWS_OF_AN_ACT, 0),
    }  # fmt: skip
    return render(request, "editing/act.html", context)


@allow(post={MANAGER})
def undo(request: HttpRequest, act: UUID) -> HttpResponse:
    """Take back all rows of an act."""
    try:
        written = actions.undo_act(actor=request.user, act=act)
    except Stale as stale:
        messages.error(request, str(stale))
        return redirect("edit-act", act=act)
    for problem in written.problems:
        messages.error(request, f"Not taken back. {problem.sheet}: {problem.sentence}")
    if not written.problems:
        messages.success(request, f"Taken back: {written.count} row{'' if written.count == 1 else 's'}.")
        return redirect(_back(request, reverse("edit-history")))
    return redirect("edit-act", act=act)


@allow(get={MANAGER}, post={MANAGER})
def copy_variant(request: HttpRequest, line: str, variant: str) -> HttpResponse:
    """A new variant from this one."""
    row = queries.variant_row(line, variant)
    if row is None:
        raise Http404("There is no such variant.")
    held = {name: f"{value}" for name, value in row.items() if name.startswith("option:")}
    data = request.POST if request.method == "POST" else None
    initial = {"name": f"{row['name']}", "idempotency_key": fresh_key()}
    form = CopyVariantForm(queries.line_options(line), held, VARIANT_PARTS, data, initial=initial)
    if data is not None and form.is_valid():
        cleaned = form.cleaned_data
        made = was_written(form, lambda: actions.copy_variant(
            actor=request.user, line=line, source=variant, code=cleaned["code"], name=cleaned["name"],
            options=form.options(), parts=cleaned["parts"], sent=sent_with(request.POST),
        ))  # fmt: skip
        if made:
            messages.success(request, f"Made {cleaned['code']}. It is marked “to be surveyed”.")
            return redirect("vehicle", line=line, variant=cleaned["code"])
    context = {
        "form": with_fresh_key(form),
        "what": "variant",
        "source": f"{row['name']}",
        "back": reverse("vehicle", args=[line, variant]),
    }
    return render(request, "editing/copy.html", context, status=422 if form.errors else 200)


@allow(get={MANAGER}, post={MANAGER})
def copy_line(request: HttpRequest, line: str) -> HttpResponse:
    """A new model line from this one."""
    source = ModelLine.objects.filter(code__iexact=line).first()
    if source is None:
        raise Http404("There is no such model line.")
    data = request.POST if request.method == "POST" else None
    form = CopyLineForm(LINE_PARTS, data, initial={"maker": source.maker, "idempotency_key": fresh_key()})
    if data is not None and form.is_valid():
        cleaned = form.cleaned_data
        made = was_written(form, lambda: actions.copy_line(
            actor=request.user, source=source.code, code=cleaned["code"], name=cleaned["name"],
            maker=cleaned["maker"], parts=cleaned["parts"], sent=sent_with(request.POST),
        ))  # fmt: skip
        if made:
            messages.success(
                request, f"Made the line {cleaned['name']}. Its values are marked “to be surveyed”."
            )
            return redirect(f"{reverse('variant-list')}?line={cleaned['code']}")
    context = {
        "form": with_fresh_key(form),
        "what": "model line",
        "source": source.name,
        "back": reverse("variant-list"),
    }
    return render(request, "editing/copy.html", context, status=422 if form.errors else 200)


def was_written(form: Any, write: Callable[[], actions.Written]) -> bool:
    """Whether an act is done; what is in its way goes to the form."""
    try:
        written = write()
    except Stale as stale:
        form.add_error(None, str(stale))
        return False
    _tell(form, written)
    return not written.problems
