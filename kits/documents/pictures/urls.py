"""Addresses of the charts."""

from django.urls import path

from kits.documents.pictures import views
from vehicles.records import urls as _code_converter  # noqa: F401 - registers <code:...>

urlpatterns = [
    path(
        "fitments/<code:kit>/<code:line>/<code:variant>/load.svg",
        views.fitment_load_chart,
        name="fitment-load-chart",
    ),
    path(
        "fitments/<code:kit>/<code:line>/<code:variant>/pictures/<code:topic>/<code:picture>.svg",
        views.topic_picture,
        name="topic-picture",
    ),
    path(
        "fitments/<code:kit>/<code:line>/<code:variant>/study/load.svg",
        views.study_load_chart,
        name="study-load-chart",
    ),
    path("parts/<code:number>/<code:revision>/<slug:curve>.svg", views.part_curve, name="part-curve"),
]
