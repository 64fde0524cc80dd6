"""A topic or a piece that is told of one coil, told of both: each coil's part bears its name."""

from collections.abc import Iterable, Sequence
from dataclasses import replace
from functools import wraps
from typing import TypeVar, cast

from kits.bom.resolved import Finding
from kits.topics.context import Context, Remarks, Worker
from kits.topics.figure import Figure, Picture, Table, Topic
from kits.topics.pieces import Piece

Telling = TypeVar("Telling", bound=Worker)


def of_each_coil(worker: Telling) -> Telling:
    """A topic that knows one coil and its air side, told of every coil; as it is where there is one."""

    @wraps(worker)
    def told(context: Context) -> Topic | None:
        return _topic_of_coils(worker, context)

    return cast(Telling, told)


def remarks_of_each_coil(remarks: Remarks) -> Remarks:
    """What a calculation of one coil remarks, told of every coil."""

    @wraps(remarks)
    def told(context: Context) -> Iterable[Finding]:
        return remarks_of_coils([(coil, remarks(coil)) for coil in context.of_coils()])

    return told


def _topic_of_coils(worker: Worker, context: Context) -> Topic | None:
    """The topic of every coil as one; as ever where there is one coil. None where it applies to no coil."""
    coils = context.of_coils()
    if len(coils) == 1:
        return worker(coils[0])
    told = [(coil, topic) for coil in coils if (topic := worker(coil)) is not None]
    if not told:
        return None
    first = told[0][1]
    return replace(
        first,
        answer=" ".join(f"{coil.coil}: {topic.answer}" for coil, topic in told),
        figures=tuple(f for coil, topic in told for f in _labelled(coil, topic.figures)),
        tables=tuple(t for coil, topic in told for t in _captioned(coil, topic.tables)),
        remarks=remarks_of_coils([(coil, topic.remarks) for coil, topic in told]),
        cautions=tuple(dict.fromkeys(caution for _, topic in told for caution in topic.cautions)),
        pictures=tuple(p for coil, topic in told for p in _pictured(coil, topic.pictures)),
    )


def piece_of_coils(told: Sequence[tuple[Context, Piece]]) -> Piece:
    """The pieces of all coils as one; the piece itself where there is one coil."""
    if len(told) == 1:
        return told[0][1]
    return Piece(
        " ".join(f"{coil.coil}: {piece.sentence}" for coil, piece in told if piece.sentence),
        tuple(f for coil, piece in told for f in _labelled(coil, piece.figures)),
        tuple(t for coil, piece in told for t in _captioned(coil, piece.tables)),
    )


def _labelled(coil: Context, figures: Iterable[Figure]) -> list[Figure]:
    return [replace(f, label=f"{coil.coil}: {f.label}") for f in figures]


def _captioned(coil: Context, tables: Iterable[Table]) -> list[Table]:
    return [replace(t, caption=f"{coil.coil}: {t.caption}") for t in tables]


def _pictured(coil: Context, pictures: Iterable[Picture]) -> list[Picture]:
    """Pictures with an address of their own."""
    return [replace(p, code=f"{p.code}-{coil.place}", caption=f"{coil.coil}: {p.caption}") for p in pictures]


def remarks_of_coils(told: Sequence[tuple[Context, Iterable[Finding]]]) -> tuple[Finding, ...]:
    """The remarks of all coils; what all of them say is said once, without a name, and so is all of a single coil."""
    if len(told) == 1:
        return tuple(told[0][1])
    lists = [(coil, list(remarks)) for coil, remarks in told]
    common = [r for r in lists[0][1] if all(r in remarks for _, remarks in lists)]
    own = [
        replace(r, sentence=f"{coil.coil}: {r.sentence}")
        for coil, remarks in lists
        for r in remarks
        if r not in common
    ]
    return (*common, *own)
