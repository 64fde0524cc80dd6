"""What is sized, as plain values: the car, the plant that a resolved kit makes, the duty points, and changes to them.

A kit that heats only states the refrigerant *none* and no oil. Its case has a `Heater` in the place of a `Plant`
(`kits/sizing/case/heater.py`): the air side with no coil in it, and the supply. Winter points alone can judge it,
positive earth does not matter to it, 6 V must be its own; it has no charge, no gauges, no what-if.

Levers are real re-runs. Each change of `kits/sizing/case/data/levers.json` is made to the case itself and all are
sized in one batch. They are ranked by what they turn, then by what they ease of a criterion that fails and is no
margin (the battery's volts, head pressure, vents), then by margin. Where none turns the verdict alone, every two to
four of the best four are sized together, and what eases a failure with each other one; the smallest is the one with
the fewest changes, then the least work. It is stored with its margin (`SizingRecord.smallest`), and a run with it
gives that margin again.
"""
