"""Lines, features, options and variants: codes stand once, what is used stays. The database holds it."""

from datetime import date

import pytest
from django.core.exceptions import ValidationError
from django.db.models import ProtectedError

from tests.vehicles.rows import Held, above, hold, make_line, make_variant, rules_of, word
from vehicles.models import (
    ChassisRange,
    ExcludedCombination,
    ExcludedTerm,
    Feature,
    LineFeature,
    LineOption,
    ModelLine,
    Option,
    Variant,
    VariantOption,
)

NEW_YEAR = date(1961, 1, 1)
EVE = date(1960, 12, 31)
RANGE = {"prefix": "S4", "first": 500, "last": 599}

RULES = [
    (ModelLine, Held("model_line_code_once", ({"code": "L2"},), ({"code": "L1"}, {"code": "l1"}))),
    (Feature, Held("feature_code_once", ({"code": "roof"},), ({"code": "side"}, {"code": "Side"}))),
    (Option, Held("option_code_once", ({"code": "middle"},), ({"code": "left"}, {"code": "LEFT"}))),
    (ExcludedCombination, Held("excluded_code_once", ({"code": "E2"},), ({"code": "E1"}, {"code": "e1"}))),
    (Variant, Held("variant_code_once", ({"code": "V2"},), ({"code": "V1"}, {"code": "v1"}))),
    (Variant, word("variant_category_known", "vehicle_category", "", "M1", "N1 class I", "N1 class III", "M2")),
    (Variant, above("variant_mass_positive", "reference_mass_kg")),
    (
        Variant,
        Held(
            "variant_built_in_order",
            (
                {"built_from": EVE, "built_until": NEW_YEAR},
                {"built_from": NEW_YEAR, "built_until": None},
                {"built_from": None, "built_until": EVE},
            ),
            # the day on which building ended was no day of building: one day alone is none
            (
                {"built_from": NEW_YEAR, "built_until": NEW_YEAR},
                {"built_from": NEW_YEAR, "built_until": EVE},
            ),
        ),
    ),
    (ChassisRange, Held("chassis_range_in_order", ({"last": 500}, {"first": 0}), ({"last": 499}, {"last": 0}))),
    (
        ChassisRange,
        Held("chassis_range_once", ({"first": 101}, {"first": 100, "prefix": "T4"}), ({"first": 100},)),
    ),
]  # fmt: skip


@pytest.fixture
def good(db) -> dict[type, dict[str, object]]:
    """A stored line with one row of each kind, and beside it a good row of each kind that is not stored."""
    line = make_line()
    side = Feature.objects.create(code="side", name="Steering")
    Option.objects.create(feature=side, code="left", name="Left")
    ExcludedCombination.objects.create(line=line, code="E1", reason="never made")
    variant = make_variant(line)
    ChassisRange.objects.create(variant=variant, prefix="S4", first=100, last=199)
    named = {"code": "x9", "name": "Nine"}
    return {
        ModelLine: named,
        Feature: named,
        Option: named | {"feature": side},
        ExcludedCombination: {"line": line, "code": "x9", "reason": "never made"},
        Variant: named | {"line": line, "cabin": variant.cabin, "powertrain": variant.powertrain},
        ChassisRange: RANGE | {"variant": variant},
    }


@pytest.mark.parametrize(("model", "held"), RULES, ids=[held.rule for _, held in RULES])
def test_the_database_holds(good, model, held) -> None:
    hold(model, good[model], held)


PAIRS = {
    "line_feature_once", "line_option_once", "variant_one_option_a_feature", "excluded_term_once",
}  # fmt: skip


def test_every_rule_of_the_catalogue_has_its_case() -> None:
    models = (ModelLine, Feature, Option, LineFeature, LineOption, ExcludedCombination, ExcludedTerm)
    rules = rules_of(*models, Variant, VariantOption, ChassisRange)
    assert rules == {held.rule for _, held in RULES} | PAIRS


def test_a_line_names_a_feature_and_an_option_once_and_a_combination_an_option_once(good) -> None:
    line, left = ModelLine.objects.get(), Option.objects.get()
    right = Option.objects.create(feature=left.feature, code="right", name="Right")
    roof = Feature.objects.create(code="roof", name="Roof")
    never = ExcludedCombination.objects.get()
    for model, owner, free, taken in (
        (LineFeature, {"line": line}, {"feature": roof}, {"feature": left.feature}),
        (LineOption, {"line": line}, {"option": right}, {"option": left}),
        (ExcludedTerm, {"combination": never}, {"option": right}, {"option": left}),
    ):
        model.objects.create(**owner, **taken)
        (rule,) = rules_of(model)
        hold(model, owner, Held(rule, (free,), (taken,)))


