"""The expansion valve of a fitment: how much of it is used at each duty point, and its pressure limit."""

from collections.abc import Iterator

from kits.bom.resolved import Finding
from kits.sizing.gas.pressure_chain import at_rest_bar_g
from kits.sizing.gas.refrigerant import Refrigerant, refrigerant
from kits.sizing.gas.valve import (
    HUNTING,
    STARVING,
    ValveState,
    highest_evaporating_c,
    operating_state,
    rating_state,
    used_share,
    valve_capacity_w,
    valve_word,
)
from kits.sizing.verdict.mends import MISSING_PART, of_part
from kits.sizing.verdict.record import DutyAnswer
from kits.sizing.words.defaults import default_value
from kits.topics.context import Context
from kits.topics.figure import Figure, Input, Table, figure, given
from kits.topics.pieces import Piece, assumed, in_tables, origin_of, percent, solved, told
from vehicles.physics.quantities import celsius, unit_key

KIND = "expansion valve"
HEADS = ("duty point", "drop across, bar", "passes, W", "used", "state", "evaporating, bar g")
RATING = ("valve_rating_evaporating_c", "valve_rating_liquid_c", "valve_rating_drop_bar")


def valve_piece(context: Context, main: DutyAnswer) -> Piece:
    """The valve's part of the topic; nothing where the kit has none, or no capacity of it."""
    held = _stated(context)
    if held is None:
        return Piece()
    number, nominal, limit = held
    gas = refrigerant(context.case.plant.refrigerant)
    uses = _uses(context, gas, nominal)
    tables = (Table("Expansion valve", HEADS, tuple(_row(gas, *use) for use in uses)),)
    share = next(share for a, _, _, share in uses if a is main)
    sentence = f"The expansion valve is used to {percent(share)}: {_words(share)}."
    figures = _figures(context, gas, next(use for use in uses if use[0] is main), nominal, number)
    most_c = None if limit is None else in_tables(highest_evaporating_c, gas, limit)
    if limit is not None and most_c is not None:
        figures += _limit_figures(context, most_c, limit, number)
        most = celsius(most_c)
        sentence += f" At the start of a pull-down it throttles until the coil evaporates below {most}."
    return Piece(sentence, tuple(figures), tables)


def valve_remarks(context: Context) -> Iterator[Finding]:
    """A valve that is missing, lacks its data, hunts, starves or throttles."""
    if KIND not in context.kit.plant:
        text = "The kit has no expansion valve with technical data: how much of it is used isn't known."
        yield Finding("valve-missing", "notes", "kit", text, MISSING_PART)
        return
    held = _stated(context)
    if held is None:
        number = context.kit.plant[KIND].part
        text = f"Expansion valve {number} has no nominal capacity: how much of it is used isn't known."
        mend = of_part(context.kit, "Valves", "nominal_capacity_w", number)
        yield Finding("valve-capacity", "warns", f"part:{number}", text, mend)
        return
    number, nominal, limit = held
    gas = refrigerant(context.case.plant.refrigerant)
    uses = _uses(context, gas, nominal)
    yield from _use_remarks(uses, number)
    if limit is not None:
        most_c = in_tables(highest_evaporating_c, gas, limit)
        if most_c is None:
            yield _no_limit(gas, limit, number)
        else:
            yield from _limit_remarks(most_c, uses, limit, number)


def _stated(context: Context) -> tuple[str, float, float | None] | None:
    """The valve's number, its nominal capacity, W, and its pressure limit, bar g; None without a capacity."""
    held = context.kit.plant.get(KIND)
    if held is None or held.data.get("nominal_capacity_w") is None:
        return None
    limit = held.data.get("max_operating_pressure_bar_g")
    return held.part, float(held.data["nominal_capacity_w"]), None if limit is None else float(limit)


def _uses(context: Context, gas: Refrigerant, nominal_w: float) -> list["Use"]:
    return [(a, *_use(context, gas, a, nominal_w)) for a in solved(context.record)]


Use = tuple[DutyAnswer, ValveState, float, float]
"""duty point, what the valve works between, what it passes there, share used"""


def _use(
    context: Context, gas: Refrigerant, a: DutyAnswer, nominal_w: float
) -> tuple[ValveState, float, float]:
    plant = context.case.plant
    state = operating_state(
        gas, a.evaporating_c or 0.0, a.condensing_c or 0.0, plant.superheat_k, plant.subcooling_k
    )
    passes = float(valve_capacity_w(nominal_w, rating_state(gas), state))
    return state, passes, float(used_share(a.capacity_w or 0.0, passes))


