"""The answers of the demonstration as the METHOD has them: of each fitment what it was worked out from, and a digest.

Run as a module it writes them anew: after the demonstration's data have changed, or with another METHOD.
"""

import hashlib
import json
from collections.abc import Mapping
from pathlib import Path
from typing import TYPE_CHECKING

from kits.sizing.verdict.content_key import content_key
from kits.sizing.verdict.record import METHOD
from vehicles.physics.canonical import text_of

if TYPE_CHECKING:
    from tests.kits.exchange.demonstration.world import World

FILE = Path(__file__).with_name("method_answers.json")
Answers = Mapping[str, tuple[str, str]]
"""fitment -> content key and digest of the answer, both cut short"""
RAISE = (
    f"From the same data these fitments get other answers than METHOD {METHOD} gave: {{}}. If that is meant, raise "
    "METHOD in kits/sizing/verdict/record.py, so that stored answers are worked out anew, and then write these by "
    "`.venv/bin/python -m tests.kits.sizing.verdict.method_answers`."
)
WRITE = (
    "The demonstration's data, or METHOD, have changed for {}. Write the answers by "
    "`.venv/bin/python -m tests.kits.sizing.verdict.method_answers`."
)

BOTH = (
    " The answers of {} have moved as well: if anything but data did that, raise METHOD first: "
    "nothing else will notice."
)


def answers(world: "World") -> Answers:
    """Those of all fitments that are sized."""
    from kits.fitment.bridge import case_of

    held = {key: (f, world.kits[key], world.records[key]) for key, f in world.fitments.items()}
    held |= {key: (h.fitment, h.kit, h.record) for key, h in world.heaters.items()}
    found = {}
    for key, (fitment, kit, record) in sorted(held.items()):
        case, _ = case_of(fitment, kit)
        if case is not None:
            digest = hashlib.sha256(text_of(record).encode()).hexdigest()
            found["/".join(key)] = (content_key(case)[:16], digest[:16])
    return found


def complaint(before: Answers, now: Answers) -> str:
    """What is to be done about answers that have moved; empty for nothing."""
    known = dict(before.values())
    if moved := [name for name, (key, digest) in now.items() if known.get(key, digest) != digest]:
        return RAISE.format(", ".join(moved))
    differ = sorted(name for name in {*before, *now} if before.get(name) != now.get(name))
    if not differ:
        return ""
    both = [name for name in differ if name in before and name in now and before[name][1] != now[name][1]]
    return WRITE.format(", ".join(differ)) + (BOTH.format(", ".join(both)) if both else "")


def read() -> Answers:
    """As they were written."""
    return {name: (key, digest) for name, (key, digest) in json.loads(FILE.read_text("utf-8")).items()}


def main() -> None:
    """Write the answers of today; refuses those that have moved with the METHOD left as it was."""
    import django

    django.setup()
    from tests.kept import kept
    from tests.kits.exchange.demonstration.made_apart import made_apart

    now = answers(kept("world", made_apart))
    if FILE.exists() and (told := complaint(read(), now)).startswith("From the same data"):
        raise SystemExit(told)
    FILE.write_text(json.dumps(now, indent=1) + "\n", "utf-8")


if __name__ == "__main__":
    main()
