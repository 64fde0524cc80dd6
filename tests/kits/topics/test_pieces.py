"""Which duty point a topic tells of."""

from kits.sizing.verdict.record import DutyAnswer, SizingRecord
from kits.topics.pieces import governing, percent, solved


def answer(
    code: str, margin: float | None = None, *, required: bool = True, known: bool = True
) -> DutyAnswer:
    heat = 3000.0 if known else None
    return DutyAnswer(
        code=code,
        name=code,
        kind="cruise",
        required=required,
        verdict="marginal",
        margin_share=margin,
        capacity_w=heat,
        flow_g_s=heat,
    )


def record(worst: str, *duties: DutyAnswer) -> SizingRecord:
    return SizingRecord(
        verdict="marginal",
        worst_duty_point=worst,
        margin_share=None,
        limit="",
        basis="estimated",
        load_uncertainty_share=0.15,
        capacity_uncertainty_share=0.12,
        duties=duties,
    )


def test_the_worst_point_decides_where_it_has_numbers() -> None:
    a, b = answer("a", 0.1), answer("b")
    assert governing(record("b", a, b)) is b
    assert solved(record("b", a, b)) == [a, b]


def test_else_the_required_one_with_the_least_margin() -> None:
    unsolved, idle = answer("u", known=False), answer("i")
    tight, wide, informative = answer("t", 0.05), answer("w", 0.5), answer("x", -0.9, required=False)
    assert governing(record("u", unsolved, idle, wide, tight, informative)) is tight
    assert governing(record("u", unsolved, idle, informative)) is idle
    assert governing(record("", informative)) is informative


def test_nothing_solved_nothing_told() -> None:
    assert governing(record("u", answer("u", known=False))) is None


def test_a_share_below_nought_has_a_true_minus() -> None:
    assert (percent(0.124), percent(-0.09)) == ("12 %", "\N{MINUS SIGN}9 %")
