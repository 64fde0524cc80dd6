"""A call can be read where it stands: what is private stays at home, and no long row of values goes by place."""

import ast
from collections.abc import Iterator
from functools import cache

from tests.architecture.tree import APPS, ROOT, Module, app_modules

MOST_BY_PLACE = 6

# Of other people's functions these take any number of like things, each of which says what it is.
LIKE_THINGS = {
    "prefetch_related": "names of relations",
    "broadcast_arrays": "arrays that get one shape",
}


def _is_private(name: str) -> bool:
    return name.startswith("_") and not name.startswith("__")


def _is_module(name: str) -> bool:
    path = ROOT.joinpath(*name.split("."))
    return path.is_dir() or path.with_suffix(".py").is_file()


def private_names(module: Module) -> Iterator[str]:
    """A private name of another module of ours that is imported, or reached through the module."""
    brought = set()
    for node in ast.walk(module.tree):
        if isinstance(node, ast.Import):
            brought |= {
                alias.asname or alias.name for alias in node.names if alias.name.split(".")[0] in APPS
            }
    for line, name in module.imports():
        if name.split(".")[0] in APPS:
            if _is_module(name):
                brought.add(name.split(".")[-1])
            if any(map(_is_private, name.split("."))):
                yield f"{module.path}:{line} imports {name}, which is private there"
    for node in ast.walk(module.tree):
        if isinstance(node, ast.Attribute) and _is_private(node.attr) and ast.unparse(node.value) in brought:
            yield f"{module.path}:{node.lineno} reaches {ast.unparse(node)}, which is private there"


def _takes_like_things(modules: list[Module]) -> set[str]:
    """Our functions of any number of like things (`*inputs`)."""
    functions = [
        node for module in modules for node in ast.walk(module.tree) if isinstance(node, ast.FunctionDef)
    ]
    return {node.name for node in functions if node.args.vararg}


def _by_place(call: ast.Call) -> int:
    """How many values go by place; a starred one counts for its length, or for two where that can't be seen."""
    count = 0
    for value in call.args:
        inner = value.value if isinstance(value, ast.Starred) else None
        count += len(inner.elts) if isinstance(inner, ast.Tuple | ast.List) else 2 if inner else 1
    return count


def long_calls(module: Module, like_things: set[str]) -> Iterator[str]:
    """A call that passes too many values by place."""
    for node in ast.walk(module.tree):
        if not isinstance(node, ast.Call) or _by_place(node) <= MOST_BY_PLACE:
            continue
        if ast.unparse(node.func).split(".")[-1] not in like_things:
            yield f"{module.path}:{node.lineno} {ast.unparse(node.func)} gets {_by_place(node)} values by place"


def _fields_by_place(node: ast.ClassDef) -> int:
    """How many fields a dataclass takes by place."""
    made = [ast.unparse(way) for way in node.decorator_list]
    if not any(way.startswith("dataclass") for way in made) or any("kw_only=True" in way for way in made):
        return 0
    count = 0
    for field in node.body:
        if isinstance(field, ast.AnnAssign):
            if ast.unparse(field.annotation) == "KW_ONLY":
                break
            count += not (field.value and "init=False" in ast.unparse(field.value))
    return count


def long_definitions(module: Module) -> Iterator[str]:
    """A function or a dataclass that takes too many values by place."""
    for node in ast.walk(module.tree):
        count = 0
        if isinstance(node, ast.FunctionDef):
            names = [one.arg for one in node.args.posonlyargs + node.args.args]
            count = len(names) - (names[:1] in (["self"], ["cls"]))
        elif isinstance(node, ast.ClassDef):
            count = _fields_by_place(node)
        if count > MOST_BY_PLACE and isinstance(node, ast.FunctionDef | ast.ClassDef):
            yield f"{module.path}:{node.lineno} {node.name} takes {count} values by place"


@cache
def ours() -> list[Module]:
    """What is looked at."""
    return [module for module in app_modules() if not module.is_migration]


def test_private_names_stay_at_home():
    assert [problem for module in ours() for problem in private_names(module)] == []


def test_a_private_name_elsewhere_is_caught():
    for text in (
        "from kits.bom.resolve import _resolve",
        "from kits.bom import resolve\nresolve._resolve()",
        "import kits.bom.resolve\nkits.bom.resolve._resolve()",
        "from . import resolve\nresolve._resolve()",
        "import kits.bom.resolve as r\nr._resolve()",
    ):
        assert list(private_names(Module("kits/bom/steps.py", text))), text
    for text in (
        "from kits.bom import resolve\nresolve.resolve()",
        "self._resolve()",
        "row._meta",
        "_resolve()",
    ):
        assert not list(private_names(Module("kits/bom/steps.py", text))), text


def test_no_call_passes_a_long_row_by_place():
    like_things = _takes_like_things(ours()) | set(LIKE_THINGS)
    assert [problem for module in ours() for problem in long_calls(module, like_things)] == []


def test_a_long_row_by_place_is_caught():
    def caught(text: str) -> bool:
        return bool(list(long_calls(Module("kits/bom/steps.py", text), {"figure"})))

    assert caught("f(1, 2, 3, 4, 5, 6, 7)")
    assert caught("f(1, 2, 3, 4, 5, *rest)")
    assert caught("f(*(1, 2, 3, 4, 5, 6, 7))")
    assert not caught("f(1, 2, 3, 4, 5, 6, g=7)")
    assert not caught("f(1, 2, 3, 4, *rest)")
    assert not caught("figure(1, 2, 3, 4, 5, 6, 7)")


def test_no_definition_takes_a_long_row_by_place():
    assert [problem for module in ours() for problem in long_definitions(module)] == []


def test_a_definition_of_a_long_row_is_caught():
    fields = "\n".join(f"    x{i}: int" for i in range(7))

    def caught(text: str) -> bool:
        return bool(list(long_definitions(Module("kits/bom/steps.py", text))))

    assert caught("def f(a, b, c, d, e, g, h): ...")
    assert not caught("def f(self, b, c, d, e, g, h): ...")
    assert not caught("def f(a, b, *, c, d, e, g, h): ...")
    assert caught(f"@dataclass(frozen=True)\nclass A:\n{fields}")
    assert not caught(f"@dataclass(frozen=True, kw_only=True)\nclass A:\n{fields}")
    assert not caught(f"@dataclass\nclass A:\n    x: int\n    _: KW_ONLY\n{fields}")
