"""A key is broken into lines that fit the sheet, and no entry is lost."""

from itertools import pairwise

from hypothesis import given, settings
from hypothesis import strategies as st

from kits.documents.chart_key import KeyEntry, laid_out
from kits.documents.chart_style import NARROW_PX, WIDTH_PX, text_width_px

LABELS = st.lists(st.text("abc dé °C0123", min_size=1, max_size=90), max_size=9)


@settings(max_examples=60)
@given(LABELS, st.sampled_from((NARROW_PX, WIDTH_PX)))
def test_every_entry_stays_on_the_sheet_and_beside_the_others(labels, width_px):
    placed, height_px = laid_out([KeyEntry(label) for label in labels], width_px)
    assert [one.entry.label for one in placed] == labels
    for one in placed:
        assert one.x_px + 28 + max(text_width_px(line) for line in one.lines) <= width_px - 10
        assert one.y_px + 17 * len(one.lines) <= height_px
    for before, after in pairwise(placed):
        assert after.y_px > before.y_px or after.x_px > before.x_px + 28


def test_an_empty_key_takes_no_room():
    assert laid_out([], WIDTH_PX) == ((), 0.0)
