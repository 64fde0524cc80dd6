"""What the pages of a survey fetch: all that is known of one car, and the places of one section to measure."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from hashlib import blake2s
from typing import Any, Generic, TypeVar

from django.db.models import Prefetch

from kits.bom.models import HoseRun, Kit, Route
from kits.exchange.bridge import load_state
from kits.exchange.columns import Sheet
from kits.exchange.sheets.bridge import BY_NAME
from kits.exchange.values import Row, fold
from kits.fitment.models import Fitment, RouteLength
from kits.survey.curve import Curve, curve_of
from kits.survey.entry import Place
from kits.survey.parts import progress_of
from kits.survey.progress import Progress
from kits.survey.sections import BY_SLUG, CABIN, KIT, POWERTRAIN, Section
from vehicles.cabin.bridge import cabin_data
from vehicles.cabin.models import BOUNDARIES, Cabin, Surface
from vehicles.catalogue.models import Variant
from vehicles.catalogue.queries import variant_page
from vehicles.physics.quantities import format_value
from vehicles.powertrain.models import STATES, EngineTemperature, Powertrain
from vehicles.records.bridge import winning
from vehicles.records.models import WithOrigin
from vehicles.records.terms import terms_of

Held = TypeVar("Held", bound=WithOrigin)
NO_ENGINE_SIDE = ("outside", "none")


@dataclass(frozen=True)
class Recorded(Generic[Held]):
    """All values recorded for one place, the newest first, and the one that counts."""

    key: tuple[str, ...]
    label: str
    rows: Sequence[Held]

    @property
    def winner(self) -> Held | None:
        """The row that counts, or None."""
        return winning(self.rows) if self.rows else None

    @property
    def why(self) -> str:
        """Why that row counts, in a sentence; nothing when there is no choice."""
        if self.winner is None or len(self.rows) < 2:
            return ""
        kind, on = self.winner.origin_kind, self.winner.origin_on
        others = [row for row in self.rows if row.pk != self.winner.pk]
        if any(row.origin_kind == kind for row in others):
            if on and all(
                row.origin_on is None or row.origin_on < on for row in others if row.origin_kind == kind
            ):
                return f"It counts as the latest {kind} one, of {on:%Y-%m-%d}."
            return f"It counts as the {kind} one recorded last."
        weaker = ", ".join(dict.fromkeys(row.origin_kind for row in others))
        return f"It counts because {kind} outranks {weaker}."


@dataclass(frozen=True)
class KitRoutes:
    """The routes one kit uses in the car, with the lengths recorded for this fitment."""

    kit: Kit
    fitment: Fitment
    routes: Sequence[Recorded[RouteLength]]


@dataclass(frozen=True, kw_only=True)
class CarPage:
    """All that is known of one car."""

    variant: Variant
    cabin: Cabin
    engine: Powertrain
    here: Sequence[Surface]
    elsewhere: Sequence[Surface]
    """surfaces that only other cars with this cabin have"""
    temperatures: Sequence[Recorded[EngineTemperature]]
    kits: Sequence[KitRoutes]
    progress: Progress
    curve: Curve | None

    @property
    def shares_cabin(self) -> list[str]:
        """Codes of the other cars with this cabin."""
        return [v.code for v in self.cabin.variants.all() if v.pk != self.variant.pk]

    @property
    def shares_engine(self) -> list[str]:
        """Codes of the other cars with this powertrain."""
        return [v.code for v in self.engine.variants.all() if v.pk != self.variant.pk]

    @property
    def options(self) -> dict[str, str]:
        """The car's option of each feature, by code."""
        return options_of(self.variant)


def options_of(variant: Variant) -> dict[str, str]:
    """The car's option of each feature, by code."""
    return {held.feature.code: held.option.code for held in variant.variant_options.all()}


def car_page(line: str, code: str) -> CarPage | None:
    """The car in a fixed number of queries, or None when there is no such car."""
    variant = variant_page(line, code)
    if variant is None:
        return None
    cabin, engine, options = variant.cabin, variant.powertrain, options_of(variant)
    surfaces = list(cabin.surfaces.all())
    here = [surface for surface in surfaces if _applies(surface.terms.all(), options)]
    temperatures = temperatures_of(engine, here)
    kits = kit_routes(variant, options)
    idle = engine.hot_idle_rpm
    loads = [load.current_a for load in engine.electrical_loads.all() if load.by_day]
    points = [(point.engine_rpm, point.current_a) for point in engine.charging_curve.all()]
    return CarPage(
        variant=variant,
        cabin=cabin,
        engine=engine,
        here=here,
        elsewhere=[surface for surface in surfaces if surface not in here],
        temperatures=temperatures,
        kits=kits,
        progress=progress_of(variant, cabin_data(cabin, options), here, temperatures, kits),
        curve=curve_of(points, idle, sum(loads) if loads else None),
    )


def _applies(terms: Iterable[Any], options: Mapping[str, str]) -> bool:
    return terms_of((t.option.feature.code, t.option.code, t.excluded) for t in terms).applies(options)


def temperatures_of(engine: Powertrain, surfaces: Iterable[Surface]) -> list[Recorded[EngineTemperature]]:
    """The temperatures beside the car's surfaces in each state; places nobody recorded are there too."""
    found: dict[tuple[str, str], list[EngineTemperature]] = {}
    asked = {surface.boundary for surface in surfaces} - set(NO_ENGINE_SIDE)
    for state, _ in STATES:
        found.update({(state, name): [] for name, _ in BOUNDARIES if name in asked})
    for row in engine.engine_temperatures.all():
        found.setdefault((row.engine_state, row.boundary), []).append(row)
    states, names = dict(STATES), dict(BOUNDARIES)
    return [
        Recorded((state, name), f"{names[name]}, {states[state]}", sorted(rows, key=lambda row: -row.pk))
        for (state, name), rows in found.items()
    ]


