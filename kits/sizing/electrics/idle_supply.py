"""What supply and blower come to at hot idle: the battery sinks, the blower slows down with it and takes less current.

The voltage that a fitment records at the blower's plug is read with the engine on speed, as on the road. At idle the
car stands at the battery's own volts, those after the minutes that are judged (the lowest, not the mean of the time),
and the plug at what the blower's circuit leaves of them.
"""

from dataclasses import dataclass, fields, replace

import numpy as np
from numpy.typing import ArrayLike

from kits.sizing.electrics.battery import (
    CONSTANTS_VOLTAGE_V,
    IdleBattery,
    battery_after_idle,
    battery_constants,
)
from vehicles.physics.arrays import FloatArray, IntArray, answer, floats
from vehicles.physics.newton import bracket_batch

TOLERANCE_A = 1e-9
"""Current by which loads, generator and battery may differ in the balance."""
READ_SHARE = 0.1
"""By their readings alone the blowers may come to this share more than the whole kit; common practice, no source."""
JUST_CARRIED, EMPTIED = 1.0, 2.0
"""Ends of the search: up to the first the volts fall and no charge is taken, up to the second the battery gives."""


@dataclass(frozen=True)
class IdleSupply:
    """Arrays over the points, or scalars.

    kit_a          what the kit takes then
    supply_v       volts on which everything runs; the battery's own `volts` but where it is flat before the time is
                   over: then those of that moment
    blower_v, rear_blower_v  at the plugs, with the blowers at full speed
    """

    battery: IdleBattery
    kit_a: FloatArray
    supply_v: FloatArray
    blower_v: FloatArray
    rear_blower_v: FloatArray

    def row(self, i: int) -> "IdleSupply":
        """One of the points, as scalars."""
        battery = IdleBattery(**{f.name: getattr(self.battery, f.name)[i] for f in fields(IdleBattery)})
        numbers = {f.name: getattr(self, f.name)[i] for f in fields(self) if f.name != "battery"}
        return IdleSupply(battery, **numbers)


def kit_as_read_a(
    kit_current_a: ArrayLike,
    blower_rated_a: ArrayLike,
    blower_a: ArrayLike,
    rear_rated_a: ArrayLike = 0.0,
    rear_blower_a: ArrayLike = 0.0,
) -> FloatArray:
    """What the kit takes with everything on and its blowers at the volts that were read at their plugs.

    Formula: I_kit + Σ (I_plug − I_rated) over the blowers.
    Parameters: kit_current_a as the kit states it, with everything on and the blowers at their rated voltage;
    blower_rated_a and blower_a, what a blower takes at full speed at its rated voltage and at the volts read at its
    plug, rear_rated_a and rear_blower_a of a second one, not negative.
    Returns: A.
    Validity: of all consumers only the blowers take less at less volts.
    Source: what the kit's current means; balance of currents.
    Check: at the rated voltage what the kit states; by hand, 39.6 A with a blower of 19.2 A at 13.5 V that gets 12 V.
    """
    stated, front_rated, front, rear_rated, rear = np.broadcast_arrays(
        *(floats(v) for v in (kit_current_a, blower_rated_a, blower_a, rear_rated_a, rear_blower_a))
    )
    found = stated + (front - front_rated) + (rear - rear_rated)
    given = np.stack([stated, front_rated, front, rear_rated, rear, found])
    valid = np.all(np.isfinite(given) & (given >= 0), axis=0)
    return answer(found, valid, "A kit's current is not negative, and holds what its blowers take.")


def reading_v(
    *,
    most_generator_a: ArrayLike,
    base_load_a: ArrayLike,
    kit_load_a: ArrayLike,
    nominal_voltage_v: ArrayLike,
    capacity_ah: ArrayLike,
    blower_v: ArrayLike,
    rear_blower_v: ArrayLike | None = None,
) -> FloatArray:
    """The car's supply while the volts at the blowers' plugs were read, which tells what their circuits lose.

    Formula: the regulated voltage where the most that the generator gives carries everything, else the battery's own
    before any charge was taken; the highest one read at a plug where that is more.
    Parameters: most_generator_a, the largest current of the charging curve; base_load_a, kit_load_a, nominal_voltage_v,
    capacity_ah as battery_after_idle; blower_v and rear_blower_v, as read at the plugs, above 0.
    Returns: V.
    Validity: read with everything on and the engine fast enough for all that the generator gives; nobody read the
    supply itself beside it. Where more arrives than that, the regulator holds at least as much, and no loss is known.
    Source: battery_after_idle; data/battery.json.
    Check: 13.8 V of an alternator of 12 V with 13.2 V at the plug, 14.1 with 14.1; a dynamo that is short by 21 A
    leaves a battery of 50 A·h 12.36 V.
    """
    found = floats(
        battery_after_idle(
            most_generator_a, base_load_a, kit_load_a, nominal_voltage_v, capacity_ah=capacity_ah, minutes=0.0
        ).volts
    )
    plugs = np.maximum(floats(blower_v), floats(blower_v if rear_blower_v is None else rear_blower_v))
    known = np.isfinite(plugs) & (plugs > 0) & np.isfinite(found)
    return answer(np.maximum(found, plugs), known, "A reading at the blower's plug needs volts above zero.")


