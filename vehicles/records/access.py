"""Who may do what: the roles, the declaration a view carries, and the one table of rights.

A page is refused unless its view says who may use it (`allow`); an action asks again (`require`), so that a
command or another page can't slip past.
"""

from collections.abc import Callable, Collection, Mapping
from dataclasses import dataclass, field
from types import MappingProxyType
from typing import Any, Final, TypeVar

from django.contrib.auth.models import AbstractBaseUser, AnonymousUser
from django.core.exceptions import PermissionDenied

MANAGER: Final = "manager"
PRODUCTION: Final = "production"
INSTALLER: Final = "installer"
OWNER: Final = "owner"
ROLES: Final = (MANAGER, PRODUCTION, INSTALLER, OWNER)

# Not roles: everybody, and everybody who has signed in, whatever his role or none.
PUBLIC: Final = "public"
SIGNED_IN: Final = "signed in"

EVERY_ROLE: Final = frozenset(ROLES)

NO_ROLE: Final = (
    "Your account has no role yet, so there is nothing here for you to see. Ask a manager to give it one."
)
NOT_FOR_YOU: Final = "Your role does not include this page. Ask a manager if you need it."

View = TypeVar("View", bound=Callable[..., Any])


class Console:
    """The person at the server's console, who holds the database anyway; history notes no user for him."""

    is_authenticated = True

    def __str__(self) -> str:
        return "the console"


CONSOLE: Final = Console()
Actor = AbstractBaseUser | AnonymousUser | Console

# ----------------------------------------------------------------------------------------------------
# The table of rights: each action and each thing that is not for everybody, with the roles that have it.
# The name of an action is the name of its function in an actions.py. The owner reads all and changes nothing.
# ----------------------------------------------------------------------------------------------------
RIGHTS: Final[Mapping[str, frozenset[str]]] = MappingProxyType(
    {
        "import_workbook": frozenset({MANAGER}),
        "export_workbook": frozenset({MANAGER, OWNER}),
        "record": frozenset({MANAGER}),
        "keep_note": frozenset({MANAGER}),
        "size_all": frozenset({MANAGER}),
        "make_user": frozenset({MANAGER}),
        "see_people": frozenset({MANAGER, OWNER}),
        "invite_person": frozenset({MANAGER}),
        "change_person": frozenset({MANAGER}),
        "give_roles": frozenset({MANAGER}),
        "record_certificate": frozenset({MANAGER}),
        "person_leaves": frozenset({MANAGER}),
        "person_comes_back": frozenset({MANAGER}),
        "make_link": frozenset({MANAGER}),
        "change_shop": frozenset({MANAGER}),
        "edit_rows": frozenset({MANAGER}),
        "remove_row": frozenset({MANAGER}),
        "undo_act": frozenset({MANAGER}),
        "copy_variant": frozenset({MANAGER}),
        "copy_line": frozenset({MANAGER}),
        "see_prices": frozenset({MANAGER, PRODUCTION, OWNER}),
        "ask_for_work": EVERY_ROLE,
        "print_paper": EVERY_ROLE,
        "tidy": frozenset({MANAGER}),
        "cancel_work": EVERY_ROLE,
        "lift_lock": frozenset({MANAGER}),
        "reset_second_step": frozenset({MANAGER}),
        "use_second_step": frozenset({MANAGER, OWNER}),
        "see_history": frozenset({MANAGER, OWNER}),
    }
)


@dataclass(frozen=True)
class AccessRule:
    """The methods a view knows, each with the roles that may use it."""

    by_method: Mapping[str, frozenset[str]] = field(default_factory=dict)

    @property
    def methods(self) -> tuple[str, ...]:
        """The methods in the order they were declared."""
        return tuple(self.by_method)

    def allowed(self, method: str) -> frozenset[str] | None:
        """The roles that may use the method; None when the view does not know it. HEAD follows GET."""
        return self.by_method.get("GET" if method == "HEAD" else method)


