"""The address of the readings of a fitment."""

from django.urls import path

from kits.fitment.readings import views

urlpatterns = [
    path("", views.readings, name="readings"),
]
