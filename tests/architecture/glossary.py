"""The glossary of DEVELOPERS.md as the table of quantities says it; run as a module it prints it."""

from vehicles.physics.quantities import QUANTITIES

HEAD = ("| ending | quantity | unit | decimals shown | meaning |", "| --- | --- | --- | --- | --- |")


def glossary() -> list[str]:
    """The lines of the table."""
    rows = [f"| `{q.key}` | {q.label} | {q.unit} | {q.decimals} | {q.definition} |" for q in QUANTITIES]
    return [*HEAD, *rows]


if __name__ == "__main__":
    print("\n".join(glossary()))
