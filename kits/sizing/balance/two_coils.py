"""Two coils in parallel on one circuit: front and rear, each with its own valve, fan and air.

The vapour of both meets at a junction and goes on through one suction line to one compressor. Each coil
finds the fin temperature at which its own line ends at the junction's pressure; the junction's saturation
temperature takes the place of the fin temperature in the balance of one coil.

Freeze control: the colder fins govern. At the freeze limit the junction is at the pressure at which the first
of the two coils stands at the limit; the other is warmer.

Left out: valves that throttle the suction and compressors that change their speed (only cycling is solved);
a coil whose valve is shut or whose fan stands still; a superheat that the valve cannot hold; the split of
the liquid line.
"""

from dataclasses import dataclass, fields, replace
from typing import Any

import numpy as np

from kits.sizing.balance.balance_input import BalanceInput, Marks, Status, mark_inputs
from kits.sizing.balance.balance_ranges import Found, mark_results
from kits.sizing.balance.balance_search import Search
from kits.sizing.balance.condensing_search import TIGHT
from kits.sizing.balance.cycle import CoilSide, Cycle, PlantRows, coil_side, cycle, plant_rows
from kits.sizing.gas.lines import line_loss_pa
from kits.sizing.gas.refrigerant import Refrigerant, refrigerant
from kits.sizing.machine.evaporator import bypass_factor, coil
from vehicles.physics.arrays import FloatArray, IntArray
from vehicles.physics.newton import bracket_batch, climb_batch

APART_K = 1e-2
"""The junction is looked for up to this far below the colder of the two airs."""
COLDER_K = 5.0
"""How far below the freeze guard's junction the search may go; a solution lies above it."""
SURFACE_K = 1e-10
"""Error of a junction's saturation temperature up to which a fin temperature counts as found."""

START = 0.25
"""Where between junction and air the fins are looked for first."""


@dataclass(frozen=True, kw_only=True)
class SecondCoil:
    """The second coil, and the lines from each coil to the junction; every field a scalar or an array.

    The coil's fields are those of `BalanceInput`. A line without length and loss leaves nothing to lose.
    """

    evap_ua_air_w_k: Any
    evap_ref_air_kg_s: Any
    evap_ua_ref_w_k: Any
    superheat_k: Any
    air_kg_s: Any
    air_in_c: Any
    air_in_w: Any
    first_length_m: Any = 0.0
    first_bore_m: Any = 0.0127
    first_k: Any = 0.0
    second_length_m: Any = 0.0
    second_bore_m: Any = 0.0127
    second_k: Any = 0.0


@dataclass(frozen=True, kw_only=True)
class TwoCoilsResult:
    """One row per point; of what each coil has, the first dimension is the coil. NaN without an answer.

    status, reason  as in BalanceResult
    governing       0 or 1: the coil with the colder fins; -1 without an answer
    junction_c      saturation temperature where both meet
    power_w         mean over the cycle, duty the share of time that the compressor pumps
    suction_loss_k  pressure lost from the colder coil to the compressor, as saturation temperature
    suction_gain_w  heat taken up by the line from the junction on
    """

    status: Any
    reason: Any
    governing: IntArray
    surface_c: FloatArray
    evaporating_c: FloatArray
    evaporating_pa: FloatArray
    capacity_w: FloatArray
    sensible_w: FloatArray
    air_off_c: FloatArray
    air_off_w: FloatArray
    flow_kg_s: FloatArray
    bypass_factor: FloatArray
    junction_c: FloatArray
    condensing_c: FloatArray
    condensing_pa: FloatArray
    suction_pa: FloatArray
    discharge_pa: FloatArray
    discharge_c: FloatArray
    power_w: FloatArray
    suction_loss_k: FloatArray
    suction_gain_w: FloatArray
    heat_rejected_w: FloatArray
    duty: FloatArray


OF_EACH_COIL = (
    "surface_c",
    "evaporating_c",
    "evaporating_pa",
    "capacity_w",
    "sensible_w",
    "air_off_c",
    "air_off_w",
    "flow_kg_s",
    "bypass_factor",
)


