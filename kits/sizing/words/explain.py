"""What a function's docstring says, part by part: the text that the page beside a figure shows."""

import importlib
import inspect
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any, Final

PARTS: Final = ("Formula", "Parameters", "Returns", "Validity", "Source", "Check")


@dataclass(frozen=True, kw_only=True)
class Explanation:
    """The parts of a docstring; a part that is not there is empty."""

    what: str
    formula: str = ""
    parameters: str = ""
    returns: str = ""
    validity: str = ""
    source: str = ""
    check: str = ""


def explanation_of(function: Callable[..., Any]) -> Explanation:
    """The docstring's parts. A part begins with its name and a colon at the start of a line ("Formula: ...").

    An example that runs (">>>") ends them: it is for who reads the code.
    """
    found: dict[str, list[str]] = {"what": []}
    part = "what"
    for line in (inspect.getdoc(function) or "").splitlines():
        if line.startswith(">>>"):
            break
        head, colon, rest = line.partition(":")
        if colon and head in PARTS:
            part = head.lower()
            found[part] = [rest.strip()]
        elif line.strip() == "" and part == "what" and found["what"]:
            part = "skip"
        else:
            found.setdefault(part, []).append(line.strip())
    texts = {name: " ".join(" ".join(lines).split()) for name, lines in found.items() if name != "skip"}
    return Explanation(**texts)


def named(reference: str) -> Callable[..., Any]:
    """The function that a figure names ("module:name")."""
    module, _, name = reference.partition(":")
    found: Callable[..., Any] = getattr(importlib.import_module(module), name)
    return found
