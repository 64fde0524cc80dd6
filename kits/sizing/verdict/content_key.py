"""What tells one sizing from another: the key of all that an answer is worked out from."""

import hashlib
from typing import Any

from kits.sizing.case.case import Case
from kits.sizing.gas.refrigerant import tables_key
from kits.sizing.verdict.record import METHOD
from vehicles.physics.canonical import stored_of, text_from

NOT_READ = frozenset({"origin", "origins", "air_trial_origin"})
"""Where numbers come from: of that no answer depends. Names stay, since sentences of the answer have them."""


def content_key(case: Case) -> str:
    """SHA-256 of the case's canonical text, with the METHOD and the tables of its gas.

    Two cases with the same key have the same answer to the last letter. So the names of car, surfaces, sites and duty
    points are in it: an answer's sentences have them, and none may show a name that is no longer true.
    """
    gas = "" if case.heats_only else tables_key(case.plant.refrigerant)
    content = {"case": _read_of(stored_of(case)), "gas": gas, "method": METHOD}
    return hashlib.sha256(text_from(content).encode()).hexdigest()


def _read_of(stored: Any) -> Any:
    if isinstance(stored, dict):
        return {name: _read_of(held) for name, held in stored.items() if name not in NOT_READ}
    return [_read_of(one) for one in stored] if isinstance(stored, list) else stored
