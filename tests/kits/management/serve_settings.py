"""The settings of a site whose works take their time, and whose losses are noticed sooner than in real life."""

from datetime import timedelta

from kits.config.settings import *  # noqa: F403
from kits.work import kind

kind.LOST_AFTER = timedelta(seconds=6)
kind.STUCK_AFTER = timedelta(seconds=5)
WORK_AT_ONCE = False
WORK_KINDS = {"slow": "tests.kits.management.slow.SLOW"}
