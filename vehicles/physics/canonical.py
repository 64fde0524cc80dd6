"""Canonical text: one text for one value, so that texts, or hashes of them, are compared in the place of values.

A value is a frozen dataclass, and its annotations say what stands in it: dataclasses, tuples, frozensets, mappings by
text, Literal, enumerations, Decimal, date, datetime, bool, int, float, str, each with None where they say so. One of
several kinds stands under its kind's name. Any has no text.

The text is UTF-8 in NFC: JSON without spaces, with sorted keys. Numbers are strings: a typed one is the shortest
decimal that gives it back; one in a class that is marked `calculated`, or in anything that such a class holds, is
rounded to six significant digits. -0 is 0; NaN and infinities are refused. Days are ISO, moments UTC.

Whatever is refused is a Refusal that begins with the path, such as "Case.car.pulleys.2.x_mm". Numpy's scalars are
refused too: they print and compare in their own way.
"""

import json
import math
from collections.abc import Callable, Iterable, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import MISSING, Field, fields, is_dataclass
from datetime import UTC, date, datetime
from decimal import Context, Decimal, InvalidOperation
from enum import Enum
from functools import cache, cached_property
from types import NoneType, UnionType
from typing import Any, Literal, Protocol, TypeVar, Union, cast, get_args, get_origin, get_type_hints
from unicodedata import normalize

from vehicles.physics.arrays import Refusal

Value = TypeVar("Value")
SIGNIFICANT_DIGITS = 6
_CALCULATED = "__is_calculated__"


def calculated(kind: type[Value]) -> type[Value]:
    """Mark a dataclass: the numbers in it, and in all that it holds, are calculated ones."""
    setattr(kind, _CALCULATED, True)
    return kind


def text_of(value: Any) -> str:
    """The canonical text of a dataclass."""
    return text_from(stored_of(value))


def text_from(stored: Any) -> str:
    """The text of what stands in canonical texts: one text, whatever the order in which it was put together."""
    return json.dumps(stored, ensure_ascii=False, sort_keys=True, separators=(",", ":"))


def value_of(kind: type[Value], text: str) -> Value:
    """The value of a canonical text."""
    try:
        stored = json.loads(text, object_pairs_hook=_once)
    except (ValueError, RecursionError) as error:
        raise Refusal(f"{kind.__name__}: this is not JSON that can be read: {error}.") from None
    return value_from(kind, stored)


def stored_of(value: Any) -> dict[str, Any]:
    """What stands in the canonical text, for a column of JSON: dicts, lists, texts, True, False and None."""
    if not is_dataclass(value) or isinstance(value, type):
        raise Refusal(f"{type(value).__name__} is no dataclass: it has no canonical text.")
    with _told_with(type(value).__name__):
        stored: dict[str, Any] = _form(type(value), False).write(value)
        return stored


def value_from(kind: type[Value], stored: Any) -> Value:
    """The value of what stands in a canonical text."""
    with _told_with(kind.__name__):
        value: Value = _form(cast(Any, kind), False).read(stored)
        return value


class _Fault(Exception):
    """What is wrong, and where: the path is put together from within."""

    def __init__(self, what: str) -> None:
        super().__init__(what)
        self.what = what
        self.path: list[str] = []


@contextmanager
def _told_with(name: str) -> Iterator[None]:
    try:
        yield
    except _Fault as fault:
        raise Refusal(f"{'.'.join([name, *reversed(fault.path)])}: {fault.what}") from None
    except RecursionError:
        raise Refusal(f"{name}: it is nested too deeply.") from None


def _once(pairs: Iterable[tuple[str, Any]]) -> dict[str, Any]:
    found: dict[str, Any] = {}
    for name, held in pairs:
        if name in found:
            raise Refusal(f"“{name}” stands twice")
        found[name] = held
    return found


class _Form(Protocol):
    """How values of one annotation are written and read."""

    def write(self, value: Any) -> Any: ...

    def read(self, stored: Any) -> Any: ...


def _within(form: Callable[[Any], Any], value: Any, place: str) -> Any:
    """What stands at a place of something larger, which a fault names."""
    try:
        return form(value)
    except _Fault as fault:
        fault.path.append(place)
        raise


class _Plain:
    """A value without parts: what is read must be written in the same way again, so that each has one text."""

    def __init__(
        self, what: str, kind: type, write: Callable[[Any], Any], read: Callable[[Any], Any]
    ) -> None:
        self.what, self.kind, self.write_it, self.read_it = what, kind, write, read

    def write(self, value: Any) -> Any:
        if type(value) is not self.kind:
            raise _Fault(f"{type(value).__name__} stands in the place of {self.what}.")
        return self.write_it(value)

    def read(self, stored: Any) -> Any:
        try:
            value = self.read_it(stored)
            is_same = self.write(value) == stored and type(stored) in (str, bool)
        except (ValueError, TypeError, InvalidOperation, _Fault):
            is_same = False
        if not is_same:
            raise _Fault(f"{stored!r} is not {self.what} as it is written here.")
        return value


