"""The files of the checkout, as the rules of the house look at them."""

import ast
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path, PurePosixPath

ROOT = Path(__file__).resolve().parents[2]
APPS = ("kits", "vehicles")

# A module of one of these names, or in one of these folders, may import Django; every other one is plain.
DJANGO_NAMES = frozenset(
    "models admin apps forms views urls tables filters queries actions access checks bridge render tasks "
    "middleware context_processors".split()
)
DJANGO_FOLDERS = frozenset({"templatetags", "management", "migrations", "config"})


@dataclass(frozen=True)
class Module:
    """One Python file: its path from the root, and its text."""

    path: str
    text: str

    @cached_property
    def tree(self) -> ast.Module:
        """The parsed text."""
        return ast.parse(self.text, self.path)

    @property
    def name(self) -> str:
        """The file's name without its ending."""
        return PurePosixPath(self.path).stem

    @property
    def folders(self) -> frozenset[str]:
        """The folders it lies in."""
        return frozenset(PurePosixPath(self.path).parent.parts)

    @property
    def dotted(self) -> str:
        """The name it is imported under."""
        return self.path.removesuffix(".py").removesuffix("/__init__").replace("/", ".")

    @property
    def may_use_django(self) -> bool:
        """Whether the file's name or folder lets it import Django."""
        return (
            self.name in DJANGO_NAMES
            or self.name.endswith("_models")
            or bool(self.folders & DJANGO_FOLDERS)
            or self.path == "manage.py"
        )

    @property
    def is_migration(self) -> bool:
        """Whether the file is one step of a migration chain."""
        return "migrations" in self.folders

    def imports(self) -> Iterator[tuple[int, str]]:
        """Line and full name of everything imported, also inside functions; relative ones made absolute."""
        for node in ast.walk(self.tree):
            if isinstance(node, ast.Import):
                yield from ((node.lineno, alias.name) for alias in node.names)
            elif isinstance(node, ast.ImportFrom):
                source = self._source(node)
                yield from ((node.lineno, f"{source}.{alias.name}") for alias in node.names)

    def _source(self, node: ast.ImportFrom) -> str:
        if not node.level:
            return node.module or ""
        package = list(PurePosixPath(self.path).parent.parts)
        kept = package[: len(package) - node.level + 1]
        return ".".join([*kept, *([node.module] if node.module else [])])


def modules(*folders: str) -> list[Module]:
    """All Python files in the folders, in order."""
    paths = sorted(path for folder in folders for path in (ROOT / folder).rglob("*.py"))
    return [Module(path.relative_to(ROOT).as_posix(), path.read_text(encoding="utf-8")) for path in paths]


def app_modules() -> list[Module]:
    """The Python files of both apps."""
    return modules(*APPS)


def templates() -> list[Path]:
    """All templates."""
    return sorted(path for path in (ROOT / "templates").rglob("*") if path.is_file())
