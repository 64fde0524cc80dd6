"""The world of the demonstration, made by a process of its own on an SQLite database of its own.

So it depends neither on what a test has written nor on the database that the tests run on.
Called as `python -m tests.kits.exchange.demonstration.made_apart FILE`.
"""

import os
import pickle
import subprocess
import sys
import tempfile
from pathlib import Path

ROOT = Path(__file__).parents[4]
LONGEST_S = 900


def made_apart():
    """A `World`, from an empty database. Raises RuntimeError with what the process had to say if it failed."""
    with tempfile.TemporaryDirectory() as folder:
        made = Path(folder, "world")
        ran = subprocess.run(
            [sys.executable, "-m", __name__, str(made)],
            env={**os.environ, "KITWRIGHT_DATABASE_URL": f"sqlite:///{folder}/rows.sqlite3"},
            cwd=ROOT, capture_output=True, text=True, timeout=LONGEST_S, check=False,
        )  # fmt: skip
        if ran.returncode:
            raise RuntimeError(f"The demonstration could not be loaded and sized:\n{ran.stderr}")
        return pickle.loads(made.read_bytes())


def main(file: Path) -> None:
    """Make the tables as the models have them, then the world."""
    import django
    from django.conf import settings
    from django.core.management import call_command

    django.setup()
    settings.MIGRATION_MODULES = {"vehicles": None, "kits": None}
    call_command("migrate", run_syncdb=True, verbosity=0)

    from tests.kits.exchange.demonstration.world import load_world
    from vehicles.records.guard import goes_through

    with goes_through(is_on=True):
        world = load_world()
    file.write_bytes(pickle.dumps(world, protocol=pickle.HIGHEST_PROTOCOL))


if __name__ == "__main__":
    main(Path(sys.argv[1]))
