"""The refrigeration balance: what a plant does at an operating point, or why it does nothing there.

Balance. One steady point has two unknowns, fin surface and condensing temperature. The coil is a bypass-factor coil
on its fin temperature, wet or dry, continuous at the switch; the condenser is effectiveness-NTU with the air it
really gets where it is installed; the compressor has fitted volumetric and isentropic efficiencies; both lines lose
pressure. Property tables are built once from CoolProp and kept as files.

Two coils. A kit with two evaporators is shared out by the zones of its positions
(`kits/sizing/case/coil_zones.py`): an evaporator and the blower, filter, heater matrix, ducts and vents of the same
zone belong together, the front coil is the first in the parts list, and the suction hose in the rear coil's zone
leads from it to the junction. Where the zones do not tell, the fitment is *not sized* and says what to enter. The
front coil has the duty point's air mode, the rear one recirculates. `two_coils.py` finds both fin temperatures and
the junction, `both_coils.py` tells both as one: sums of heat, water and flow, air mixed by mass, fins of the colder
coil; each coil's own numbers stand beside them. Points with two coils are batches of their own, so that those with
one cost no more. One switch turns both blowers: the rear one stands at the step of the same number of its own table
(`rear_blower.py`; a duty point at a step that it lacks is *not sized*), at the front one's voltage less what its
own circuit loses more, by the wires to “front blower” and “rear blower” (`blower_circuits.py`). A topic that knows
one coil is told of each (`topics/per_coil.py`): `Context.of_coils` gives it one coil's parts, air side, zone and
answers, and what it says bears the coil's name.

The freeze control is tried first. With the fins where the control holds them, condensing temperature alone is
solved for; if the compressor then moves more than the coil evaporates, the point is *freeze-limited*: the plant
cycles, throttles or slows down, and more compressor would bring nothing. Otherwise both unknowns are solved
together: a quasi-Newton method from modelled starts on all points at once, bracketing for what is left. The
humidity follows the same order: first by the air side at the freeze surface, kept where the balance confirms it,
else with the whole balance inside.
"""
