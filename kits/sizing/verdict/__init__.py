"""The answer of a fitment: the verdict of each duty point and of all, other states, what would help, and its record.

Verdict (`kits/sizing/verdict/judge.py`, `verdict.py`). A point that lacks an input is *not sized* and names it.
Cruise and town: the smaller of total and sensible margin, with a reserve of 20 % while estimated. Idle: head
pressure at least 2 bar below the cut-out, vents at most 15 °C, coolant within its limit, battery still above its
least voltage after 15 minutes; a kit that does not hold the target there is judged with the cabin as warm as it
gets (`idle_cabin.py`). A guard that would switch the plant off is a failure with its reason, and so is an expansion
valve that would have to pass more than it can (`valve_use.py`). A cycling plant is its mean; the head to which it
would settle with the clutch engaged (`engaged.py`) is an upper bound, and only asks for a measurement. Where there
is nothing to cool no margin is told. A fitment is as good as its worst required duty point. *Holds* is the cabin
temperature at which load and capacity balance.

Pull-down (`pull_down_duties.py`). A duty point of the kind *pull-down* is solved like one on the road, without a
margin, and judged by the course of the soaked cabin: minutes to the goal, and the vents on the way there.

Winter (`winter.py`, `winter_duties.py`). At a duty point of the kind *winter* the load is the heat that the cabin
loses at the target, the same terms with the sign turned, and the capacity what the heater matrix gives with the
coolant of the engine's state and the air that the kit's blower moves; the margin is judged with the same reserve. A
car for which the kit brings no matrix keeps its own heater and is not judged there.

Outlook (`kits/sizing/verdict/outlook.py`). The worst required duty point on the road is solved again over outside
temperature and engine speed, all fitments in one batch: up to where the load is carried, and what holds the
capacity in each cell.

Hot cabins (`kits/sizing/verdict/hot_cabin.py`). The duty points that have a pull-down are solved in hotter cabins
as well, all fitments in one batch; the pull-down's capacity runs straight between them.

Run test (`kits/sizing/verdict/run_test.py`). What gauges and vents read in the state of an installation's last
steps (doors and bonnet open, flap shut, blower full, 1,500 rpm or an electric compressor free, standing, 10
minutes) is solved over air and humidity at the intake, all fitments in one batch, and stored
(`SizingRecord.run_test`). The air at the condenser has the whole rise of idle; the limits reach down to none of it,
since nobody knows what an open bonnet leaves. Round both stand the half widths of `data/run_test.json`; a cycling
plant's limits reach from its mean to the clutch engaged (`engaged.py`), and the high side's at least to where the
fan starts and never above the cut-out. The topic *readings* holds the prediction against what any healthy car
reads; the checklist prints the limits at each step with a reading that says which it is (`ReadingSpec.predicted`),
and says so where there are none, or the answer is out of date.
"""
