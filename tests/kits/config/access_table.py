"""Who may use which address, written out: one line per address, checked against the site for every role.

A new address needs a line here. `get` and `post` name who is let in: roles, EVERYBODY, or ALL_SIGNED_IN;
None means that the address does not know the method. `sample` fills the address's parameters: values need not
exist, since whether somebody may ask is decided before anything is looked up. `query`: what it is asked with.
"""

from dataclasses import dataclass, field

CAST = ("anonymous", "stranger", "installer", "production", "owner", "manager")
EVERYBODY = frozenset(CAST)
ALL_SIGNED_IN = EVERYBODY - {"anonymous"}
READERS = frozenset({"installer", "production", "owner", "manager"})
MANAGER = frozenset({"manager"})
OFFICE = frozenset({"manager", "owner"})


@dataclass(frozen=True)
class Line:
    """One address as the resolver spells it, and who may use it."""

    route: str
    get: frozenset[str] | None = None
    post: frozenset[str] | None = None
    sample: dict[str, object] = field(default_factory=dict)
    query: str = ""


FITMENT: dict[str, object] = {"kit": "K", "line": "L", "variant": "V"}
MARKET = "market=home"
FITMENT_ROUTE = "fitments/<code:kit>/<code:line>/<code:variant>/"
CAR: dict[str, object] = {"line": "L", "variant": "V"}
CAR_ROUTE = "vehicles/<code:line>/<code:variant>/"
PERSON: dict[str, object] = {"initials": "AB"}
PERSON_ROUTE = "people/<code:initials>/"