def test_a_variant_has_one_option_of_a_feature(good) -> None:
    variant, left = Variant.objects.get(), Option.objects.get()
    right = Option.objects.create(feature=left.feature, code="right", name="Right")
    roof = Feature.objects.create(code="roof", name="Roof")
    steel = Option.objects.create(feature=roof, code="steel", name="Steel")
    VariantOption.objects.create(variant=variant, feature=left.feature, option=left)
    inside, outside = {"feature": roof, "option": steel}, {"feature": left.feature, "option": right}
    hold(VariantOption, {"variant": variant}, Held("variant_one_option_a_feature", (inside,), (outside,)))


def test_a_code_stands_once_in_its_line_or_feature_and_may_stand_in_another(good) -> None:
    other = make_line("L2")
    make_variant(other, "V1")
    roof = Feature.objects.create(code="roof", name="Roof")
    Option.objects.create(feature=roof, code="left", name="Left half open")
    ExcludedCombination.objects.create(line=other, code="E1", reason="never made either")
    assert Variant.objects.filter(code="V1").count() == Option.objects.filter(code="left").count() == 2


def test_chassis_ranges_may_meet_here_since_a_finding_names_both_cars(good) -> None:
    # the database holds each row alone; what two rows say of each other is told where it can be mended
    variant = Variant.objects.get()
    meeting = ChassisRange(variant=variant, prefix="S4", first=150, last=2_000_000_000)
    meeting.full_clean()
    meeting.save()
    assert variant.chassis_ranges.count() == 2


def test_what_is_used_stays_and_a_line_takes_along_what_is_its_own(good) -> None:
    variant, left = Variant.objects.get(), Option.objects.get()
    line = variant.line
    LineFeature.objects.create(line=line, feature=left.feature)
    LineOption.objects.create(line=line, option=left)
    ExcludedTerm.objects.create(combination=ExcludedCombination.objects.get(), option=left)
    VariantOption.objects.create(variant=variant, feature=left.feature, option=left)
    for used in (left, left.feature, line, variant.cabin, variant.powertrain):
        with pytest.raises(ProtectedError):
            used.delete()
    variant.delete()
    assert not VariantOption.objects.exists() and not ChassisRange.objects.exists()
    variant.cabin.delete()
    variant.powertrain.delete()
    line.delete()
    assert not any(m.objects.exists() for m in (LineFeature, LineOption, ExcludedCombination, ExcludedTerm))
    left.delete()
    assert Feature.objects.count() == 1


VARIANT = {"code": "V9", "name": "Nine"}


@pytest.mark.parametrize("code", ["S4", "4", "CP 12.L/a_b+c#d-e", "a" * 40])
def test_a_code_holds_letters_digits_and_a_few_signs(code) -> None:
    Variant(**VARIANT | {"code": code}).clean_fields(exclude=["line", "cabin", "powertrain"])


@pytest.mark.parametrize(
    "code",
    ["", " S4", "-S4", ".S4", "S~4", "S4?", "S4&T4", "S:4", "é", "Ｓ4", "<b>", "S4\x00", "a\nb", "a" * 41],
)
def test_what_an_address_could_not_carry_is_no_code(code) -> None:
    with pytest.raises(ValidationError) as told:
        Variant(**VARIANT | {"code": code}).clean_fields(exclude=["line", "cabin", "powertrain"])
    assert set(told.value.message_dict) == {"code"}


@pytest.mark.parametrize(
    ("row", "field"),
    [
        (ModelLine(code="L9", name=""), "name"),
        (ModelLine(code="L9", name="n", maker="m" * 81), "maker"),
        (Feature(code="side", name="Side", sort=-1), "sort"),
        (Option(code="left", name="l" * 81), "name"),
        (ExcludedCombination(code="E9", reason=""), "reason"),
        (Variant(**VARIANT, built_from="1961"), "built_from"),
        (Variant(**VARIANT, vehicle_category="N1"), "vehicle_category"),
        (Variant(**VARIANT, reference_mass_kg="heavy"), "reference_mass_kg"),
        (ChassisRange(**RANGE | {"prefix": ""}), "prefix"),
        (ChassisRange(**RANGE | {"first": -1}), "first"),
        (ChassisRange(**RANGE | {"last": None}), "last"),
    ],
    ids=lambda value: value if isinstance(value, str) else type(value).__name__,
)
def test_a_row_that_makes_no_sense_is_told_by_its_field(row, field) -> None:
    with pytest.raises(ValidationError) as told:
        row.clean_fields()
    owners = {"line", "feature", "cabin", "powertrain", "variant"}
    assert set(told.value.message_dict) - owners == {field}
