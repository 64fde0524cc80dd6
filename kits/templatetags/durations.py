"""Times as people say them."""

from django import template

register = template.Library()


@register.filter
def duration(seconds: float) -> str:
    """Rounded so that it does not jump: 12 s becomes 10 s, 100 s becomes 2 min, 2 hours 120 min."""
    if seconds < 90:
        return f"{max(5, 5 * round(seconds / 5))} s"
    return f"{round(seconds / 60)} min"
