"""Five cars of two lines, which the tests of the list of vehicles start from."""

from datetime import date

from tests.vehicles.rows import make_line, make_variant
from vehicles.models import Feature, LineFeature, LineOption, ModelLine, Option, Powertrain, VariantOption

HOSTILE = "<script>alert('car')</script>"


def make_cars() -> None:
    """Line S4 with steering and roof, line V30 with steering alone; V30's names are what a name should not be."""
    side = Feature.objects.create(code="steering", name="Steering", sort=1)
    roof = Feature.objects.create(code="roof", name="Roof", sort=2)
    options = {
        code: Option.objects.create(feature=feature, code=code, name=name, sort=sort)
        for feature, code, name, sort in (
            (side, "right", "right-hand drive", 2), (side, "left", "left-hand drive", 1), (roof, "coupe", "coupé", 0),
            (roof, "open", "open tourer", 0), (roof, "glass", "glass dome", 0),
        )
    }  # fmt: skip
    solenne, orlock = make_line("S4", "Solenne S4"), make_line("V30", "Orlock V30")
    ModelLine.objects.filter(code="V30").update(maker="Orlock & Sons")
    for line, offered in ((solenne, ("right", "left", "coupe", "open")), (orlock, ("left", "right"))):
        for code in offered:
            LineOption.objects.create(line=line, option=options[code])
            LineFeature.objects.get_or_create(line=line, feature=options[code].feature)
    diesel = Powertrain.objects.create(line=orlock, code="d", name="1.4 diesel")
    cars = (
        (solenne, "CP-L", "Coupé left", ("coupe", "left"), {"built_from": date(1957, 3, 1)}),
        (solenne, "CP-R", "Coupé right", ("coupe", "right"), {"built_from": date(1959, 1, 1)}),
        (solenne, "TR_L", "Tourer 100% left", ("open", "left"), {"to_be_surveyed": True}),
        (orlock, "CP-L", HOSTILE, ("left",), {"powertrain": diesel}),
        (orlock, "VX", "Van 1000 'x' \\ right", ("right",), {"powertrain": diesel}),
    )
    for line, code, name, held, values in cars:
        variant = make_variant(line, code, name=name, **values)
        for option in (options[one] for one in held):
            VariantOption.objects.create(variant=variant, feature=option.feature, option=option)
