"""A filling in steps as rows, with a plateau that is known."""

from datetime import date

from kits.fitment.models import Fitment, PlateauStep

# made up: subcooling, high side and vents stand still from 500 to 700 g, so the charge is 600 to 650 g
READ = (
    (350, 1.5, 12.4, 12.5), (400, 3.0, 12.9, 10.6), (450, 4.6, 13.4, 8.8), (500, 6.0, 13.9, 7.1), (550, 6.1, 13.9, 7.0),
    (600, 6.0, 14.0, 7.0), (650, 6.2, 14.0, 6.9), (700, 6.2, 14.1, 7.0), (750, 8.4, 15.2, 7.6),
)  # fmt: skip
RISING = tuple((350 + 50 * i, 1.5 * (i + 1), 12.0 + 0.7 * i, 12.0 - 1.2 * i) for i in range(7))


def filled(fitment: Fitment, code="A", read=READ, engine_rpm=1800.0):
    """The steps of a trial, stored."""
    return PlateauStep.objects.bulk_create(
        PlateauStep(
            fitment=fitment, trial=code, charge_g=grams, engine_rpm=engine_rpm, ambient_c=27.0, subcooling_k=k,
            high_side_bar_g=bar, vent_c=vent, origin_kind="measured", origin_instrument="scale 5 g",
            origin_on=date(2026, 5, 1),
        )
        for grams, k, bar, vent in read
    )  # fmt: skip
