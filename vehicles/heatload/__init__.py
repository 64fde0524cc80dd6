"""The heat load: what a cabin lets in, of many points at once, and over a whole design day.

Control volume. The load is all heat the coil must take to hold the cabin at its target: fresh air counts as load,
at outside less cabin enthalpy, and so do the blower's motor and the ducts' gain. The coil's inlet is the mix of
recirculated and fresh air, with what leaks past the flap. Capacity is the coil's gross heat. Temperature is held
(cruise: the target; town: 3 K above; idle: judged otherwise), humidity floats: it is the one at which the coil
takes out exactly the water that people and crossing air bring in. So a result has no humidity as an input, only the
one of the air outside.

Sun. A duty point gives beam, diffuse light and altitude as they stand, or a site with month and hour: then position
(`vehicles/physics/sun_position.py`) and clear sky give them, and the topic *sun* sweeps the site's design day for
the worst hour and heading. The air outside stays the duty point's own.
"""
