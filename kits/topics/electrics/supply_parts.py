"""Whether every consumer of the kit is made for the supply that the kit runs from."""

from kits.sizing.electrics.battery import system_of_rating_v
from kits.sizing.words.figure import Remark
from kits.topics.context import Context

RATINGS = ("rated_voltage_v", "supply_voltage_v", "system_voltage_v")


def supply_remarks(context: Context) -> list[Remark]:
    """A remark for each part that is rated for the supply of another kind of car; high voltage is judged elsewhere."""
    supply_v = context.case.unit.supply_voltage_v
    found: dict[str, Remark] = {}
    for key, (number, data, *_) in context.kit.plant.items():
        for name in RATINGS:
            if data.get(name) is None:
                continue
            rated_v = float(data[name])
            system_v = system_of_rating_v(rated_v)
            if system_v is None or system_v == supply_v:
                continue
            kind = key.partition("/")[0]
            sentence = (
                f"{kind.capitalize()} {number} is made for {system_v:g} V ({rated_v:g} V stated); the kit runs "
                f"from {supply_v:g} V."
            )
            found[number] = Remark("part-voltage", "blocks", f"part:{number}", sentence)
    return list(found.values())
