"""The car's supply and the kit's wiring: generator, battery, conductors and fuses.

At idle the blower runs on the battery's own volts (`kits/sizing/electrics/idle_supply.py`, from a case in
`idle_blower.py`). What a fitment records is read at the plug with the engine on speed; the supply at that reading
is the regulated voltage, or, where even the most that the generator gives is short, what the battery then has. So
the circuit's loss is known, and it goes with the blower's current, which goes with the square of its volts. A kit
states its current with everything on and the blowers at their rated voltage; `idle_blower.kits_a` alone carries it
to the volts of the plugs, for the idle, the charging budget and the supply at the reading. Loads, generator,
battery and blowers are one balance, after the 15 minutes that are judged, at full speed and with the loads by day;
where the blower saves all that is short, the generator just carries everything at some volts between; loads that
leave no volts at all are refused. Winter points with an idling engine count the same way where the car's side is
known, with the recorded volts where it is not: they ask for no charging curve. The speed from which nothing comes
from the battery is that at which the generator carries the loads on the battery's own volts. A duty point's answer
tells its volts (`blower_v`).
"""