class _Number(_Plain):
    """A float; a whole number may stand in its place."""

    def write(self, value: Any) -> Any:
        if type(value) is int and abs(value) <= 2**53:
            value = float(value)
        return super().write(value)


class _Optional:
    def __init__(self, held: _Form) -> None:
        self.held = held

    def write(self, value: Any) -> Any:
        return None if value is None else self.held.write(value)

    def read(self, stored: Any) -> Any:
        return None if stored is None else self.held.read(stored)


class _List:
    """A tuple: as many of one kind as there are, or one of each kind."""

    def __init__(self, each: _Form | None, kinds: tuple[_Form, ...] = ()) -> None:
        self.each, self.kinds = each, kinds

    def write(self, value: Any) -> Any:
        if type(value) is not tuple:
            raise _Fault(f"{type(value).__name__} stands in the place of a tuple.")
        return [_within(form.write, held, str(i)) for i, (form, held) in enumerate(self._with_forms(value))]

    def read(self, stored: Any) -> Any:
        if type(stored) is not list:
            raise _Fault(f"{stored!r} is no list.")
        return tuple(
            _within(form.read, held, str(i)) for i, (form, held) in enumerate(self._with_forms(stored))
        )

    def _with_forms(self, held: Any) -> Iterator[tuple[_Form, Any]]:
        if self.each is not None:
            return ((self.each, one) for one in held)
        if len(held) != len(self.kinds):
            raise _Fault(f"{len(held)} stand in the place of {len(self.kinds)}.")
        return zip(self.kinds, held, strict=True)


class _Set:
    def __init__(self, each: _Form) -> None:
        self.each = each

    def write(self, value: Any) -> Any:
        if type(value) is not frozenset:
            raise _Fault(f"{type(value).__name__} stands in the place of a frozenset.")
        return sorted(_within(self.each.write, one, str(one)) for one in value)

    def read(self, stored: Any) -> Any:
        if type(stored) is not list:
            raise _Fault(f"{stored!r} is no list.")
        found = frozenset(_within(self.each.read, one, str(i)) for i, one in enumerate(stored))
        if self.write(found) != stored:
            raise _Fault("what stands in a set is sorted, and nothing stands in it twice.")
        return found


class _Mapping:
    def __init__(self, key: _Form, each: _Form) -> None:
        self.key, self.each = key, each

    def write(self, value: Any) -> Any:
        if not isinstance(value, Mapping):
            raise _Fault(f"{type(value).__name__} stands in the place of a mapping.")
        found = {
            _within(self.key.write, name, f"key {name!r}"): _within(self.each.write, held, str(name))
            for name, held in value.items()
        }
        if len(found) < len(value):
            raise _Fault("two of its keys are the same text.")
        return found

    def read(self, stored: Any) -> Any:
        if type(stored) is not dict:
            raise _Fault(f"{stored!r} is no mapping.")
        return {
            _within(self.key.read, name, f"key {name!r}"): _within(self.each.read, held, str(name))
            for name, held in stored.items()
        }


class _Record:
    """A dataclass: its fields by their names. One that is missing has its default, if it has one."""

    def __init__(self, kind: type, is_calculated: bool) -> None:
        self.kind = kind
        self.is_calculated = is_calculated or getattr(kind, _CALCULATED, False)

    @cached_property
    def forms(self) -> dict[str, _Form]:
        """Made when they are first asked for, since a class may hold others of itself."""
        hints = get_type_hints(self.kind)
        return {
            f.name: _within(lambda hint: _form(hint, self.is_calculated), hints[f.name], f.name)
            for f in fields(self.kind)
        }

    @cached_property
    def required(self) -> frozenset[str]:
        """Names of the fields without a default."""
        return frozenset(f.name for f in fields(self.kind) if not _has_default(f))

    def write(self, value: Any) -> Any:
        if type(value) is not self.kind:
            raise _Fault(f"{type(value).__name__} stands in the place of a {self.kind.__name__}.")
        return {name: _within(form.write, getattr(value, name), name) for name, form in self.forms.items()}

    def read(self, stored: Any) -> Any:
        if type(stored) is not dict:
            raise _Fault(f"{stored!r} is no {self.kind.__name__}.")
        for name in sorted(stored.keys() - self.forms.keys()):
            raise _Fault(f"a {self.kind.__name__} has no “{name}”.")
        for name in sorted(self.required - stored.keys()):
            raise _Fault(f"“{name}” is missing.")
        found = {name: _within(self.forms[name].read, held, name) for name, held in stored.items()}
        try:
            return self.kind(**found)
        except ValueError as error:
            # a class may refuse what its annotations allow
            raise _Fault(str(error)) from None


def _has_default(one: "Field[Any]") -> bool:
    return one.default is not MISSING or one.default_factory is not MISSING


