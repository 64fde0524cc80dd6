"""The settings of a site whose works take their time, and whose losses are noticed sooner than in real life."""

from datetime import timedelta

from kits.config import supervise
from kits.config.settings import *  # noqa: F403
from kits.work import kind

kind.LOST_AFTER = timedelta(seconds=4)
kind.STUCK_AFTER = timedelta(seconds=10)
# The tests kill a worker as soon as it works, one after the other: that is not one that can't start.
supervise.SHORT_LIFE_S = 2.0
WORK_AT_ONCE = False
WORK_KINDS = {**WORK_KINDS, "slow": "tests.kits.management.slow.SLOW"}  # noqa: F405