def solve_two_coils(refrigerant_name: str, plant: BalanceInput, second: SecondCoil) -> TwoCoilsResult:
    """The balance of a plant with a second coil; bad rows are marked, the others are solved.

    Formula: p(coil) − Δp(its own line) is the same for both; the pump moves the flows of both; the condenser
        rejects the heats of both, the line's gain and the work.
    Parameters: plant, compressor, condenser, the lines from the junction on and the first coil; second, the
        other coil and the lines from each coil to the junction.
    Returns: what each coil does and what the circuit does, see TwoCoilsResult.
    Validity: as `solve_balance`; freeze control by cycling, the colder fins govern; see the module for what is
        left out.
    Source: balances of mass and energy, vapours mixed at the same pressure.
    Check: two halves are one whole; a second coil with hardly any air is one coil; 32 plants and two gases within
        0.1 % and 0.05 K of a solution with CoolProp and scipy.
    """
    gas = refrigerant(refrigerant_name)
    if gas.only_saturation:
        raise ValueError(f"{refrigerant_name} is only recognised and recovered, no kit runs on it.")
    whole, others, shape = _flat(plant, second)
    marks = Marks(whole.air_in_c.size)
    for x in (whole, *others):
        mark_inputs(x, gas, marks)
    marks.mark(
        whole.freeze_mode != "cycling",
        Status.INVALID,
        "With two coils only a freeze control that cycles is solved.",
    )
    rows = np.flatnonzero(marks.is_open)
    names = [f.name for f in fields(TwoCoilsResult) if f.name not in ("status", "reason")]
    count = whole.air_in_c.size
    spread = {n: np.full((2, count) if n in OF_EACH_COIL else count, np.nan) for n in names}
    if rows.size:
        some_marks = Marks(rows.size)
        some = tuple(x.take(rows) for x in others)
        for name, values in _solve(gas, whole.take(rows), (some[0], some[1]), some_marks).items():
            spread[name][..., rows] = values
        marks.put(rows, some_marks)
    without = marks.is_unsolved
    for values in spread.values():
        values[..., without] = np.nan
    shaped = {name: values.reshape((*values.shape[:-1], *shape)) for name, values in spread.items()}
    governing = np.nan_to_num(shaped.pop("governing"), nan=-1).astype(np.intp)
    status, reason = marks.status.reshape(shape), marks.reason.reshape(shape)
    return TwoCoilsResult(status=status, reason=reason, governing=governing, **shaped)


def _flat(
    plant: BalanceInput, second: SecondCoil
) -> tuple[BalanceInput, tuple[BalanceInput, BalanceInput], tuple[int, ...]]:
    """The plant, and each coil as a plant whose suction line is the one to the junction; flat."""
    first_line, second_line = (
        {f"suction_{part}": getattr(second, f"{name}_{part}") for part in ("length_m", "bore_m", "k")}
        for name in ("first", "second")
    )
    coil_fields = [f.name for f in fields(SecondCoil)][:7]
    given = {name: getattr(second, name) for name in coil_fields}
    sizes = np.broadcast_shapes(*(np.shape(getattr(x, f.name)) for x in (plant, second) for f in fields(x)))
    nothing = np.zeros(sizes)
    whole = replace(plant, displacement_m3=nothing + plant.displacement_m3)
    flat, shape = whole.flat()
    coils = (replace(whole, **first_line), replace(whole, **given, **second_line))
    return flat, (coils[0].flat()[0], coils[1].flat()[0]), shape


