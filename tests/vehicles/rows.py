"""The smallest rows a car consists of, and what it means that the database holds a rule."""

from dataclasses import dataclass
from typing import Any

import pytest
from django.core.exceptions import ValidationError
from django.db import IntegrityError, models, transaction

from vehicles.models import Cabin, ModelLine, Powertrain, Variant


@dataclass(frozen=True)
class Held:
    """One rule of the database: what its values may just be, and what just not; each as changes of a good row."""

    rule: str
    inside: tuple[dict[str, Any], ...]
    outside: tuple[dict[str, Any], ...]


def make_line(code: str = "L1", name: str = "Line") -> ModelLine:
    return ModelLine.objects.create(code=code, name=name, maker="Maker")


def make_variant(line: ModelLine, code: str = "V1", **values: Any) -> Variant:
    """A variant; cabin and powertrain of its own unless they are given."""
    if "cabin" not in values:
        values["cabin"] = Cabin.objects.create(line=line, code=f"C-{code}", name="Cabin")
    if "powertrain" not in values:
        values["powertrain"] = Powertrain.objects.create(line=line, code=f"P-{code}", name="Engine")
    return Variant.objects.create(line=line, code=code, **{"name": f"Variant {code}", **values})


def rules_of(*found: type[models.Model]) -> set[str]:
    """The names of all rules that the database holds for these models."""
    return {rule.name for model in found for rule in model._meta.constraints}


def above(rule: str, field: str, *, zero: bool = False) -> Held:
    """A number above zero, or from zero on; nothing is known where it is empty, if it may be."""
    least, below = (0.0, -1e-6) if zero else (1e-6, 0.0)
    return Held(rule, ({field: least},), ({field: below}, {field: -5.0}))


def share(rule: str, field: str) -> Held:
    """A number from 0 to 1."""
    return Held(rule, ({field: 0.0}, {field: 1.0}), ({field: -1e-6}, {field: 1.000001}))


def word(rule: str, field: str, *known: str) -> Held:
    """One of the words, written as they are."""
    return Held(rule, tuple({field: one} for one in known), ({field: "no"}, {field: known[-1].swapcase()}))


def hold(model: type[models.Model], good: dict[str, Any], held: Held) -> None:
    """Every value inside is kept; every value outside is refused by a form's check and by the database itself."""
    for values in held.inside:
        row = model(**good | values)
        row.full_clean()
        with transaction.atomic():
            row.save(force_insert=True)
            transaction.set_rollback(True)
    rule = next(rule for rule in model._meta.constraints if rule.name == held.rule)
    with pytest.raises(ValidationError):
        model(**good | held.outside[0]).full_clean()
    # the database names the rule that it keeps, but of a unique one only the columns
    told = rule.name if isinstance(rule, models.CheckConstraint) else None
    for values in held.outside:
        # a word that is none is told first by its field's choices: the rule has to say so alone
        with pytest.raises(ValidationError):
            rule.validate(model, model(**good | values))
        with pytest.raises(IntegrityError, match=told), transaction.atomic():
            model(**good | values).save(force_insert=True)
