"""Each rule of the models is known before the database is asked, and none twice."""

from typing import Any

from django.db import models

from kits.exchange.bridge import checks_of, rules_of, uniques_of
from kits.exchange.rules import Unique
from kits.exchange.sheets.bridge import SHEETS, model_of
from vehicles.physics.ranges import range_of


def fields_of(node: Any) -> set[str]:
    """The fields that a condition names."""
    if isinstance(node, models.Q):
        return set().union(*(fields_of(child) for child in node.children))
    return {str(node[0]).split("__")[0]}


def test_every_check_of_the_database_is_known_before_it_is_asked():
    """Each CHECK is a rule here, or a choice that the cell is held to."""
    for sheet in SHEETS:
        choices = {column.field for column in sheet.columns if column.choices}
        checks: list[Any] = [
            c for c in model_of(sheet)._meta.constraints if isinstance(c, models.CheckConstraint)
        ]
        of_choices = [c for c in checks if fields_of(c.condition) <= choices]
        assert len(checks_of(sheet.name)) + len(of_choices) == len(checks), sheet.name


def test_a_check_is_left_out_only_where_the_range_of_its_number_says_more():
    for sheet in SHEETS:
        rules = rules_of(sheet.name)
        for check in (one for one in checks_of(sheet.name) if one not in rules):
            (name,) = check.fields
            for value in (-1e9, -1.0, -1e-9, 0.0, 0.5, 1.0, 90.0, 400.0, 1e9):
                row = {name: value}
                if check.broken_by(row):
                    assert any(rule.broken_by(row) for rule in rules), (sheet.name, name, value)


def test_no_range_lets_in_what_the_database_refuses():
    told = []
    for sheet in SHEETS:
        for check in (check for check in checks_of(sheet.name) if len(check.fields) == 1):
            (name,) = check.fields
            span = range_of(model_of(sheet).__name__, name)
            ends = (span.least, span.most) if span else ()
            told += [(sheet.name, check.sentence, end) for end in ends if check.broken_by({name: end})]
    assert told == []


def test_unique_rules_beside_the_key_are_known():
    assert uniques_of("Joints") == (
        Unique(("kit", "position_a", "port_a")),
        Unique(("kit", "position_b", "port_b")),
    )
    assert uniques_of("Supplier parts") == (Unique(("part_number",), ("and", ("preferred", "exact", True))),)
    assert {s.name for s in SHEETS if uniques_of(s.name)} == {"Joints", "Supplier parts"}