def kit_routes(variant: Variant, options: Mapping[str, str]) -> list[KitRoutes]:
    """The routes of the hoses of each kit that is offered for the car, with the lengths recorded."""
    lengths = Prefetch("route_lengths", RouteLength.objects.select_related("route"))
    fitments = Fitment.objects.filter(variant=variant).select_related("kit").prefetch_related(lengths)
    hoses = (
        HoseRun.objects.filter(position__kit__fitments__variant=variant, route__line=variant.line_id)
        .select_related("route", "position")
        .prefetch_related("terms__option__feature")
        .order_by("position__number", "number")
    )
    used: dict[int, dict[str, Route]] = {}
    for hose in hoses:
        if _applies(hose.terms.all(), options):
            used.setdefault(hose.position.kit_id, {})[hose.route.code] = hose.route
    return [
        KitRoutes(f.kit, f, [_lengths_of(f, route) for route in used.get(f.kit_id, {}).values()])
        for f in fitments.order_by("kit__code")
    ]


def _lengths_of(fitment: Fitment, route: Route) -> Recorded[RouteLength]:
    rows = [row for row in fitment.route_lengths.all() if row.route_id == route.pk]
    return Recorded((route.code,), route.name, sorted(rows, key=lambda row: -row.pk))


@dataclass(frozen=True)
class EntryPage:
    """One section of a car as the form of many values shows it."""

    car: CarPage
    section: Section
    sheet: Sheet
    kit: str
    places: Sequence[Place]

    @property
    def shared_with(self) -> list[str]:
        """Codes of the other cars that the values are of, too."""
        return {CABIN: self.car.shares_cabin, POWERTRAIN: self.car.shares_engine}.get(self.section.owner, [])

    @property
    def heads(self) -> list[tuple[str, str]]:
        """Words and unit of each value's column."""
        return [self._head(name) for name in self.section.values]

    @property
    def place_head(self) -> tuple[str, str]:
        """Words and unit of the column in which a person names a place."""
        return self._head(self.section.place[0])

    def _head(self, name: str) -> tuple[str, str]:
        words, _, unit = self.sheet.by_field[name].head.partition(" [")
        return words[:1].upper() + words[1:], unit.rstrip("]")


def entry_page(line: str, variant: str, slug: str, kit: str = "") -> EntryPage | None:
    """The places of a section to measure on a car; None when there is no such car, section or kit."""
    section, car = BY_SLUG.get(slug), car_page(line, variant)
    if section is None or car is None or (section.owner == KIT) is not bool(kit):
        return None
    sheet = BY_NAME[section.sheet]
    if section.owner == KIT:
        own = next((found for found in car.kits if found.kit.code.casefold() == kit.casefold()), None)
        if own is None:
            return None
        fixed: Row = {"kit": own.kit.code, "variant": car.variant.code}
        return EntryPage(car, section, sheet, own.kit.code, _recorded_places(section, own.routes, fixed))
    if sheet.append_only:
        fixed = {section.owner: car.engine.code}
        places = _recorded_places(section, car.temperatures, fixed)
    else:
        places = _stored_places(section, sheet, car)
    return EntryPage(car, section, sheet, "", places)


def _recorded_places(section: Section, recorded: Iterable[Recorded[Any]], fixed: Row) -> list[Place]:
    places = []
    for found in recorded:
        held = found.winner
        label = f"{found.label} ({found.key[0]})" if section.owner == KIT else found.label
        now = {name: getattr(held, name) for name in section.values} if held else {}
        own = dict(zip(section.place, found.key, strict=True))
        places.append(
            Place(token=_token(found.key), label=label, fixed={**fixed, **own}, now=now, origin=_origin(held))
        )
    return places


def _stored_places(section: Section, sheet: Sheet, car: CarPage) -> list[Place]:
    owner = car.cabin.code if section.owner == CABIN else car.engine.code
    state = load_state(car.variant.line.code, {sheet.name})
    here = {surface.code.casefold() for surface in car.here}
    places = []
    for key, row in state.rows[sheet.name].items():
        if fold(row[section.owner]) != fold(owner) or (section.slug == "surfaces" and key[-1] not in here):
            continue
        now = {name: row[name] for name in section.values}
        label = _label(section, row)
        places.append(Place(token=_token(key), label=label, fixed={}, key=key, row=row, now=now, origin=row))
    fixed: Row = {section.owner: owner}
    if section.slug == "coolant":
        held = {place.row["engine_state"] for place in places}
        places += [
            Place(token=_token((code,)), label=words, fixed={**fixed, "engine_state": code})
            for code, words in STATES
            if code not in held
        ]
    places += [
        Place(token=f"free{n}", label=f"further {n}", fixed=fixed, is_free=True)
        for n in range(1, section.free_rows + 1)
    ]
    return places


def _label(section: Section, row: Mapping[str, Any]) -> str:
    if section.slug == "coolant":
        return dict(STATES)[row["engine_state"]]
    if section.free_rows:
        return format_value(section.place[0], row[section.place[0]])
    return f"{row['name']} ({row['code']})" if "name" in row else f"{row['code']}"


def _origin(row: WithOrigin | None) -> dict[str, Any]:
    return {f.name: getattr(row, f.name) for f in WithOrigin._meta.fields} if row else {}


def _token(key: Sequence[Any]) -> str:
    """A short name of a place that stays the same, for the names of its inputs."""
    return blake2s(repr(tuple(key)).encode(), digest_size=6).hexdigest()