TABLE = (
    Line("", get=ALL_SIGNED_IN),
    # answered before all others; the metrics ask for their own token
    Line("health", get=EVERYBODY),
    Line("metrics", get=EVERYBODY),
    Line("sign-in/", get=EVERYBODY, post=EVERYBODY),
    Line("sign-in/code/", get=EVERYBODY, post=EVERYBODY),
    Line("sign-in/typed/", get=ALL_SIGNED_IN, post=ALL_SIGNED_IN),
    Line("sign-out/", post=ALL_SIGNED_IN),
    # People and the shop's settings
    Line("people/", get=OFFICE),
    Line("people/invite/", get=MANAGER, post=MANAGER),
    Line(PERSON_ROUTE, get=OFFICE, sample=PERSON),
    Line(f"{PERSON_ROUTE}change/", get=MANAGER, post=MANAGER, sample=PERSON),
    Line(f"{PERSON_ROUTE}roles/", get=MANAGER, post=MANAGER, sample=PERSON),
    Line(f"{PERSON_ROUTE}leave/", get=MANAGER, post=MANAGER, sample=PERSON),
    Line(f"{PERSON_ROUTE}back/", get=MANAGER, post=MANAGER, sample=PERSON),
    Line(f"{PERSON_ROUTE}link/", get=MANAGER, post=MANAGER, sample=PERSON),
    Line(f"{PERSON_ROUTE}certificates/add/", get=MANAGER, post=MANAGER, sample=PERSON),
    Line(
        f"{PERSON_ROUTE}certificates/<int:certificate>/",
        get=MANAGER,
        post=MANAGER,
        sample={**PERSON, "certificate": 1},
    ),
    Line(
        f"{PERSON_ROUTE}certificates/<int:certificate>/withdraw/",
        get=MANAGER,
        post=MANAGER,
        sample={**PERSON, "certificate": 1},
    ),
    Line("invitation/<str:token>/", get=EVERYBODY, post=EVERYBODY, sample={"token": "1-a"}),
    Line("settings/", get=OFFICE, post=MANAGER),
    # One's own account, and what managers see of signing in
    Line("account/", get=ALL_SIGNED_IN),
    Line("account/password/", get=ALL_SIGNED_IN, post=ALL_SIGNED_IN),
    Line("account/sign-out-everywhere/", post=ALL_SIGNED_IN),
    Line("account/second-step/", get=OFFICE, post=OFFICE),
    Line("account/second-step/code.svg", get=OFFICE),
    Line("account/second-step/off/", get=ALL_SIGNED_IN, post=ALL_SIGNED_IN),
    Line("sign-ins/", get=MANAGER),
    Line("sign-ins/locks/<int:pk>/lift/", post=MANAGER, sample={"pk": 1}),
    Line("sign-ins/second-steps/<int:pk>/reset/", post=MANAGER, sample={"pk": 99_999}),
    # Fit table and fitments
    Line("fit/", get=READERS),
    Line("fit/size-again/", post=MANAGER),
    Line(FITMENT_ROUTE, get=READERS, sample=FITMENT),
    Line(f"{FITMENT_ROUTE}calculations/", get=READERS, sample=FITMENT),
    Line(f"{FITMENT_ROUTE}readings/", get=READERS, sample=FITMENT),
    Line(f"{FITMENT_ROUTE}plateau/", get=READERS, sample=FITMENT),
    Line(f"{FITMENT_ROUTE}plateau/charge/", post=MANAGER, sample=FITMENT),
    Line(f"{FITMENT_ROUTE}plateau/step/", post=MANAGER, sample=FITMENT),
    Line(f"{FITMENT_ROUTE}air/", get=READERS, sample=FITMENT),
    Line(f"{FITMENT_ROUTE}load.svg", get=READERS, sample=FITMENT),
    Line(f"{FITMENT_ROUTE}notes/", post=MANAGER, sample=FITMENT),
    Line(f"{FITMENT_ROUTE}study/", get=READERS, sample=FITMENT),
    Line(f"{FITMENT_ROUTE}study/holds/", get=READERS, sample=FITMENT),
    Line(f"{FITMENT_ROUTE}study/gases/", get=READERS, sample=FITMENT),
    Line(f"{FITMENT_ROUTE}study/keep/", post=MANAGER, sample=FITMENT),
    Line(f"{FITMENT_ROUTE}study/load.svg", get=READERS, sample=FITMENT),
    Line(
        f"{FITMENT_ROUTE}pictures/<code:topic>/<code:picture>.svg",
        get=READERS,
        sample={**FITMENT, "topic": "T", "picture": "P"},
    ),
    Line("duty-points/", get=READERS),
    Line("markets/<code:code>/", get=READERS, sample={"code": "M"}),
    # Documents
    Line(f"{FITMENT_ROUTE}parts-list.xlsx", get=READERS, sample=FITMENT, query=MARKET),
    Line(f"{FITMENT_ROUTE}parts-list.pdf", get=READERS, sample=FITMENT, query=MARKET),
    Line(f"{FITMENT_ROUTE}checklist.pdf", get=READERS, sample=FITMENT, query=MARKET),
    Line(f"{FITMENT_ROUTE}sizing-sheet.pdf", get=READERS, sample=FITMENT, query=MARKET),
    Line(f"{FITMENT_ROUTE}sizing-report.pdf", get=READERS, sample=FITMENT, query=MARKET),
    # Kits, parts, vehicles
    Line("kits/", get=READERS),
    Line("kits/<code:kit>/", get=READERS, sample={"kit": "K"}),
    Line("parts/", get=READERS),
    Line("parts/<code:number>/", get=READERS, sample={"number": "P"}),
    Line(
        "parts/<code:number>/<code:revision>/<slug:curve>.svg",
        get=READERS,
        sample={"number": "P", "revision": "A", "curve": "heat"},
    ),
    Line("vehicles/", get=READERS),
    Line("vehicles/<code:line>/<code:variant>/", get=READERS, sample={"line": "L", "variant": "V"}),
    Line(CAR_ROUTE + "surveyed/", post=MANAGER, sample=CAR),
    Line(
        CAR_ROUTE + "survey/<slug:section>/", get=MANAGER, post=MANAGER, sample={**CAR, "section": "surfaces"}
    ),
    Line(CAR_ROUTE + "survey/routes/<code:kit>/", get=MANAGER, post=MANAGER, sample={**CAR, "kit": "K"}),
    # Works
    Line("works/<int:pk>/", get=READERS, sample={"pk": 1}),
    Line("works/<int:pk>/cancel/", post=READERS, sample={"pk": 1}),
    # Workbooks
    Line("import/", get=MANAGER, post=MANAGER),
    Line("import/blank.xlsx", get=OFFICE),
    Line("import/<int:plan>/", get=MANAGER, post=MANAGER, sample={"plan": 1}),
    Line("lines/<code:line>/workbook.xlsx", get=OFFICE, sample={"line": "L"}),
    # Editing
    Line(
        "kits/<code:kit>/positions/<int:number>/",
        get=MANAGER,
        post=MANAGER,
        sample={"kit": "K", "number": 10},
    ),
    Line("kits/<code:kit>/steps/", get=READERS, sample={"kit": "K"}),
    Line("kits/<code:kit>/steps/asked/", get=MANAGER, post=MANAGER, sample={"kit": "K"}),
    Line("kits/<code:kit>/steps/order/", get=MANAGER, post=MANAGER, sample={"kit": "K"}),
    Line("edit/<code:line>/<slug:sheet>/", get=MANAGER, post=MANAGER, sample={"line": "L", "sheet": "parts"}),
    Line(
        "edit/<code:line>/<slug:sheet>/remove/",
        get=MANAGER,
        post=MANAGER,
        sample={"line": "L", "sheet": "parts"},
    ),
    Line("history/", get=OFFICE),
    Line("history/<uuid:act>/", get=OFFICE, sample={"act": "00000000-0000-4000-8000-000000000000"}),
    Line("history/<uuid:act>/undo/", post=MANAGER, sample={"act": "00000000-0000-4000-8000-000000000000"}),
    Line("lines/<code:line>/copy/", get=MANAGER, post=MANAGER, sample={"line": "L"}),
    Line(
        "vehicles/<code:line>/<code:variant>/copy/",
        get=MANAGER,
        post=MANAGER,
        sample={"line": "L", "variant": "V"},
    ),
)
