"""The bolts of the kit's brackets: stated torques beside the band of their size."""

from collections.abc import Iterator, Mapping
from typing import Any

from kits.bom.mending import Mend
from kits.bom.resolved import Finding
from kits.sizing.mechanics import fasteners as bolts
from kits.sizing.verdict.mends import of_part
from kits.topics.context import Context
from kits.topics.figure import Figure, Table, Topic, figure, given

CODE, TITLE = "fasteners", "Bolts of the brackets"

HEADS = ("part", "bolts", "stated, N·m", "band, N·m", "lies")
CAUTION = "What the part's maker states prevails; a thread in light alloy or sheet takes less than the band."


def fasteners(context: Context) -> Topic | None:
    """The brackets' torques judged by the band of K·d·F; None for a kit without brackets."""
    rows: list[tuple[str, ...]] = []
    figures: dict[float, Figure] = {}
    unstated = 0
    for number, data in _brackets(context):
        size = str(data.get("bolt_size") or "")
        low, high = data.get("torque_low_nm"), data.get("torque_high_nm")
        thread = bolts.thread_mm(size)
        told = "not stated" if low is None or high is None else f"{low:g} to {high:g}"
        if low is None or high is None:
            unstated += 1
        if thread is None or low is None or high is None:
            word = "no band for this thread" if thread is None else ""
            rows.append((number, size or "not known", told, word, ""))
            continue
        band = bolts.torque_band_nm(thread)
        lies = bolts.judged(low, high, band)
        band_text = f"{band[0]:.1f} to {band[1]:.1f}"
        rows.append((number, size, told, band_text, lies))
        figures.setdefault(thread, _figure(thread, band))
    if not rows:
        return None
    judged = sum(1 for row in rows if row[4])
    outside = sum(1 for row in rows if row[4] in ("below", "above"))
    answer = f"{judged - outside} of {judged} stated torques lie in the band of their bolt" + (
        f"; {outside} outside it, see the remarks." if outside else "."
    )
    if unstated:
        answer += f" {unstated} of {len(rows)} brackets state none."
    return Topic(
        CODE,
        TITLE,
        answer,
        figures=tuple(figures[size] for size in sorted(figures)),
        tables=(Table("Torques stated and plausible", HEADS, tuple(rows)),),
        remarks=tuple(remarks(context)),
        cautions=(CAUTION,),
    )


def remarks(context: Context) -> Iterator[Finding]:
    """Brackets that lack a bolt or a torque, and torques outside the band."""
    for number, data in _brackets(context):
        size, where = str(data.get("bolt_size") or ""), f"part:{number}"
        low, high, thread = data.get("torque_low_nm"), data.get("torque_high_nm"), bolts.thread_mm(size)
        if not size and (thread is None or low is None or high is None):
            mend = _field(context, number, "bolt_size")
            sentence = f"Bracket {number} doesn't say which bolts hold it."
            yield Finding("bolt-size-missing", "notes", where, sentence, mend)
        elif thread is not None and (low is None or high is None):
            mend = _field(context, number, "torque_high_nm")
            sentence = f"Bracket {number} states no torque for its {size}."
            yield Finding("bolt-torque-missing", "notes", where, sentence, mend)
        elif thread is not None and low is not None and high is not None:
            band = bolts.torque_band_nm(thread)
            lies = bolts.judged(low, high, band)
            if lies != "inside":
                yield _outside(
                    context, number, size, f"{low:g} to {high:g}", f"{band[0]:.1f} to {band[1]:.1f}", lies
                )


def _brackets(context: Context) -> list[tuple[str, Mapping[str, Any]]]:
    plant = context.kit.plant
    return [(held.part, held.data) for kind, held in plant.items() if kind.partition("/")[0] == "bracket"]


def _field(context: Context, number: str, field: str) -> Mend | None:
    return of_part(context.kit, "Brackets", field, number)


def _figure(thread_mm: float, band_nm: tuple[float, float]) -> Figure:
    c = bolts.fastener_constants()
    inputs = (
        given("property class", "", c.usual_class, "assumed: no bracket names another"),
        given("proof load", "n", bolts.proof_load_n(thread_mm, c.usual_class), "ISO 898-1"),
        given("share of it as preload", "", c.preload_share, "assumed: data/fasteners.json"),
        given("nut factor, dry", "", c.nut_factor_high, "assumed: data/fasteners.json"),
    )
    label = f"Torque of an M{thread_mm:g}, dry; oiled {band_nm[0]:.1f} N·m"
    return figure(label, "nm", band_nm[1], bolts.torque_band_nm, *inputs)


def _outside(context: Context, number: str, size: str, told: str, band: str, lies: str) -> Finding:
    kind = bolts.fastener_constants().usual_class
    if lies == "above":
        sentence = (
            f"Bracket {number}: {told} N·m is more than an {size} of class {kind} should get ({band} N·m)."
        )
        return Finding(
            "bolt-torque-high", "warns", f"part:{number}", sentence, _field(context, number, "torque_high_nm")
        )
    sentence = (
        f"Bracket {number}: {told} N·m is less than the band of an {size} of class {kind} ({band} N·m); "
        "right in alloy, sheet or rubber, else it comes loose."
    )
    return Finding(
        "bolt-torque-low", "notes", f"part:{number}", sentence, _field(context, number, "torque_low_nm")
    )
