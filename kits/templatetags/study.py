"""Words beside the picture of a study."""

from django import template

from kits.documents.charts import load_and_capacity_text
from kits.documents.load_bars import study_bars
from kits.sizing.verdict.record import DutyAnswer
from kits.sizing.words.defaults import default_value

register = template.Library()


@register.simple_tag
def study_words(stored: DutyAnswer | None, changed: DutyAnswer) -> str:
    """What the picture of a study shows, in words; nothing when there is no load to draw."""
    bars = study_bars(stored, changed, default_value("capacity_uncertainty_share"))
    return load_and_capacity_text(bars) if bars else ""