def plug_v(supply_v: ArrayLike, recorded_v: ArrayLike, supply_read_v: ArrayLike) -> FloatArray:
    """What arrives at a blower's plug when the car's supply is another than the one it was read with.

    Formula: U + (U_reading − U_recorded)·(U/U_recorded)² = U_supply: what the circuit loses goes with the current
    (Ohm), and the current of a blower against the same air path with the square of its voltage (fan laws: power with
    the third power of the speed, speed with the voltage).
    Parameters: supply_v, of the car then, not negative; recorded_v, read at the plug, above 0; supply_read_v, of the
    car's supply at that reading, not below recorded_v.
    Returns: V, with the blower at full speed.
    Validity: brushed motors, as speed_share; the circuit as warm as when its plug was read.
    Source: Ohm's law; fan laws, ISO 5801.
    Check: the recorded volts at the supply of the reading; a circuit that loses nothing brings the supply's own; put
    back into the formula it gives the supply.
    """
    supply, recorded, reading = np.broadcast_arrays(
        floats(supply_v), floats(recorded_v), floats(supply_read_v)
    )
    valid = (
        (supply >= 0) & np.isfinite(supply) & (recorded > 0) & (reading >= recorded) & np.isfinite(reading)
    )
    sentence = (
        "A plug's voltage needs a supply not negative, a recorded voltage above zero and a supply at its reading not "
        "below it."
    )
    found = _plug_v(*(np.where(valid, value, 1.0) for value in (supply, recorded, reading)))
    return answer(found, valid, sentence)


def _plug_v(supply: FloatArray, recorded: FloatArray, reading: FloatArray) -> FloatArray:
    loss = (reading - recorded) / recorded**2
    found = 2 * supply / (1 + np.sqrt(1 + 4 * loss * supply))
    # as recorded, to the last digit
    return np.where(supply == reading, recorded, found)


def kit_on_supply_a(
    *,
    supply_v: ArrayLike,
    kit_load_a: ArrayLike,
    supply_read_v: ArrayLike,
    blower_v: ArrayLike,
    blower_a: ArrayLike,
    rear_blower_v: ArrayLike | None = None,
    rear_blower_a: ArrayLike = 0.0,
) -> FloatArray:
    """What the kit takes with everything on when the car's supply is another than the one its plugs were read with.

    Formula: kit − Σ I·(1 − (U/U_recorded)²) over the blowers, U by plug_v.
    Parameters: supply_v, of the car then, not negative; kit_load_a as the plugs were read, by kit_as_read_a;
    supply_read_v, by reading_v; blower_v and blower_a, as read at the blower's plug and what it takes there,
    rear_blower_v and rear_blower_a of a second one.
    Returns: A.
    Validity: of all consumers only the blowers take less at less volts; blowers at full speed.
    Source: fan laws, ISO 5801; plug_v.
    Check: at the supply of the reading what was taken then; a blower that slows down to nine tenths, by hand.
    """
    rear_v = blower_v if rear_blower_v is None else rear_blower_v
    given = (supply_v, kit_load_a, supply_read_v, blower_v, blower_a, rear_v, rear_blower_a)
    supply, kit, read, front_v, front_a, back_v, back_a = np.broadcast_arrays(*(floats(v) for v in given))
    valid = np.all(np.isfinite([supply, kit, read, front_v, front_a, back_v, back_a]), axis=0)
    valid &= (supply >= 0) & (kit >= 0) & (front_a >= 0) & (back_a >= 0)
    valid &= (front_v > 0) & (front_v <= read) & (back_v > 0) & (back_v <= read)
    sentence = (
        "What a kit takes on a supply needs volts and currents not negative, and volts at the plugs above zero and "
        "not above the supply's at their reading."
    )
    supply, kit, read, *blowers = (
        np.where(valid, v, 1.0) for v in (supply, kit, read, front_v, front_a, back_v, back_a)
    )
    found = _kit_on_supply_a(supply, kit, read, (blowers[0], blowers[1]), (blowers[2], blowers[3]))
    return answer(found, valid, sentence)