class _OneOf:
    """One of several kinds, under its kind's name."""

    def __init__(self, forms: Mapping[str, _Form]) -> None:
        self.forms = forms

    def write(self, value: Any) -> Any:
        name = type(value).__name__
        if name not in self.forms:
            raise _Fault(f"{name} stands in the place of a {' or '.join(self.forms)}.")
        return {name: self.forms[name].write(value)}

    def read(self, stored: Any) -> Any:
        if type(stored) is not dict or len(stored) != 1 or not stored.keys() <= self.forms.keys():
            raise _Fault(f"a {' or '.join(self.forms)} stands under its name.")
        ((name, held),) = stored.items()
        return _within(self.forms[name].read, held, name)


def _float(value: float) -> str:
    if not math.isfinite(value):
        raise _Fault(f"{value} is no number that can be kept.")
    # repr is the shortest decimal that gives the number back; adding 0.0 makes 0 of -0
    return repr(value + 0.0).removesuffix(".0")


def _float_rounded(value: float) -> str:
    if not math.isfinite(value):
        raise _Fault(f"{value} is no number that can be kept.")
    return _float(float(f"{value:.{SIGNIFICANT_DIGITS}g}"))


def _decimal(value: Decimal) -> str:
    if not value.is_finite():
        raise _Fault(f"{value} is no number that can be kept.")
    text = f"{value:f}"
    text = text.rstrip("0").rstrip(".") if "." in text else text
    return "0" if text in ("-0", "") else text


def _decimal_rounded(value: Decimal) -> str:
    return _decimal(Context(prec=SIGNIFICANT_DIGITS).plus(value))


def _text(value: str) -> str:
    try:
        value.encode()
    except UnicodeEncodeError:
        raise _Fault(f"{value!r} has half a character in it.") from None
    return normalize("NFC", value)


def _day(value: date) -> str:
    return value.isoformat()


def _moment(value: datetime) -> str:
    if value.tzinfo is None:
        raise _Fault(f"{value.isoformat()} does not say in which time zone.")
    return value.astimezone(UTC).isoformat().removesuffix("+00:00") + "Z"


_PLAIN: dict[Any, _Form] = {
    bool: _Plain("yes or no", bool, lambda value: value, lambda stored: stored),
    int: _Plain("a whole number", int, str, int),
    str: _Plain("a text", str, _text, lambda stored: stored),
    date: _Plain("a day", date, _day, date.fromisoformat),
    datetime: _Plain("a moment in UTC", datetime, _moment, datetime.fromisoformat),
    float: _Number("a number", float, _float, float),
    Decimal: _Plain("a decimal", Decimal, _decimal, Decimal),
}
_ROUNDED: dict[Any, _Form] = {
    float: _Number("a number of six digits", float, _float_rounded, float),
    Decimal: _Plain("a decimal of six digits", Decimal, _decimal_rounded, Decimal),
}


def _one_of_texts(texts: tuple[Any, ...]) -> _Form:
    def known(value: str) -> str:
        if value not in texts:
            raise _Fault(f"“{value}” is none of: {', '.join(texts)}.")
        return _text(value)

    return _Plain(f"one of: {', '.join(texts)},", str, known, lambda stored: stored)


@cache
def _form(hint: Any, is_calculated: bool) -> _Form:
    """How values of an annotation are written and read."""
    plain = (is_calculated and _ROUNDED.get(hint)) or _PLAIN.get(hint)
    if plain:
        return plain
    if isinstance(hint, type) and is_dataclass(hint):
        return _Record(hint, is_calculated)
    if isinstance(hint, type) and issubclass(hint, Enum) and all(type(one.value) is str for one in hint):
        return _Plain(f"a {hint.__name__}", hint, lambda value: _text(value.value), hint)
    origin, kinds = get_origin(hint), get_args(hint)
    if origin is Literal and all(type(one) is str for one in kinds):
        return _one_of_texts(kinds)
    if origin in (Union, UnionType):
        return _union(hint, kinds, is_calculated)
    if origin is tuple and kinds[1:] == (...,):
        return _List(_form(kinds[0], is_calculated))
    if origin is tuple:
        return _List(None, tuple(_form(kind, is_calculated) for kind in kinds))
    if origin is frozenset:
        return _Set(_form(kinds[0], is_calculated))
    if origin in (Mapping, dict) and isinstance(key := _form(kinds[0], False), _Plain):
        return _Mapping(key, _form(kinds[1], is_calculated))
    raise _Fault(f"what is annotated {hint} has no canonical text.")


def _union(hint: Any, kinds: tuple[Any, ...], is_calculated: bool) -> _Form:
    some = [kind for kind in kinds if kind is not NoneType]
    if len(some) < len(kinds):
        held = _form(some[0], is_calculated) if len(some) == 1 else _union(hint, tuple(some), is_calculated)
        return _Optional(held)
    if all(isinstance(kind, type) for kind in some):
        return _OneOf({kind.__name__: _form(kind, is_calculated) for kind in some})
    raise _Fault(f"what is annotated {hint} has no canonical text.")
