"""Whether the belt bears the compressor's pull at idle."""

from kits.bom.resolved import Finding, ResolvedKit
from kits.sizing.case.belt_layout import Layout, belts_of, driving
from kits.sizing.case.case import Case
from kits.sizing.mechanics import belt as b
from kits.sizing.verdict.mends import of_part, of_place
from kits.sizing.verdict.record import SizingRecord
from vehicles.powertrain.pulleys import COMPRESSOR, GROOVE_MM

TOPIC = ("belt", "Belt and engine")
"""Code and title of the calculation that tells more of it."""


def has_belt(case: Case) -> bool:
    """Whether an engine turns the compressor by a belt."""
    return not (case.heats_only or case.plant.compressor.electric or case.car.is_electric)


def idle_torque_nm(record: SizingRecord) -> float | None:
    """The largest torque at the compressor's shaft among the idle duty points that were solved."""
    torques = [d.torque_nm for d in record.duties if d.of_kind.idles and d.torque_nm is not None]
    return max(torques, default=None)


def groove_of(kit: ResolvedKit, layout: Layout) -> str:
    """The compressor's groove: of the layout, else of the crank pulley that the kit brings."""
    at = layout.on(COMPRESSOR)
    if at is not None:
        return layout.pulleys[at].groove
    held = kit.plant.get("pulley")
    return str(held.data.get("groove") or "") if held else ""


def pull_n(case: Case, record: SizingRecord) -> float | None:
    """The belt's effective pull at idle; None without one of its inputs."""
    torque, pulley = idle_torque_nm(record), case.plant.pulley_mm
    return None if torque is None or pulley is None else float(b.belt_pull_n(torque, pulley))


def pull_limit_n(kit: ResolvedKit, layout: Layout) -> float | None:
    """What a belt in the compressor's groove bears for long; None where no limit is known."""
    width = GROOVE_MM.get(groove_of(kit, layout))
    return None if width is None else b.belt_constants().pull_limit_n.get(width)


def belt_checks(kit: ResolvedKit, case: Case, record: SizingRecord) -> list[Finding]:
    """The pull of the belt that turns the compressor against what it bears; nothing without such a belt."""
    if not has_belt(case):
        return []
    where, layout = case.car.where.get("powertrain", "variant"), driving(belts_of(case.car.pulleys))
    pull, limit, groove = pull_n(case, record), pull_limit_n(kit, layout), groove_of(kit, layout)
    if pull is None:
        sentence = (
            "The belt's pull isn't known: no idle duty point was solved, or the compressor has no pulley."
        )
        return [Finding("pull-unknown", "notes", "fitment", sentence)]
    if limit is None:
        told = (
            f"no limit is known for the groove “{groove}”"
            if groove
            else "the compressor's groove isn't known"
        )
        at = layout.on(COMPRESSOR)
        mend = None if at is None else of_place(where, "Pulleys", "groove", layout.pulleys[at].code)
        return [
            Finding("pull-limit-unknown", "notes", where, f"The belt's pull can't be judged: {told}.", mend)
        ]
    engaging = float(b.engagement_pull_n(pull))
    if pull > limit:
        sentence = (
            f"At idle the compressor pulls {pull:.0f} N; the belt bears {limit:.0f} N for long (from memory)."
        )
        number = kit.plant["compressor"].part
        mend = of_part(kit, "Compressors", "pulley_mm", number)
        return [Finding("belt-pull", "blocks", where, sentence, mend)]
    if engaging > limit:
        sentence = (
            f"As the clutch engages at idle the belt is pulled with about {engaging:.0f} N, above the {limit:.0f} N "
            f"that it bears for long (from memory): tension and wrap must be right, and an idle-up helps."
        )
        return [Finding("belt-pull-engaging", "notes", where, sentence)]
    return []
