"""Writing happens in actions.py only, and an action that is given an actor asks for his right."""

import ast
from collections.abc import Iterator

from tests.architecture.test_imports import caught, found
from tests.architecture.tree import Module, app_modules, templates
from vehicles.records.access import RIGHTS

WRITES = frozenset(
    "save delete update create get_or_create update_or_create bulk_create bulk_update "
    "asave adelete aupdate acreate aget_or_create aupdate_or_create abulk_create abulk_update".split()
)
# Things with a method of such a name that are not rows: what is built in memory and files.
NOT_ROWS = frozenset({"workbook", "figure", "digest", "image", "os", "shutil"})


def receiver(call: ast.Call) -> str:
    """What a method is called on: "workbook" in workbook.save(file), "super" in super().save(), or ""."""
    assert isinstance(call.func, ast.Attribute)
    target = call.func.value
    if isinstance(target, ast.Call) and isinstance(target.func, ast.Name):
        return target.func.id
    return target.id if isinstance(target, ast.Name) else ""


def writes(module: Module) -> Iterator[str]:
    """A write or a transaction outside actions and migrations.

    Only modules that may use Django hold rows; the others can write nothing and may say update() to a dict.
    """
    if not module.may_use_django or module.name == "actions" or module.is_migration:
        return
    for node in ast.walk(module.tree):
        if isinstance(node, ast.Call):
            name, where = called(node)
            passed_on = where == "super" and "model" in module.name
            # A dict or a set is updated with another one, rows are updated by keyword.
            in_memory = where in NOT_ROWS or (name == "update" and node.args)
            if name in WRITES and not in_memory and not passed_on:
                yield f"{module.path}:{node.lineno} calls {name}()"
        if isinstance(node, ast.Attribute | ast.Name) and name_of(node) == "atomic":
            yield f"{module.path}:{node.lineno} opens a transaction"


def called(call: ast.Call) -> tuple[str, str]:
    """The name of the function or method that is called, and what it is called on."""
    if isinstance(call.func, ast.Attribute):
        return call.func.attr, receiver(call)
    return (call.func.id, "") if isinstance(call.func, ast.Name) else ("", "")


def name_of(node: ast.Attribute | ast.Name) -> str:
    """The last part of a name."""
    return node.attr if isinstance(node, ast.Attribute) else node.id


def acts_unasked(module: Module) -> Iterator[str]:
    """A public function in a subject's actions.py that takes an actor and requires no right of him."""
    if module.name != "actions" or module.path.startswith("vehicles/records/"):
        return
    for node in module.tree.body:
        if not isinstance(node, ast.FunctionDef) or node.name.startswith("_"):
            continue
        if "actor" not in {argument.arg for argument in (*node.args.args, *node.args.kwonlyargs)}:
            continue
        # Handing the actor on to another action is asking too.
        if not any(right in RIGHTS for right in required(node)) and not hands_on(node):
            yield f"{module.path}:{node.lineno} {node.name} never asks whether the actor may"


def required(function: ast.FunctionDef) -> Iterator[str]:
    """The rights that a function requires of `actor`."""
    for node in ast.walk(function):
        if isinstance(node, ast.Call) and called(node)[0] == "require" and len(node.args) == 2:
            who, right = node.args
            if isinstance(who, ast.Name) and who.id == "actor" and isinstance(right, ast.Constant):
                yield str(right.value)


def hands_on(function: ast.FunctionDef) -> bool:
    """Whether a function calls another one with actor=actor."""
    return any(
        keyword.arg == "actor" and isinstance(keyword.value, ast.Name) and keyword.value.id == "actor"
        for node in ast.walk(function)
        if isinstance(node, ast.Call)
        for keyword in node.keywords
    )


def test_rows_are_written_in_actions_only():
    assert found(writes) == []


def test_a_write_elsewhere_is_caught():
    for text in (
        "kit.save()",
        "form.save()",
        "Kit.objects.create(code='x')",
        "Kit.objects.filter(code='x').update(name='y')",
        "Kit.objects.all().delete()",
        "Kit.objects.bulk_create(rows)",
        "with transaction.atomic():\n    pass",
        "@atomic\ndef act():\n    pass",
        "async def act():\n    await kit.asave()",
    ):
        for path in ("kits/bom/views.py", "kits/bom/queries.py", "kits/management/commands/x.py"):
            assert caught(writes, path, text), text
        assert not caught(writes, "kits/bom/actions.py", text), text
        assert not caught(writes, "kits/migrations/0002_x.py", text), text
    assert caught(writes, "kits/bom/views.py", "super().save()")
    assert not caught(writes, "kits/bom/models.py", "super().save()")
    assert not caught(writes, "kits/documents/render.py", "workbook.save(file)")
    assert not caught(writes, "kits/bom/compile.py", "seen.update(more=1)")
    assert not caught(writes, "kits/bom/bridge.py", "seen.update(more)")


def test_each_action_asks_whether_the_actor_may():
    assert found(acts_unasked) == []


def test_an_action_that_does_not_ask_is_caught():
    path = "kits/bom/actions.py"
    assert caught(acts_unasked, path, "def act(*, actor, kit):\n    kit.save()")
    assert caught(acts_unasked, path, "def act(*, actor, kit):\n    require(actor, 'no such right')")
    assert caught(acts_unasked, path, "def act(*, actor, kit):\n    require(kit, 'import_workbook')")
    assert not caught(acts_unasked, path, "def act(*, actor, kit):\n    require(actor, 'import_workbook')")
    assert not caught(acts_unasked, path, "def act(*, actor, kit):\n    other(actor=actor, kit=kit)")
    assert not caught(acts_unasked, path, "def _part(*, actor, kit):\n    kit.save()")


def test_each_right_is_asked_for_somewhere():
    text = "\n".join(module.text for module in app_modules() if not module.path.endswith("records/access.py"))
    text += "\n".join(path.read_text(encoding="utf-8") for path in templates())
    assert [right for right in RIGHTS if right not in text] == []
