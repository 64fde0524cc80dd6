"""What would help: the margin each change to car or kit brings, by a run of its own."""

from kits.sizing.case.levers import levers
from kits.sizing.verdict.judge import margin_of
from kits.sizing.verdict.record import VERDICTS, LeverAnswer, SizingRecord
from kits.topics.context import Context
from kits.topics.figure import Bar, Figure, Picture, Table, Topic, given
from kits.topics.pieces import percent
from vehicles.physics.quantities import in_unit, signed_percent

CODE, TITLE = "levers", "What would help"
HEADS = (
    "change",
    "margin gained",
    "margin with it",
    "verdict with it",
    "eases what fails",
    "work, h",
)
RERUN = (
    "Each change was made to the fitment itself and sized again, one at a time; what they bring does not add up. Hours "
    "are an estimate."
)


def lever_bars(context: Context) -> Topic | None:
    """The topic of what would help; None where nothing has to, or nothing was sized."""
    record = context.record
    if record.verdict not in VERDICTS[1:3]:
        return None
    if not record.levers:
        return Topic(CODE, TITLE, record.smallest_change or "No change that was looked at brings anything.")
    return Topic(
        CODE,
        TITLE,
        f"Smallest change that turns the verdict: {record.smallest_change}"
        if record.smallest is not None
        else record.smallest_change,
        figures=_figures(record),
        tables=(_table(record),),
        cautions=(RERUN,),
        pictures=_pictures(context),
    )


def _hours(lever: LeverAnswer) -> str:
    return "not known" if lever.work_min is None else f"{lever.work_min / 60:.1f}"


def _share(value: float | None) -> str:
    return "–" if value is None else signed_percent(value)


def _table(record: SizingRecord) -> Table:
    rows = tuple(
        (
            a.name,
            _share(a.gain_share),
            _share(a.margin_share),
            a.verdict,
            a.eases or "–",
            _hours(a),
        )
        for a in record.levers
    )
    return Table("Changes, the best first", HEADS, rows)


def _figures(record: SizingRecord) -> tuple[Figure, ...]:
    own = given("margin as it stands", "", _share(record.margin_share), "sized")
    name = f"{margin_of.__module__}:{margin_of.__qualname__}"
    return tuple(
        Figure(
            f"Margin with: {a.name}", _share(a.margin_share), name,
            (own, given("work", "h", None if a.work_min is None else a.work_min / 60, a.source)),
        )
        for a in record.levers
    )  # fmt: skip


def wanted_share(record: SizingRecord, reserve_share: float) -> float | None:
    """How much margin the next better verdict asks for beyond what is there; None where no margin is judged."""
    if record.margin_share is None:
        return None
    goal = 0.0 if record.verdict == VERDICTS[2] else reserve_share
    return goal - record.margin_share if goal > record.margin_share else None


def _pictures(context: Context) -> tuple[Picture, ...]:
    record = context.record
    gaining = [a for a in record.levers if a.gain_share is not None]
    if not gaining:
        return ()
    wanted = wanted_share(record, context.case.reserve_share)
    known = {lever.code for lever in levers()}
    bars = tuple(
        Bar(
            a.name,
            100 * (a.gain_share or 0.0),
            percent(a.gain_share or 0.0),
            None if wanted is None else 100 * wanted,
        )
        for a in gaining
        if a.code in known
    )
    told = "; ".join(f"{bar.label} {bar.text}" for bar in bars)
    asked = (
        "" if wanted is None else f" {in_unit('pct', 100 * wanted)} are wanted for the next better verdict."
    )
    return (
        Picture(
            "levers",
            "Margin gained by each change",
            f"Margin gained: {told}.{asked}",
            "margin gained, %",
            bars=bars,
        ),
    )
