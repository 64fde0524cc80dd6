"""Whether a kit is strong enough for a car: plain calculations in rooms, each of which imports only those below it.

Pure rooms, numbers and arrays in and out: words, air, gas, machine, electrics, mechanics, heat, cabin.
The runner, one floor each: balance, case, run, verdict, study.
"""
