"""The grid of a kit: terms as cells, findings at their position, and what each car gets."""

from datetime import date
from decimal import Decimal

import pytest

from kits.bom.catalogue import (
    EntrySpec,
    HoseRunSpec,
    KitSpec,
    LineSpec,
    PartSpec,
    PositionSpec,
    RevisionSpec,
    VariantSpec,
)
from kits.bom.grid import cell, features_of, grid_of, what_cars_get
from kits.bom.resolved import Finding
from vehicles.records.terms import Terms, terms_of

ON = date(2026, 6, 1)
LEFT = terms_of([("steering", "left", False)])
RIGHT = terms_of([("steering", "right", False)])
NOT_12V = terms_of([("electrics", "12v", True)])


def part(number: str) -> PartSpec:
    return PartSpec(
        number=number,
        name=f"name of {number}",
        kind="bracket",
        unit="pc",
        supply="buy",
        revisions=(RevisionSpec("A", "released"),),
    )


PARTS = {number: part(number) for number in ("P1", "P2", "P3")}


def entry(number: int, terms: Terms, **more: object) -> EntrySpec:
    return EntrySpec(number=number, part=f"P{number}", quantity=Decimal(1), terms=terms, **more)  # type: ignore[arg-type]


def position(*entries: EntrySpec, rule: str = "exactly one") -> PositionSpec:
    return PositionSpec(number=10, name="Bracket", zone="bay", bag="1", role="", rule=rule, entries=entries)


def car(code: str, steering: str, electrics: str) -> VariantSpec:
    return VariantSpec("L", code, f"car {code}", {"steering": steering, "electrics": electrics})


BUILT = (car("A", "left", "6v"), car("B", "left", "12v"), car("C", "right", "12v"))
LINE = LineSpec("L", "Line", {"steering": ("left", "right"), "electrics": ("6v", "12v")}, (), BUILT)


def kit(*positions: PositionSpec) -> KitSpec:
    return KitSpec(code="K", name="Kit", settings={}, positions=positions, joints=(), steps=(), lines=(LINE,))


@pytest.mark.parametrize(
    ("terms", "said"),
    [
        (terms_of([]), "any"),
        (LEFT, "left"),
        (terms_of([("steering", "right", False), ("steering", "left", False)]), "left, right"),
        (terms_of([("steering", "left", True)]), "not left"),
        (NOT_12V, "any"),
    ],
)
def test_a_cell_says_the_terms_of_its_feature(terms, said):
    assert cell(terms, "steering") == said


def test_columns_are_the_features_of_the_offered_lines_and_what_else_is_spoken_of():
    spec = kit(position(entry(1, terms_of([("roof", "steel", False)]))))
    assert features_of(spec) == ("steering", "electrics", "roof")
    assert grid_of(spec, PARTS, ()).positions[0].rows[0].cells == ("any", "any", "steel")


def test_findings_stand_at_their_position_with_the_gravest_as_mark():
    spec = kit(
        position(entry(1, LEFT)),
        PositionSpec(number=11, name="Other", zone="bay", bag="", role="", rule="any"),
    )
    findings = [
        Finding("position-overlap", "notes", "position:10", "two"),
        Finding("position-gap", "blocks", "position:10", "none"),
        Finding("terms-dead", "warns", "entry:11/1", "dead"),
        Finding("step-filler", "warns", "step:S1", "elsewhere"),
    ]
    first, second = grid_of(spec, PARTS, findings).positions
    assert (first.word, first.severity, len(first.findings)) == ("gap and overlap", "blocks", 2)
    assert (second.word, second.severity) == ("look", "warns")
    assert (grid_of(spec, PARTS, ()).positions[0].word, first.spec.number) == ("", 10)


def test_a_hose_run_is_a_row_too():
    run = HoseRunSpec(
        number=1,
        route="R",
        rock_mm=0.0,
        hose="P1",
        end_a="P2",
        end_b="P3",
        clocking_deg=0.0,
        slack_share=0.03,
        slack_min_mm=25.0,
        sleeve="",
        service_port="",
        crimp_place="works",
        tag="TAG",
        terms=RIGHT,
    )
    spec = kit(
        PositionSpec(
            number=40,
            name="Hose",
            zone="bay",
            bag="",
            role="",
            rule="exactly one",
            entries=(),
            hose_runs=(run,),
        )
    )
    row = grid_of(spec, PARTS, ()).positions[0].rows[0]
    assert (row.kind, row.part, row.quantity, row.cells) == ("hose", "P1", None, ("right", "any"))
    got = what_cars_get(spec.positions[0], spec.lines, PARTS, ON)
    assert [(g.options, g.rows) for g in got.combinations] == [
        (("left",), ()),
        (("right",), ("hose run 1: P1, tag TAG",)),
    ]


def test_cars_are_told_apart_only_by_what_the_position_asks_about():
    got = what_cars_get(position(entry(1, LEFT), entry(2, RIGHT)), (LINE,), PARTS, ON)
    assert got.features == ("steering",)
    assert [(g.options, g.cars, g.word) for g in got.combinations] == [
        (("left",), ("car A", "car B"), ""),
        (("right",), ("car C",), ""),
    ]
    assert got.combinations[0].rows == ("entry 1: P1 name of P1",)


def test_a_car_that_two_offers_mean_is_counted_once():
    got = what_cars_get(position(entry(1, LEFT)), (LINE, LINE), PARTS, ON)
    assert [len(g.cars) for g in got.combinations] == [2, 1]


def test_a_position_that_asks_about_nothing_is_one_line():
    got = what_cars_get(position(entry(1, terms_of([]))), (LINE,), PARTS, ON)
    assert (got.features, len(got.combinations)) == ((), 1)
    assert len(got.combinations[0].cars) == 3


@pytest.mark.parametrize(
    ("rule", "words"),
    [("exactly one", ["overlap", "", "gap"]), ("at most one", ["overlap", "", ""]), ("any", ["", "", ""])],
)
def test_none_or_two_are_named_as_the_rule_has_it(rule, words):
    got = what_cars_get(position(entry(1, LEFT), entry(2, NOT_12V), rule=rule), (LINE,), PARTS, ON)
    assert [g.word for g in got.combinations] == words


def test_alternates_and_entries_out_of_force_fill_nothing():
    spec = position(
        entry(1, LEFT, alternate=True),
        entry(2, LEFT, end=date(2026, 6, 1)),
        entry(3, LEFT, start=date(2026, 6, 1)),
    )
    rows = {
        on: what_cars_get(spec, (LINE,), PARTS, on).combinations[0].rows for on in (ON, date(2026, 5, 31))
    }
    assert rows == {ON: ("entry 3: P3 name of P3",), date(2026, 5, 31): ("entry 2: P2 name of P2",)}


def test_without_cars_there_is_nothing_to_get():
    assert what_cars_get(position(entry(1, LEFT)), (), PARTS, ON).combinations == ()