def allow(
    *, get: Collection[str] | None = None, post: Collection[str] | None = None
) -> Callable[[View], View]:
    """Declare who may use a view.

    Parameters: get, post (roles, or {PUBLIC}, or {SIGNED_IN}; None: the view does not know the method).
    Returns a decorator that marks the view; kits.config.middleware.AccessMiddleware acts on the mark.
    Raises ValueError for a role that does not exist or when nothing is declared.
    """
    declared = {"GET": get, "POST": post}
    by_method = {method: frozenset(roles) for method, roles in declared.items() if roles is not None}
    known = EVERY_ROLE | {PUBLIC, SIGNED_IN}
    for method, roles in by_method.items():
        if not roles or not roles <= known:
            raise ValueError(f"{method} is declared for {sorted(roles)}; known are {sorted(known)}.")
    if not by_method:
        raise ValueError("A view must declare at least one method.")

    def mark(view: View) -> View:
        view.access_rule = AccessRule(by_method)  # type: ignore[attr-defined]
        return view

    return mark


def rule_of(view: Callable[..., Any]) -> AccessRule | None:
    """What the view declares, or None."""
    rule = getattr(view, "access_rule", None)
    return rule if isinstance(rule, AccessRule) else None


def takes(most_bytes: int) -> Callable[[View], View]:
    """Declare that a view takes more than a form: a file of so many bytes, from whom it is open to."""

    def mark(view: View) -> View:
        view.largest_body_bytes = most_bytes  # type: ignore[attr-defined]
        return view

    return mark


def largest_body_bytes(view: Callable[..., Any]) -> int | None:
    """What the view declares to take, or None."""
    declared = getattr(view, "largest_body_bytes", None)
    return declared if isinstance(declared, int) else None


def costly(most_a_minute: int) -> Callable[[View], View]:
    """Declare that a view takes long: a person may ask for it so many times a minute."""

    def mark(view: View) -> View:
        view.most_a_minute = most_a_minute  # type: ignore[attr-defined]
        return view

    return mark


def most_a_minute(view: Callable[..., Any]) -> int | None:
    """How often a person may ask for the view, or None: as often as he likes."""
    declared = getattr(view, "most_a_minute", None)
    return declared if isinstance(declared, int) else None


def not_kept(view: View) -> View:
    """Declare that a form sent to the view by somebody who is not signed in is not carried over his sign-in.

    For what is about people, accounts and the shop's settings: whoever sits before a browser after another must not
    be able to prepare it for him.
    """
    view.is_not_kept = True  # type: ignore[attr-defined]
    return view


def is_not_kept(view: Callable[..., Any]) -> bool:
    """Whether the view declares that no form sent to it is carried over a sign-in."""
    return getattr(view, "is_not_kept", False) is True


def roles_of(user: Actor | None) -> frozenset[str]:
    """The person's roles, which are his groups; fetched once per user object.

    A superuser has no role by that: the account that looks after accounts is not thereby a manager of kits.
    """
    if user is None or isinstance(user, AnonymousUser) or not user.is_authenticated:
        return frozenset()
    if isinstance(user, Console):
        return frozenset({MANAGER})
    held: frozenset[str] | None = getattr(user, "_kitwright_roles", None)
    if held is None:
        groups: Any = user.groups  # type: ignore[attr-defined]
        held = EVERY_ROLE & frozenset(groups.values_list("name", flat=True))
        user._kitwright_roles = held  # type: ignore[attr-defined]
    return held


def may(user: Actor | None, right: str) -> bool:
    """Whether the person has the right. Raises KeyError for a right that is not in the table."""
    return bool(RIGHTS[right] & roles_of(user))


def require(actor: Actor | None, right: str) -> None:
    """Raise PermissionDenied, in a sentence, unless the actor has the right."""
    if not may(actor, right):
        needed = " or ".join(sorted(RIGHTS[right]))
        raise PermissionDenied(f"Only a {needed} may {right.replace('_', ' ')}.")


def user_of(actor: Actor | None) -> AbstractBaseUser | None:
    """The user to write into history: None for the console."""
    return actor if isinstance(actor, AbstractBaseUser) else None


def name_of(person: Any) -> str:
    """What papers and rows call somebody: the full name, else the account's; empty for nobody."""
    return person.get_full_name() or f"{person.get_username()}" if person and person.is_authenticated else ""


class Rights:
    """The rights of one person for a template: `{% if rights.import_workbook %}`."""

    def __init__(self, user: Actor | None) -> None:
        self._user = user

    def __getitem__(self, right: str) -> bool:
        """Whether the person has the right; a misspelt one is a LookupError, as templates hide KeyError."""
        if right not in RIGHTS:
            raise LookupError(f"There is no right called {right}.")
        return may(self._user, right)