def _kit_on_supply_a(
    supply: FloatArray, kit_a: FloatArray, read: FloatArray, *blowers: tuple[FloatArray, FloatArray]
) -> FloatArray:
    """The kit's current; blowers: of each the volts read at its plug, and what it takes there."""
    saved = sum(current * (1 - (_plug_v(supply, volts, read) / volts) ** 2) for volts, current in blowers)
    return kit_a - saved


def idle_supply(
    *,
    generator_a: ArrayLike,
    base_load_a: ArrayLike,
    kit_load_a: ArrayLike,
    nominal_voltage_v: ArrayLike,
    capacity_ah: ArrayLike,
    supply_read_v: ArrayLike,
    blower_v: ArrayLike,
    blower_a: ArrayLike,
    rear_blower_v: ArrayLike | None = None,
    rear_blower_a: ArrayLike = 0.0,
    minutes: ArrayLike | None = None,
) -> IdleSupply:
    """Battery, kit and blowers after the minutes of hot idle, each as the others leave it.

    Formula: base + kit − generator = deficit; kit = recorded − Σ I·(1 − (U/U_recorded)²) over the blowers, U by
    plug_v from the supply. With a surplus the supply is the regulated voltage. Else it is the battery's own at that
    deficit, empty + (full − empty)·charge − resistance·deficit with charge = start − deficit·minutes/60/capacity; or,
    where the battery would have to be charged by what the blower then saves, the volts between both at which the
    generator just carries everything.
    Parameters: generator_a at hot idle, base_load_a and kit_load_a, mean currents, the kit's with everything on as the
    plugs were read, by kit_as_read_a, not negative; nominal_voltage_v, 6, 8, 12 or 24; capacity_ah, above 0;
    supply_read_v, by reading_v; blower_v and blower_a, as read at the blower's plug and what it takes there,
    rear_blower_v and rear_blower_a of a second one, together not more than the kit; minutes as battery_after_idle, 0
    with the generator of the road for the supply there, as reading_v.
    Returns: battery, current of the kit, volts of the supply and at the plugs (`IdleSupply`).
    Validity: as battery_after_idle, at the end of the minutes, or in the moment in which the battery is flat; the
    currents of the end count for all of the time. Of all consumers only the blowers take less at less volts. Blowers at
    full speed: at a lower step the battery sinks less than is told here. Loads that would leave no volts at all are
    refused.
    Source: balance of currents; battery_after_idle; plug_v.
    Check: with no blower, or a surplus, what battery_after_idle gives; a smaller battery, a weaker generator or more
    load never bring more volts; a direct solution.
    """
    rear_v = blower_v if rear_blower_v is None else rear_blower_v
    time = battery_constants().idle_minutes if minutes is None else minutes
    currents, blowers = (generator_a, base_load_a, kit_load_a), (blower_v, blower_a, rear_v, rear_blower_a)
    given = np.broadcast_arrays(
        *(floats(v) for v in (*currents, nominal_voltage_v, capacity_ah, supply_read_v, *blowers, time))
    )
    shape = given[0].shape
    rows = [np.array(value).ravel() for value in given]
    read_v, front_v, front_a, back_v, back_a = rows[5:10]
    usable = battery_after_idle(*rows[:4], capacity_ah=rows[4], minutes=rows[10]).least_volts
    valid = np.isfinite(usable) & np.isfinite(read_v)
    for volts, current in ((front_v, front_a), (back_v, back_a)):
        valid &= (volts > 0) & (volts <= read_v) & (current >= 0) & np.isfinite(current)
    valid &= front_a + back_a <= rows[2] * (1 + READ_SHARE)
    volt, none = CONSTANTS_VOLTAGE_V, 0.0
    usual = (none, none, none, volt, 1.0, volt, volt, none, volt, none, none)
    given_or_usual = zip(fields(_Balance), rows, usual, strict=True)
    found = _Balance(**{f.name: np.where(valid, value, other) for f, value, other in given_or_usual}).solved()
    valid &= (found.kit_a >= 0) & (found.supply_v > 0)
    sentence = (
        "The supply at idle needs currents and minutes not negative, a nominal voltage, a battery, volts at the "
        "blowers above zero and not above the supply's, blowers that take no more than the whole kit, and "
        "loads that leave volts at all."
    )

    def told(value: FloatArray) -> FloatArray:
        return answer(value.reshape(shape), valid.reshape(shape), sentence)

    numbers = {
        f.name: told(getattr(found.battery, f.name)) for f in fields(IdleBattery) if f.name != "criterion_met"
    }
    is_met = np.asarray((valid & found.battery.criterion_met).reshape(shape))[()]
    return IdleSupply(
        IdleBattery(**numbers, criterion_met=is_met),
        *(told(getattr(found, f.name)) for f in fields(IdleSupply) if f.name != "battery"),
    )