def _solve(
    gas: Refrigerant, x: BalanceInput, coils: tuple[BalanceInput, BalanceInput], marks: Marks
) -> dict[str, Any]:
    search = _TwoCoilSearch(gas, x, coils)
    every = np.arange(search.count)
    guard = search.condensing(search.guarded, x.speed_rpm, every, TIGHT)
    frozen = ~guard.too_hot & (guard.pumped >= 1)
    junction_c = search.guard_junction_c(guard.condensing_c, every)
    condensing_c, too_hot = guard.condensing_c.copy(), guard.too_hot.copy()
    full = np.flatnonzero(~frozen)
    if full.size:
        warmest = np.minimum(coils[0].air_in_c, coils[1].air_in_c)[full] - APART_K
        lower = np.minimum(junction_c[full], warmest) - COLDER_K
        start = lower + COLDER_K + (warmest - lower - COLDER_K) * np.clip(1 - guard.pumped[full], 0, 1) / 2
        found = search.pair(search.full_flow, lower, warmest, start, condensing_c[full], full)
        junction_c[full], condensing_c[full], too_hot[full] = found
    duty = 1 / np.where(frozen, guard.pumped, 1.0)
    state = search.full_flow(junction_c, condensing_c, every)
    sides, flows, surfaces = search.coils_at(junction_c, condensing_c, every)
    numbers = _numbers(gas, coils, surfaces, sides, flows, state)
    numbers |= {"junction_c": junction_c, "condensing_c": condensing_c, "duty": duty}
    colder = np.minimum(sides[0].evaporating_c, sides[1].evaporating_c)
    ranges = Found(colder, condensing_c, numbers["discharge_c"], duty, frozen, too_hot)
    mark_results(gas, x, ranges, state, marks)
    return numbers


def _numbers(
    gas: Refrigerant,
    coils: tuple[BalanceInput, BalanceInput],
    surfaces: list[FloatArray],
    sides: list[CoilSide],
    flows: list[FloatArray],
    state: Cycle,
) -> dict[str, Any]:
    """What is reported of each coil and of the circuit."""
    airs = []
    for x, surface_c in zip(coils, surfaces, strict=True):
        bypass = bypass_factor(x.evap_ua_air_w_k, x.evap_ref_air_kg_s, x.air_kg_s, x.air_in_w)
        airs.append(coil(surface_c, x.air_kg_s, x.air_in_c, x.air_in_w, x.pressure_pa, bypass))
    t_sat = gas.t_sat_c(state.discharge_pa)
    colder = np.minimum(sides[0].evaporating_c, sides[1].evaporating_c)
    return {
        "governing": np.where(surfaces[0] <= surfaces[1], 0.0, 1.0),
        "surface_c": np.stack(surfaces),
        "evaporating_c": np.stack([side.evaporating_c for side in sides]),
        "evaporating_pa": np.stack([side.evaporating_pa for side in sides]),
        "capacity_w": np.stack([air.total_w for air in airs]),
        "sensible_w": np.stack([air.sensible_w for air in airs]),
        "air_off_c": np.stack([air.air_off_c for air in airs]),
        "air_off_w": np.stack([air.air_off_w for air in airs]),
        "flow_kg_s": np.stack(flows),
        "bypass_factor": np.stack([air.bypass_factor for air in airs]),
        "condensing_pa": state.condensing_pa,
        "suction_pa": state.suction_pa,
        "discharge_pa": state.discharge_pa,
        "discharge_c": t_sat + gas.superheat_from_enthalpy(t_sat, state.h_2),
        "power_w": state.flow_kg_s * (state.h_2 - state.h_1),
        "suction_loss_k": colder - gas.t_sat_c(state.suction_line_pa),
        "suction_gain_w": sum(f * (state.h_1 - side.h) for f, side in zip(flows, sides, strict=True)),
        "heat_rejected_w": state.rejected_w,
    }


