"""Who may use which address, written out: one line per address, checked against the site for every role.

A new address needs a line here. `get` and `post` name who is let in: roles, EVERYBODY, or ALL_SIGNED_IN;
None means that the address does not know the method. `sample` fills the address's parameters: values need not
exist, since whether somebody may ask is decided before anything is looked up.
"""

from dataclasses import dataclass, field

CAST = ("anonymous", "stranger", "installer", "production", "owner", "manager")
EVERYBODY = frozenset(CAST)
ALL_SIGNED_IN = EVERYBODY - {"anonymous"}
READERS = frozenset({"installer", "production", "owner", "manager"})
MANAGER = frozenset({"manager"})


@dataclass(frozen=True)
class Line:
    """One address as the resolver spells it, and who may use it."""

    route: str
    get: frozenset[str] | None = None
    post: frozenset[str] | None = None
    sample: dict[str, object] = field(default_factory=dict)


FITMENT: dict[str, object] = {"kit": "DASH", "line": "S4", "variant": "S4-1"}

TABLE = (
    Line("", get=ALL_SIGNED_IN),
    Line("health", get=EVERYBODY),
    Line("sign-in/", get=EVERYBODY, post=EVERYBODY),
    Line("sign-out/", post=ALL_SIGNED_IN),
    Line("fitments/<code:kit>/<code:line>/<code:variant>/parts-list.xlsx", get=READERS, sample=FITMENT),
    Line("fitments/<code:kit>/<code:line>/<code:variant>/parts-list.pdf", get=READERS, sample=FITMENT),
    Line("fitments/<code:kit>/<code:line>/<code:variant>/checklist.pdf", get=READERS, sample=FITMENT),
    Line("fitments/<code:kit>/<code:line>/<code:variant>/sizing-sheet.pdf", get=READERS, sample=FITMENT),
)
