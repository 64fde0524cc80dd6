"""Curves of a revision's rated points, and what topics show, as the pictures of a page."""

from dataclasses import dataclass
from typing import Any

from django import template
from django.urls import reverse

from kits.documents.rated_curves import rated_lines, rated_words
from kits.documents.topic_pictures import can_be_drawn
from kits.topics.figure import Topic

register = template.Library()


@dataclass(frozen=True)
class Picture:
    """A diagram: its title, its addresses for page and phone, light and dark, and the same in words."""

    title: str
    src: str
    words: str

    @property
    def dark(self) -> str:
        """For a dark page."""
        return f"{self.src}?theme=dark"

    @property
    def narrow(self) -> str:
        """For a phone."""
        return f"{self.src}?size=narrow"

    @property
    def narrow_dark(self) -> str:
        """For a dark phone."""
        return f"{self.src}?size=narrow&theme=dark"


@register.simple_tag
def rated_pictures(page: Any, kind: str) -> list[Picture]:
    """The diagrams of a RevisionPage of a part of this kind."""
    points = [{value.name: value.value for value in point.values} for point in page.points]
    place = (page.row.part.number, page.row.revision)
    return [
        Picture(lines.curve.title, reverse("part-curve", args=[*place, lines.curve.key]), rated_words(lines))
        for lines in rated_lines(kind, points)
    ]


@register.simple_tag
def topic_pictures(topic: Topic, kit: str, line: str, variant: str) -> list[Picture]:
    """What a topic of a fitment shows; a picture that can't be drawn is left out."""
    return [
        Picture(
            one.caption, reverse("topic-picture", args=[kit, line, variant, topic.code, one.code]), one.words
        )
        for one in topic.pictures
        if can_be_drawn(one)
    ]
