"""An import that is killed leaves the old state to the last row."""

import json
import os
import random
import signal
import subprocess
import sys
from pathlib import Path

KILLS = 10
ROOT = Path(__file__).parents[3]


def test_an_import_killed_at_ten_random_moments_leaves_the_old_state(tmp_path):
    seed = random.randrange(10**6)
    environment = {**os.environ, "KITWRIGHT_DATABASE_URL": f"sqlite:///{tmp_path / 'old.sqlite3'}"}
    ran = subprocess.run(
        [sys.executable, "-m", "tests.kits.exchange.killed", str(tmp_path), str(seed), str(KILLS)],
        cwd=ROOT, env=environment, capture_output=True, text=True, timeout=180, check=False,
    )  # fmt: skip
    assert ran.returncode == 0, ran.stderr[-2000:]
    found = json.loads(ran.stdout)
    assert (found["ended"], found["new"]) == (0, True)
    assert found["statements"] > 50
    killed = [signalled for _, signalled, _ in found["left"]]
    assert killed == [signal.SIGKILL] * KILLS
    assert [last for last, _, old in found["left"] if not old] == [], f"seed {seed}"
