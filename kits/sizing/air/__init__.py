"""The air a kit moves: blower, ducts, coil and vents, in numbers and arrays.

Air side. The blower's curve, by the fan laws at the voltage that really arrives, against intake, filter, wet coil,
heater matrix and ducts in parallel gives the flow and each vent's velocity (`kits/sizing/air/airflow.py`). With the
flap open the cabin's measured fresh air is outside air, the rest comes round. The trial that wins (`AirTrial`) sets
two factors, on all losses and on the blower's pressure. The smaller reserve is asked where the fitment's mark says
that its prediction is calibrated and such a trial stands behind the mark. Ducts and a heater whose valve leaks warm
the air again behind the coil (`kits/sizing/run/vent_air.py`).
"""
