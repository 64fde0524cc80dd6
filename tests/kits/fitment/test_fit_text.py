from dataclasses import replace

from kits.fitment.fit_text import FitRow, fit_text

ROW = FitRow(
    kit="K1",
    line="s4",
    variant="cp12l",
    variant_name="Coupé",
    verdict="strong enough",
    margin_share=0.234,
    limit="freeze",
    missing_count=0,
    blocking_count=0,
    worst_duty_point="Cruise",
    as_of="today",
)


def margins(*shares: float | None) -> list[str]:
    text = fit_text([replace(ROW, margin_share=share) for share in shares])
    column = text.splitlines()[0].index("margin")
    return [line[column : column + 8].strip() for line in text.splitlines()[2:]]


def test_a_margin_is_told_with_its_sign_as_on_the_pages():
    assert margins(0.234, -0.071, None) == ["+23 %", "−7 %", ""]


def test_a_small_shortfall_is_not_told_as_nought():
    assert margins(-0.003, 0.003) == ["−0.3 %", "+0.3 %"]


def test_without_fitments_a_sentence_says_what_to_do():
    assert fit_text([]).endswith("import a model line's workbook first.")