class _TwoCoilSearch(Search):
    """The balance with the junction's saturation temperature as the unknown."""

    def __init__(self, gas: Refrigerant, x: BalanceInput, coils: tuple[BalanceInput, BalanceInput]) -> None:
        super().__init__(gas, x)
        self.coils = [plant_rows(gas, c) for c in coils]
        self.air_in_c = [c.air_in_c for c in coils]
        self.freeze_sides = [coil_side(gas, k, x.freeze_surface_c) for k in self.coils]
        # what the search scales and begins with: both coils at the coldest the condenser can be
        every = np.arange(self.count)
        lowest = self.guard_junction_c(x.cond_air_in_c, every)
        self.at_freeze = self._mixed(lowest, x.cond_air_in_c, every)
        self._rows = None

    def guard_junction_c(self, condensing_c: FloatArray, rows: IntArray) -> FloatArray:
        """The junction at which the first of the two coils stands at the freeze limit."""
        ends = [
            self._end_c(k.take(rows), side.take(rows), condensing_c)
            for k, side in zip(self.coils, self.freeze_sides, strict=True)
        ]
        return np.maximum(*ends)

    def guarded(self, speed_rpm: FloatArray, condensing_c: FloatArray, rows: IntArray) -> Cycle:
        """The colder fins at the freeze limit."""
        side = self._mixed(self.guard_junction_c(condensing_c, rows), condensing_c, rows)
        return cycle(self.gas, self.plants.take(rows), side, condensing_c, speed_rpm)

    def full_flow(self, unknown: FloatArray, condensing_c: FloatArray, rows: IntArray) -> Cycle:
        """Given speed, the junction at a saturation temperature."""
        side = self._mixed(unknown, condensing_c, rows)
        return cycle(self.gas, self.plants.take(rows), side, condensing_c, self.x.speed_rpm[rows])

    def coils_at(
        self, junction_c: FloatArray, condensing_c: FloatArray, rows: IntArray
    ) -> tuple[list[CoilSide], list[FloatArray], list[FloatArray]]:
        """State, flow and fin temperature of each coil."""
        sides, flows, surfaces = [], [], []
        for coil_rows, air_in_c in zip(self.coils, self.air_in_c, strict=True):
            k = coil_rows.take(rows)
            surface_c = self._surface_c(k, air_in_c[rows], junction_c, condensing_c)
            side = coil_side(self.gas, k, surface_c)
            sides.append(side)
            flows.append(self._flow_kg_s(k, side, condensing_c))
            surfaces.append(surface_c)
        return sides, flows, surfaces

    def _mixed(self, junction_c: FloatArray, condensing_c: FloatArray, rows: IntArray) -> CoilSide:
        """Both coils as one at the junction: heats and flows added, enthalpies mixed by flow."""
        (one, two), (flow_1, flow_2), _ = self.coils_at(junction_c, condensing_c, rows)
        h = (flow_1 * one.h + flow_2 * two.h) / (flow_1 + flow_2)
        tables = self.gas.for_cycle
        at = tables.t_axis.place(junction_c)
        root = tables.superheat_root(at, h)
        rho, _, mu = tables.outlet(at, tables.superheat_axis.place(root))
        heat_w = one.heat_w + two.heat_w
        return CoilSide(
            heat_w=heat_w,
            evaporating_c=junction_c,
            evaporating_pa=tables.p_sat_pa(at),
            out_c=junction_c + root**2,
            rho=rho,
            h=h,
            mu=mu,
            inside=one.inside & two.inside,
        )

    def _flow_kg_s(self, k: PlantRows, side: CoilSide, condensing_c: FloatArray) -> FloatArray:
        tables = self.gas.for_cycle
        flow: FloatArray = side.heat_w / (
            side.h - tables.liquid_h(tables.t_axis.place(condensing_c), k.subcooling)
        )
        return flow

    def _end_c(self, k: PlantRows, side: CoilSide, condensing_c: FloatArray) -> FloatArray:
        """Saturation temperature at the end of a coil's own line."""
        lost_pa = line_loss_pa(self._flow_kg_s(k, side, condensing_c), k.suction, side.rho, side.mu)
        return self.gas.for_cycle.t_sat_c(np.maximum(side.evaporating_pa - lost_pa, self.gas.least_pa))

    def _surface_c(
        self, k: PlantRows, air_in_c: FloatArray, junction_c: FloatArray, condensing_c: FloatArray
    ) -> FloatArray:
        """Fin temperature at which a coil's line ends at the junction's pressure.

        It lies between the junction, where the line would end colder, and the air, where nothing flows.
        """

        def above_k(surface_c: FloatArray, some: IntArray) -> FloatArray:
            plants = k.take(some)
            side = coil_side(self.gas, plants, surface_c)
            return self._end_c(plants, side, condensing_c[some]) - junction_c[some]

        lower, upper = np.minimum(junction_c, air_in_c), air_in_c
        start = lower + START * (upper - lower)
        found = climb_batch(above_k, start, 1.5, lower, upper, tolerance=SURFACE_K)
        surface_c = found.x
        left = np.flatnonzero(~found.converged)
        if left.size:
            root = bracket_batch(
                lambda s, some: above_k(s, left[some]), lower[left], upper[left], f_tolerance=SURFACE_K
            )
            surface_c[left] = root.best
        return surface_c
