"""Numbers on pages: unit, decimals, true minus, nothing for None."""

from decimal import Decimal

import pytest

from vehicles.templatetags import quantities as q


@pytest.mark.parametrize(
    ("shown", "text"),
    [
        (q.kw(2449.0), "2.4 kW"),
        (q.kw(None), "not recorded"),
        (q.kw_bare(2551.0), "2.6"),
        (q.celsius(-0.3), "0 °C"),
        (q.margin(0.234), "+23 %"),
        (q.margin(-0.29), "−29 %"),
        (q.margin(0.0), "+0 %"),
        (q.margin(0.004), "+0.4 %"),
        (q.margin(-0.004), "−0.4 %"),
        (q.margin(-0.0001), "−0.01 %"),
        (q.margin(None), ""),
        (q.margin(""), ""),
        (q.signed_margin(None), "–"),
        (q.percent(0.155), "16 %"),
        (q.shown(1.234, "area_m2"), "1.23 m²"),
        (q.shown(None, "area_m2"), "not recorded"),
        (q.bare(1446.4, "cut_mm"), "1,446"),
        (q.bare(None, "cut_mm"), "–"),
        (q.whole(5.5e3), "5,500"),
        (q.amount(Decimal("2.000")), "2"),
        (q.amount(Decimal("40.000")), "40"),
        (q.amount(Decimal("0.350")), "0.35"),
        (q.technical(True, "electric"), "yes"),
        (q.technical("#8", "size"), "#8"),
        (q.technical("", "size"), "not recorded"),
        (q.technical(12.0, "supply_voltage_v"), "12.0 V"),
        (q.unit_of("airflow_m3_h"), "m³/h"),
        (q.anchor("LIQ 1/2", "length"), "length-LIQ-1-2"),
    ],
)
def test_a_number_reads_as_people_write_it(shown, text):
    assert shown == text