@dataclass(frozen=True, kw_only=True)
class _Balance:
    """The given numbers as arrays of one length, all of them possible."""

    generator_a: FloatArray
    base_a: FloatArray
    kit_a: FloatArray
    nominal_v: FloatArray
    capacity_ah: FloatArray
    read_v: FloatArray
    front_v: FloatArray
    front_a: FloatArray
    rear_v: FloatArray
    rear_a: FloatArray
    minutes: FloatArray

    def solved(self) -> IdleSupply:
        every = np.arange(self.kit_a.size)
        has_surplus = self._most_a(every) <= 0
        first = np.where(has_surplus, np.nan, 0.0)
        found = bracket_batch(self._too_much_a, first, EMPTIED, x_tolerance=0.0, f_tolerance=TOLERANCE_A)
        at = np.where(has_surplus, 0.0, found.x)
        supply_v, taken_a = self._state(at, every)
        kit_a = self._kit_a(supply_v, every)
        # what the generator just carries takes no charge: not by a rounding either
        just = ~has_surplus & (taken_a == 0)
        generator_a = np.where(just, self.base_a + kit_a, self.generator_a)
        battery = battery_after_idle(
            generator_a,
            self.base_a,
            kit_a,
            self.nominal_v,
            capacity_ah=self.capacity_ah,
            minutes=self.minutes,
        )
        volts = np.where(battery.deficit_a > 0, battery.volts, supply_v)
        battery = replace(battery, volts=volts, criterion_met=volts >= battery.least_volts)
        return IdleSupply(battery, kit_a, supply_v, *self._plugs_v(supply_v, every))

    def _charging_v(self, rows: IntArray) -> FloatArray:
        """The supply where the generator carries everything."""
        regulated = self.nominal_v[rows] / CONSTANTS_VOLTAGE_V * battery_constants().regulated_voltage_v
        return np.maximum(regulated, self.read_v[rows])

    def _most_a(self, rows: IntArray) -> FloatArray:
        """What is short at charging volts, and so the most that the battery could have to give."""
        short: FloatArray = (
            self.base_a[rows] + self._kit_a(self._charging_v(rows), rows) - self.generator_a[rows]
        )
        return short

    def _plugs_v(self, supply_v: FloatArray, rows: IntArray) -> tuple[FloatArray, FloatArray]:
        # an overdrawn battery leaves nothing, and a blower gives nothing back
        left, read = np.maximum(supply_v, 0.0), self.read_v[rows]
        return _plug_v(left, self.front_v[rows], read), _plug_v(left, self.rear_v[rows], read)

    def _kit_a(self, supply_v: FloatArray, rows: IntArray) -> FloatArray:
        front, rear = (self.front_v[rows], self.front_a[rows]), (self.rear_v[rows], self.rear_a[rows])
        return _kit_on_supply_a(np.maximum(supply_v, 0.0), self.kit_a[rows], self.read_v[rows], front, rear)

    def _state(self, at: FloatArray, rows: IntArray) -> tuple[FloatArray, FloatArray]:
        """Volts of the supply and current out of the battery along the search, from charging to the whole deficit."""
        taken_a = np.where(at > JUST_CARRIED, (at - JUST_CARRIED) * self._most_a(rows), 0.0)
        zero = np.zeros(rows.size)
        own = battery_after_idle(
            zero,
            taken_a,
            zero,
            self.nominal_v[rows],
            capacity_ah=self.capacity_ah[rows],
            minutes=self.minutes[rows],
        ).own_volts
        charging = self._charging_v(rows)
        carried = charging + np.minimum(at, JUST_CARRIED) * (own - charging)
        return np.where(at > JUST_CARRIED, own, carried), taken_a

    def _too_much_a(self, at: FloatArray, rows: IntArray) -> FloatArray:
        supply_v, taken_a = self._state(at, rows)
        short: FloatArray = self.base_a[rows] + self._kit_a(supply_v, rows) - self.generator_a[rows] - taken_a
        return short