def _words(share: float) -> str:
    low, high = (percent(default_value(f"valve_{end}_share")) for end in ("least", "most"))
    word = valve_word(share)
    if word == HUNTING:
        return f"it hunts below {low}"
    return f"it starves the coil above {high}" if word == STARVING else f"healthy ({low} to {high})"


def _row(gas: Refrigerant, a: DutyAnswer, state: ValveState, passes: float, share: float) -> tuple[str, ...]:
    return (
        a.name,
        f"{float(state.drop_pa) / 1e5:.1f}",
        f"{passes:,.0f}",
        percent(share),
        valve_word(share),
        f"{float(at_rest_bar_g(gas, a.evaporating_c or 0.0)):.1f}",
    )


def _figures(context: Context, gas: Refrigerant, use: Use, nominal_w: float, number: str) -> list[Figure]:
    a, state, passes, share = use
    plant = context.case.plant
    rated_kj_kg, working_kj_kg = (float(s.cooling_j_kg) / 1e3 for s in (rating_state(gas), state))
    rating = tuple(assumed(key, unit_key(key)) for key in RATING)
    nominal = given("nominal capacity", "w", nominal_w, origin_of(context, number), f"part:{number}")
    between: tuple[Input, ...] = (
        given("evaporating", "c", a.evaporating_c, "sized"),
        given("condensing", "c", a.condensing_c, "sized"),
        given("superheat", "k", plant.superheat_k, "as the kit states", "kit"),
        given("subcooling", "k", plant.subcooling_k, "as the kit states", "kit"),
    )
    return [
        figure("Cooling per mass at the valve's rating", "kj_kg", rated_kj_kg, rating_state, *rating),
        figure(f"Cooling per mass, {a.name}", "kj_kg", working_kj_kg, operating_state, *between),
        figure(f"What the open valve passes, {a.name}", "w", passes, valve_capacity_w, nominal, *between, *rating),
        told(
            f"Share of the valve used, {a.name}", percent(share), used_share,
            given("capacity", "w", a.capacity_w, "sized"),
            given("what the open valve passes", "w", passes, "calculated"),
        ),
        told(
            f"State of the valve, {a.name}", valve_word(share), valve_word,
            assumed("valve_least_share", ""), assumed("valve_most_share", ""),
        ),
    ]  # fmt: skip


def _use_remarks(uses: list[Use], number: str) -> list[Finding]:
    found = []
    hunting = [(share, a.name) for a, _, _, share in uses if valve_word(share) == HUNTING]
    starving = [(share, a.name) for a, _, _, share in uses if valve_word(share) == STARVING]
    where = f"part:{number}"
    if hunting:
        share, name = min(hunting)
        text = (
            f"Expansion valve {number} is used to {100 * share:.1f} % only at “{name}”: below "
            f"{percent(default_value('valve_least_share'))} it hunts. A smaller valve holds the superheat steadier."
        )
        found.append(Finding("valve-hunting", "warns", where, text))
    if starving:
        share, name = max(starving)
        text = (
            f"Expansion valve {number} would have to pass {percent(share)} of what it can at “{name}”: the coil "
            "starves and the capacity told is not reached. Take a bigger valve."
        )
        found.append(Finding("valve-starving", "warns", where, text))
    return found


def _no_limit(gas: Refrigerant, limit: float, number: str) -> Finding:
    text = (
        f"Expansion valve {number} states {limit:g} bar g as its largest operating pressure; {gas.name} evaporates at "
        "no such pressure. Look at the valve's data again."
    )
    return Finding("valve-mop-beyond", "warns", f"part:{number}", text)


def _limit_figures(context: Context, most_c: float, limit: float, number: str) -> list[Figure]:
    stated = given("largest operating pressure", "bar_g", limit, origin_of(context, number), f"part:{number}")
    return [
        figure(
            "Evaporating, above which the valve's limit throttles",
            "c",
            most_c,
            highest_evaporating_c,
            stated,
        )
    ]


def _limit_remarks(most_c: float, uses: list[Use], limit: float, number: str) -> list[Finding]:
    above = [
        (a.evaporating_c, a.name)
        for a, *_ in uses
        if a.evaporating_c is not None and a.evaporating_c > most_c
    ]
    if not above:
        return []
    evaporating_c, name = max(above)
    text = (
        f"At “{name}” the coil would evaporate at {evaporating_c:.0f} °C, above the {most_c:.0f} °C that expansion "
        f"valve {number} allows ({limit:g} bar g): it throttles, and the capacity told is not reached."
    )
    return [Finding("valve-mop", "warns", f"part:{number}", text)]
